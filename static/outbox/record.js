/**
 * A record as the screens see it: what its entries add up to, those that wait on this phone included.
 *
 * @typedef {import('../compute/fold.js').Entry} Entry
 * @typedef {Object} Record
 * @property {string} id
 * @property {string} kind
 * @property {Object<string, any>} fields
 * @property {Object<string, string>} heads per field, the entry that supplies it
 * @property {string|null} at when it happened, in UTC
 * @property {string} made_at when it was first written down
 * @property {boolean} retracted
 * @property {boolean} waiting whether something about it is on this phone only
 * @property {string[]} clashes fields that two people changed without seeing each other
 */
import { fold } from '../compute/fold.js';
import { ask } from './database.js';
import { utcIso } from './time.js';

/** What waits here was made by the person who looks: it comes after all that was pulled. */
const NOT_YET = '9999-12-31T23:59:59.999Z';

/** The field that says when a record of this kind happened; others carry it as `at`, or not at all. */
const MAIN_TIME = { shot: 'pulled_at', water: 'sampled_at', tally: 'to', cartridge: 'fitted_at', bag: 'roasted_on' };

/**
 * @param {Entry[]} pulled what the server has given back
 * @param {Entry[]} waiting what is in the outbox
 * @returns {Record|null} null where there are no entries
 */
export function recordFrom(pulled, waiting) {
  const entries = [...pulled, ...waiting.map((entry) => ({ ...entry, effective_at: entry.effective_at ?? NOT_YET }))];
  if (!entries.length) return null;
  const { kind, record_id } = entries[0];
  const { fields, heads, retracted, clashes } = fold(entries);
  return {
    id: record_id,
    kind,
    fields,
    heads,
    at: utcIso(fields[MAIN_TIME[kind] ?? 'at']),
    made_at: entries.map((entry) => utcIso(entry.made_at)).sort()[0],
    retracted,
    waiting: waiting.length > 0,
    clashes,
  };
}

/**
 * Bring the records table up to date within `tx`, which reaches outbox, mirror and records.
 * @param {Iterable<string>} recordIds
 * @returns {Promise<Record[]>} those that exist
 */
export async function refold(tx, recordIds) {
  const all = (store, id) => ask(tx.objectStore(store).index('record_id').getAll(id));
  const records = tx.objectStore('records');
  const folded = [...new Set(recordIds)].map(async (id) => {
    const record = recordFrom(...(await Promise.all([all('mirror', id), all('outbox', id)])));
    await ask(record ? records.put(record) : records.delete(id));
    return record;
  });
  return (await Promise.all(folded)).filter(Boolean);
}
