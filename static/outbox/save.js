/**
 * A tap becomes an entry that outlives the app. Nothing here knows that a network exists.
 *
 * @typedef {import('./record.js').Record} Record
 * @typedef {{kind: string, record_id?: string, fields?: Object<string, any>, retract?: boolean}} Change
 */
import { RETRACT } from '../compute/fold.js';
import { announce } from './changes.js';
import { ask, inOneTransaction } from './database.js';
import { uuid7 } from './ids.js';
import { putMeta } from './meta.js';
import { refold } from './record.js';
import { replicaIn } from './replica.js';
import { localIso } from './time.js';
import { APP, PROTOCOL } from './version.js';

/**
 * Keep some changes, all or none. A change without `record_id` makes a new record.
 * @param {Change[]} changes
 * @returns {Promise<Record[]>} what the changed records add up to, once they are on the disk and not before
 * @throws {Error} name 'StorageFull' or 'StorageLost': nothing was kept
 */
export async function save(changes) {
  const made = changes.map((change) => ({ entry_id: uuid7(), record_id: uuid7(), made_at: localIso(), ...change }));
  const stores = ['outbox', 'mirror', 'records', 'meta'];
  const kept = await inOneTransaction(stores, 'readwrite', (tx) => keep(tx, made), 'strict');
  announce('saved', kept);
  return kept.records;
}

/** Withdraw a record: it stays in the history and can come back. */
export const retract = (recordId) => amend(recordId, { retract: true });

/** Bring a withdrawn record back. */
export const restore = (recordId) => amend(recordId, { retract: false });

/** Set some fields of a record anew; null clears an optional one. */
export const correct = (recordId, fields) => amend(recordId, { fields });

async function amend(recordId, change) {
  const record = await inOneTransaction(['records'], 'readonly', (tx) => recordIn(tx, recordId));
  if (!record) throw new Error(`no record ${recordId} on this phone`);
  return save([{ kind: record.kind, record_id: recordId, ...change }]);
}

const recordIn = (tx, id) => ask(tx.objectStore('records').get(id));

async function keep(tx, made) {
  const replica = await replicaIn(tx);
  const entries = [];
  const records = new Map();
  for (const change of made) {
    const entry = (await already(tx, change.entry_id)) ?? (await addEntry(tx, change, replica));
    entries.push(entry);
    const [record] = await refold(tx, [entry.record_id]); // one by one: the next change may build on this one
    records.set(record.id, record);
  }
  await putMeta(tx, 'replica', replica);
  return { entries, records: [...records.values()] };
}

/** After a lost handle the first try may have counted: then its number stands. */
async function already(tx, entryId) {
  return (await ask(tx.objectStore('outbox').get(entryId))) ?? ask(tx.objectStore('mirror').get(entryId));
}

async function addEntry(tx, { entry_id, kind, record_id, fields = {}, retract, made_at }, replica) {
  const record = await recordIn(tx, record_id);
  const names = [...Object.keys(fields), ...(retract === undefined ? [] : [RETRACT])];
  // Null says "nobody had set it": an edit always has a base, a new record never.
  const base = record ? Object.fromEntries(names.map((name) => [name, record.heads[name] ?? null])) : {};
  replica.n += 1;
  const entry = { entry_id, kind, record_id, fields, base, made_at, protocol: PROTOCOL, app: APP, ...replica };
  if (retract !== undefined) entry.retract = retract;
  await ask(tx.objectStore('outbox').add(entry));
  return entry;
}
