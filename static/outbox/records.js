/** What the screens read. */
import { ask, inOneTransaction } from './database.js';
import { utcIso } from './time.js';

/** @typedef {import('./record.js').Record} Record */

/** @returns {Promise<Record|undefined>} */
export const record = (id) => read('records', (store) => store.get(id));

/**
 * @param {string} kind
 * @param {{retracted?: boolean}} [which] withdrawn ones too?
 * @returns {Promise<Record[]>} oldest first
 */
export async function recordsOf(kind, { retracted = false } = {}) {
  const all = await read('records', (store) => store.index('kind').getAll(kind));
  const time = (one) => one.at ?? one.made_at;
  return all.filter((one) => retracted || !one.retracted).sort((one, other) => (time(one) < time(other) ? -1 : 1));
}

/** Shots pulled from one instant up to another (not included), oldest first. @returns {Promise<Record[]>} */
export async function shotsBetween(fromIso, toIso) {
  const range = IDBKeyRange.bound(['shot', utcIso(fromIso)], ['shot', utcIso(toIso)], false, true);
  const shots = await read('records', (store) => store.index('kind_at').getAll(range));
  return shots.filter((shot) => !shot.retracted);
}

/** What the server worked out for a record; undefined until it has. */
export const figuresOf = async (recordId) => (await read('figures', (store) => store.get(recordId)))?.figures;

/** A part of the sheet as the server last sent it. */
export const sheet = async (part) => (await read('sheet', (store) => store.get(part)))?.body;

/** Every entry about a record: those the server has given back in its order, then those that wait here. */
export function historyOf(recordId) {
  return inOneTransaction(['mirror', 'outbox'], 'readonly', async (tx) => {
    const all = (store) => ask(tx.objectStore(store).index('record_id').getAll(recordId));
    const [pulled, waiting] = await Promise.all([all('mirror'), all('outbox')]);
    pulled.sort((one, other) => one.seq - other.seq);
    waiting.sort((one, other) => one.n - other.n);
    return [
      ...pulled.map((entry) => ({ entry, waiting: false })),
      ...waiting.map((entry) => ({ entry, waiting: true })),
    ];
  });
}

function read(store, request) {
  return inOneTransaction([store], 'readonly', (tx) => ask(request(tx.objectStore(store))));
}
