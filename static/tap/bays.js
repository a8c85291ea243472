/**
 * One bay per group of the machine: ready, running or stopped. A running bay is kept in the phone's database as
 * timestamps, never as ticks, so that a lock, a call or a reload costs nothing.
 */

import { getMeta, setMeta } from '../outbox/meta.js';
import { record } from '../outbox/records.js';
import { nowMs } from './clock.js';

/** First drops come later than this, and a stop this soon is a slip of the thumb. */
export const TOO_SOON_S = 2;

/**
 * @typedef {object} Bay
 * @property {string} group
 * @property {string} record_id  the shot's id, chosen at the start: a stop that is repeated can't make a second shot
 * @property {number} started_ms
 * @property {number|null} first_drop_ms
 * @property {number} [stopped_ms]  stopped, but not on the disk yet
 * @property {object} fields     what was known at the start: bag, recipe, setting, person, dose, yield
 */

/** @type {Map<string, Bay>} */
const running = new Map();
/** @type {Map<string, string>} group -> id of the shot that was stopped last */
const stopped = new Map();

export async function loadBays() {
  for (const bay of (await getMeta('running')) ?? []) {
    // Killed between the save and the note that the bay is free: the shot is there, so the bay is done.
    if (await record(bay.record_id)) stopped.set(bay.group, bay.record_id);
    else running.set(bay.group, bay);
  }
}

export const runningBay = (group) => running.get(group);
export const stoppedShot = (group) => stopped.get(group);
export const anyRunning = () => running.size > 0;
export const runningBays = () => [...running.values()];

function keep() {
  return setMeta('running', [...running.values()]);
}

export function startBay(group, recordId, fields) {
  stopped.delete(group);
  running.set(group, { group, record_id: recordId, started_ms: nowMs(), first_drop_ms: null, fields });
  return keep();
}

/** Keeps the time of a stop whose shot would not save, so that it outlives the page if anything does. */
export function rememberStop(bay, stoppedMs) {
  bay.stopped_ms = stoppedMs;
  return keep();
}

/** Takes a start back, as after a slip of the thumb. */
export function dropBay(group) {
  running.delete(group);
  return keep();
}

export function putBack(bay) {
  running.set(bay.group, bay);
  return keep();
}

/** The shot is durably saved: only now is its bay free. */
export function freeBay(group, recordId) {
  running.delete(group);
  stopped.set(group, recordId);
  return keep();
}

export function clearStopped(group) {
  stopped.delete(group);
}

/** Seconds to a tenth, as a scale's timer shows them. */
export function tenths(milliseconds) {
  return Math.round(milliseconds / 100) / 10;
}

export function elapsed_s(bay, now = nowMs()) {
  return (now - bay.started_ms) / 1000;
}

/** Notes the first drop; false where it comes too soon to be one, or is already noted. */
export function markFirstDrop(group) {
  const bay = running.get(group);
  if (!bay || bay.first_drop_ms || elapsed_s(bay) < TOO_SOON_S) return false;
  bay.first_drop_ms = nowMs();
  keep();
  return true;
}

export function takeBackFirstDrop(group) {
  const bay = running.get(group);
  if (bay) bay.first_drop_ms = null;
  return keep();
}

/** The figures of a bay that stops now. */
export function stopFigures(bay, stoppedMs) {
  const first = bay.first_drop_ms ? { first_drop_s: tenths(bay.first_drop_ms - bay.started_ms) } : {};
  return { time_s: tenths(stoppedMs - bay.started_ms), ...first };
}
