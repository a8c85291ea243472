/** Keeps the screen on while a shot runs, where the phone allows it. No timer depends on it. */

import { anyRunning } from './bays.js';

let lock = null;

export async function stayAwake() {
  if (!navigator.wakeLock || lock || document.visibilityState !== 'visible') return;
  try {
    lock = await navigator.wakeLock.request('screen');
    lock.addEventListener('release', () => { lock = null; });
  } catch {
    lock = null; // a battery that runs low refuses: the timer runs on timestamps all the same
  }
}

/** Lets the screen sleep again once nothing runs. */
export function mayRest() {
  if (lock && !anyRunning()) lock.release();
}

/** A short buzz that a hand feels when the eye is on the cup; iOS has none. */
export function buzz() {
  navigator.vibrate?.(25);
}

document.addEventListener('visibilitychange', () => anyRunning() && stayAwake());
