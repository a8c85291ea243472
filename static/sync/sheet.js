/** The parts of the sheet that have changed, fetched one by one: a saved shot doesn't fetch it all again. */
import { ask, inOneTransaction } from '../outbox/database.js';
import { announce } from '../outbox/changes.js';
import { get } from './wire.js';

/** @param {Object<string, string>} etags what the server has now, per part */
export async function fetchSheet(etags) {
  const held = await inOneTransaction(['sheet'], 'readonly', (tx) => ask(tx.objectStore('sheet').getAll()));
  const ours = Object.fromEntries(held.map(({ part, etag }) => [part, etag]));
  const fetched = [];
  for (const [part, etag] of Object.entries(etags)) {
    if (ours[part] !== etag && (await fetchPart(part, etag))) fetched.push(part);
  }
  if (fetched.length) announce('taken', { record_ids: [], parts: fetched });
}

async function fetchPart(part, etag) {
  const { outcome, answer } = await get(`/api/sheet/${part}`);
  if (outcome !== 'delivered') return false; // the next sync asks again
  await inOneTransaction(['sheet'], 'readwrite', async (tx) => {
    await ask(tx.objectStore('sheet').put({ part, etag, body: answer }));
  });
  return true;
}
