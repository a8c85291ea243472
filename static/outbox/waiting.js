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
 * The next entries to offer, in the order in which they were made.
 * @param {{entries: number, bytes: number}} most at least one entry comes, however large
 * @param {Set<string>} offered entry ids that this cycle has offered already
 */
export function nextBatch(most, offered) {
  return inOneTransaction(['outbox'], 'readonly', (tx) => {
    const batch = [];
    let bytes = 0;
    return new Promise((resolve, reject) => {
      const request = tx.objectStore('outbox').index('n').openCursor();
      request.onerror = () => reject(request.error);
      request.onsuccess = () => {
        const cursor = request.result;
        if (!cursor || batch.length >= most.entries) return resolve(batch);
        if (!offered.has(cursor.value.entry_id)) {
          bytes += sizeOf(cursor.value);
          if (batch.length && bytes > most.bytes) return resolve(batch);
          batch.push(cursor.value);
        }
        return cursor.continue();
      };
    });
  });
}

const sizeOf = (entry) => new TextEncoder().encode(JSON.stringify(entry)).length + 1;
