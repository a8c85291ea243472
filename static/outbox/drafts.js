/** Half-typed forms: a phone may drop the page whenever it is hidden, and nobody should type a thing twice. */
import { ask, inOneTransaction } from './database.js';

export function readDraft(key) {
  return inOneTransaction(['drafts'], 'readonly', async (tx) => (await ask(tx.objectStore('drafts').get(key)))?.value);
}

export function writeDraft(key, value) {
  return inOneTransaction(['drafts'], 'readwrite', async (tx) => {
    await ask(tx.objectStore('drafts').put({ key, value }));
  });
}

export function dropDraft(key) {
  return inOneTransaction(['drafts'], 'readwrite', async (tx) => {
    await ask(tx.objectStore('drafts').delete(key));
  });
}
