/**
 * The merge: many entries about one record, made on phones that had not seen each other, become one record.
 * The twin of server/compute/fold.py; tests/vectors/fold.json holds the two equal.
 *
 * @typedef {Object} Entry one change to one record, as it travels
 * @property {string} entry_id
 * @property {string} kind
 * @property {string} record_id
 * @property {Object<string, any>} fields only what this change sets
 * @property {boolean} [retract]
 * @property {string} replica_id
 * @property {number} n this replica's own count
 * @property {Object<string, string>} base per field, the entry whose value the person was looking at
 * @property {string} made_at
 * @property {string} [effective_at] the server's; absent while the entry waits
 *
 * @typedef {Object} Fold
 * @property {Object<string, any>} fields
 * @property {Object<string, string>} heads per field, the entry that supplies it
 * @property {boolean} retracted
 * @property {string[]} clashes fields that more than one entry is in the running for
 * @property {string[]} running
 */

/** Travels beside `fields` but merges as one of them. */
export const RETRACT = 'retract';

/**
 * @param {Entry[]} entries all of one record, in any order, repeats allowed
 * @returns {Fold}
 */
export function fold(entries) {
  const heads = {};
  const fields = {};
  const clashes = [];
  const running = new Set();
  let retracted = false;
  for (const [name, group] of rivalsByField(entries)) {
    const left = inTheRunning(name, [...group.values()]);
    const head = left.reduce((best, entry) => (isAfter(entry, best) ? entry : best));
    heads[name] = head.entry_id;
    if (name === RETRACT) retracted = Boolean(head[RETRACT]);
    else fields[name] = head.fields[name];
    if (left.length > 1) clashes.push(name);
    for (const entry of left) running.add(entry.entry_id);
  }
  return { fields, heads, retracted, clashes, running: [...running].sort() };
}

/** @returns {[string, Map<string, Entry>][]} */
function rivalsByField(entries) {
  const rivals = new Map();
  for (const entry of entries) {
    const names = Object.keys(entry.fields);
    if (entry[RETRACT] !== undefined && entry[RETRACT] !== null) names.push(RETRACT);
    for (const name of names) {
      if (!rivals.has(name)) rivals.set(name, new Map());
      rivals.get(name).set(entry.entry_id, entry);
    }
  }
  return [...rivals].sort(([one], [other]) => (one < other ? -1 : 1));
}

/** The entries about one field that no other has replaced; where they replace each other in a ring, all of them. */
function inTheRunning(name, group) {
  const newest = new Map();
  for (const { replica_id, n } of group) newest.set(replica_id, Math.max(newest.get(replica_id) ?? 0, n));
  const ownLatest = group.filter((entry) => entry.n === newest.get(entry.replica_id));
  const seen = new Set(group.map((entry) => entry.base?.[name]));
  const left = ownLatest.filter((entry) => !seen.has(entry.entry_id));
  return left.length ? left : ownLatest;
}

function isAfter(entry, other) {
  if (entry.effective_at !== other.effective_at) return entry.effective_at > other.effective_at;
  return entry.entry_id > other.entry_id;
}
