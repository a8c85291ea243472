/** A shot as a record: made at the stop, corrected afterwards. Each function here is one change, durably saved. */

import { correct, retract, restore, save } from '../outbox/save.js';
import { localIso } from '../outbox/time.js';
import { freeBay, stopFigures } from './bays.js';
import { personId, siteId } from './here.js';
import { laneFields, prefill, putInLane } from './lanes.js';

/**
 * What a shot says before it is pulled.
 * @param {{dose_g?: number, yield_g?: number, purpose?: string}} draft what the person has touched
 */
export function plannedFields(draft) {
  const guess = prefill();
  const assumed = ['dose_g', 'yield_g'].filter((name) => draft[name] === undefined);
  return {
    ...laneFields(),
    dose_g: draft.dose_g ?? guess.dose_g,
    yield_g: draft.yield_g ?? guess.yield_g,
    purpose: draft.purpose ?? 'service',
    person_id: personId(),
    assumed,
  };
}

/** Saves the shot of a bay that stopped at `stoppedMs`. Resolves when it is on the disk. */
export async function saveStopped(bay, stoppedMs) {
  const fields = { ...bay.fields, ...stopFigures(bay, stoppedMs), ...timeAndPlace(bay.started_ms, bay.group) };
  const shot = await saveShot(bay.record_id, fields);
  // Not waited for: the shot is on the disk, and a start that finds it there knows that its bay is free.
  freeBay(bay.group, shot.id);
  return shot;
}

/** Saves a shot whose time was read off the machine. */
export async function saveTyped(recordId, group, time_s, fields) {
  const started = Date.now() - time_s * 1000;
  const shot = await saveShot(recordId, { ...fields, time_s, ...timeAndPlace(started, group) });
  freeBay(group, shot.id);
  return shot;
}

function timeAndPlace(startedMs, group) {
  // A machine with one group has nothing to tell apart.
  return { pulled_at: localIso(startedMs), site_id: siteId(), group: group === 'one' ? undefined : group, fate: 'served' };
}

async function saveShot(record_id, fields) {
  const [shot] = await save([{ kind: 'shot', record_id, fields: known(fields) }]);
  putInLane({ dose_g: fields.dose_g, yield_g: fields.yield_g });
  return shot;
}

/** Fields that say something: an absent one is left out, never sent as empty. */
export function known(fields) {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined));
}

/** Sets a figure that somebody has now weighed or read: it is no longer assumed. */
export async function setFigure(shot, name, value) {
  const assumed = (shot.fields.assumed ?? []).filter((field) => field !== name);
  const fields = shot.fields.assumed?.includes(name) ? { [name]: value, assumed } : { [name]: value };
  const [corrected] = await correct(shot.id, fields);
  return corrected;
}

/** What became of a shot, or what it was for, as one choice: the two fields never contradict each other. */
export const ENDS = {
  served: { fate: 'served', purpose: 'service', fault: null },
  sunk: { fate: 'sunk', purpose: 'service' },
  dial_in: { fate: 'sunk', purpose: 'dial_in' },
  practice: { fate: 'sunk', purpose: 'practice' },
  warm_up: { fate: 'sunk', purpose: 'warm_up' },
};

export const FAULTS = ['channelling', 'spill', 'wrong_dose', 'machine', 'interrupted'];

export function endOf({ fields }) {
  if (fields.purpose && fields.purpose !== 'service') return fields.purpose;
  return fields.fate ?? 'served';
}

export async function setFields(shot, fields) {
  const [corrected] = await correct(shot.id, fields);
  return corrected;
}

/** The fields of `shot` that `fields` would change, as they are now: what an undo puts back. */
export function before(shot, fields) {
  return Object.fromEntries(Object.keys(fields).map((name) => [name, shot.fields[name] ?? null]));
}

export const withdrawShot = (shot) => retract(shot.id);
export const bringBack = (shot) => restore(shot.id);
