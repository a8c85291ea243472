/** What has not come back yet: counted for the screen, and taken in slices for the way up. */
import { ask, inOneTransaction } from './database.js';

/** @returns {Promise<{waiting: number, refused: number}>} */
export function counts() {
  return inOneTransaction(['outbox', 'refused'], 'readonly', async (tx) => {
    const [waiting, refused] = await Promise.all(['outbox', 'refused'].map((name) => ask(tx.objectStore(name).count())));
    return { waiting, refused };
  });
}

/**
 * The next entries to offer: those that a server once gave out, in its order, then this phone's own as they were made.
 * @param {{entries: number, bytes: number}} most at least one entry comes, however large
 * @param {Set<string>} offered entry ids that this cycle has offered already
 */
export function nextBatch(most, offered) {
  return inOneTransaction(['outbox'], 'readonly', async (tx) => {
    const batch = { entries: [], bytes: 0, full: false };
    const wanted = (entry) => !offered.has(entry.entry_id);
    await fill(batch, tx.objectStore('outbox').index('seq').openCursor(), most, wanted);
    const own = (entry) => entry.seq === undefined && wanted(entry);
    if (!batch.full) await fill(batch, tx.objectStore('outbox').index('n').openCursor(), most, own);
    return batch.entries;
  });
}

/** Add what the cursor finds until the batch is full. */
function fill(batch, request, most, wanted) {
  return new Promise((resolve, reject) => {
    request.onerror = () => reject(request.error);
    request.onsuccess = () => {
      const cursor = request.result;
      if (!cursor || batch.full) return resolve();
      if (wanted(cursor.value)) add(batch, cursor.value, most);
      return cursor.continue();
    };
  });
}

function add(batch, entry, most) {
  batch.bytes += sizeOf(entry);
  batch.full = batch.entries.length >= most.entries || (batch.entries.length > 0 && batch.bytes > most.bytes);
  if (!batch.full) batch.entries.push(entry);
}

const sizeOf = (entry) => new TextEncoder().encode(JSON.stringify(entry)).length + 1;
