/**
 * "Needs you": entries that the server would not store. None leaves here but by a person's hand, and the server
 * keeps its own copy aside.
 */
import { announce } from './changes.js';
import { ask, inOneTransaction } from './database.js';
import { save } from './save.js';

/** @returns {Promise<{entry: import('../compute/fold.js').Entry, errors: Object<string, string[]>, reason: string}[]>} */
export function refusedEntries() {
  return inOneTransaction(['refused'], 'readonly', (tx) => ask(tx.objectStore('refused').getAll()));
}

/**
 * Send a refused entry again with some of its fields set right: a new entry about the same record.
 * @param {string} entryId
 * @param {Object<string, any>} fields the mended ones; undefined leaves a field out
 */
export async function resend(entryId, fields) {
  const held = await inOneTransaction(['refused'], 'readonly', (tx) => ask(tx.objectStore('refused').get(entryId)));
  if (!held) throw new Error(`no refused entry ${entryId} on this phone`);
  const { kind, record_id, retract, fields: before } = held.entry;
  const all = Object.entries({ ...before, ...fields }).filter(([, value]) => value !== undefined);
  const records = await save([{ kind, record_id, retract, fields: Object.fromEntries(all) }]);
  await withdraw(entryId); // only now: a kill in between leaves it here twice rather than nowhere
  return records;
}

/** Let a refused entry go. */
export async function withdraw(entryId) {
  await inOneTransaction(['refused'], 'readwrite', async (tx) => {
    await ask(tx.objectStore('refused').delete(entryId));
  });
  announce('refused', { entry_ids: [] });
}
