/**
 * How things stand between this phone and the server, for whoever shows it. Event: 'change'.
 *
 * @typedef {Object} Status
 * @property {number} waiting entries on this phone only
 * @property {number} refused entries that need a person
 * @property {string|null} last_sync_at
 * @property {'never'|'delivered'|'no_network'|'pair_again'|'update_app'|'update_server'|'slow_down'|'storage'|'trouble'} outcome
 * @property {boolean} syncing
 */
import { getMeta } from '../outbox/meta.js';
import { counts } from '../outbox/waiting.js';

/** @type {EventTarget & {current: Status}} */
export const status = Object.assign(new EventTarget(), {
  current: { waiting: 0, refused: 0, last_sync_at: null, outcome: 'never', syncing: false },
});

export function setStatus(part) {
  status.current = { ...status.current, ...part };
  status.dispatchEvent(new Event('change'));
}

/** Count anew what waits, and when the server was last heard. */
export async function recount() {
  const [count, last] = await Promise.all([counts(), getMeta('last_sync')]);
  setStatus({ ...count, last_sync_at: last?.at ?? null });
}
