/** Small facts about this phone: 'phone', 'replica', 'cursor', 'last_sync', 'running'. */
import { ask, inOneTransaction } from './database.js';

/** @returns {Promise<any>} undefined where nothing was set */
export function getMeta(key) {
  return inOneTransaction(['meta'], 'readonly', (tx) => metaIn(tx, key));
}

export function setMeta(key, value) {
  return inOneTransaction(['meta'], 'readwrite', (tx) => putMeta(tx, key, value), 'strict');
}

/** The same within a transaction that has more to do. */
export async function metaIn(tx, key) {
  return (await ask(tx.objectStore('meta').get(key)))?.value;
}

export async function putMeta(tx, key, value) {
  await ask(tx.objectStore('meta').put({ key, value }));
}
