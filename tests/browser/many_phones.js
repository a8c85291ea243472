/**
 * Several phones in one page: the app's own modules on a database per phone, the clock and the network in the test's
 * hand. `askShop(phone, path, body)` is the test's; null is a network that says nothing.
 */
async () => {
  const { ask, inOneTransaction, useDatabase } = await import('/outbox/database.js');
  const { exportPhone, takeIn } = await import('/outbox/carry.js');
  const { save } = await import('/outbox/save.js');
  const { syncCycle } = await import('/sync/round.js');

  const STORES = ['outbox', 'mirror', 'refused', 'records', 'meta', 'figures', 'sheet', 'drafts'];
  const all = (store) => inOneTransaction([store], 'readonly', (tx) => ask(tx.objectStore(store).getAll()));
  const made = new Set();
  let phone = null;

  delete globalThis.CompressionStream; // the test reads bodies as they are
  globalThis.fetch = async (path, { body = null } = {}) => {
    const heard = await globalThis.askShop(phone, path, body);
    if (!heard) throw new TypeError('nothing comes back');
    return new Response(heard.body, { status: heard.status, headers: heard.headers });
  };

  /** Dies in the `cut`-th write from now: after its first request, before its end. */
  let cut = 0;
  const real = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function transaction(stores, mode, options) {
    const tx = real.call(this, stores, mode, options);
    if (mode === 'readwrite') {
      cut -= 1;
      if (cut === 0) tx.objectStore(tx.objectStoreNames[0]).count().onsuccess = () => tx.abort();
    }
    return tx;
  };

  async function as(name, now, dies, work) {
    Date.now = () => now;
    phone = name.split('/').at(-1);
    useDatabase(name);
    made.add(name);
    cut = dies;
    let result;
    try {
      result = { done: await work() };
    } catch (error) {
      result = { failed: String(error) };
    }
    cut = 0;
    const rows = Object.fromEntries(await Promise.all(STORES.map(async (store) => [store, await all(store)])));
    return { ...result, rows };
  }

  async function put(name, rows) {
    useDatabase(name);
    made.add(name);
    await inOneTransaction(STORES, 'readwrite', async (tx) => {
      for (const store of STORES) for (const row of rows[store]) await ask(tx.objectStore(store).put(row));
    });
  }

  globalThis.phones = {
    save: (name, now, dies, change) => as(name, now, dies, () => save([change])),
    sync: (name, now, dies) => as(name, now, dies, async () => (await syncCycle()).outcome),
    export: (name, now) => as(name, now, 0, async () => (await exportPhone()).blob.text()),
    takeIn: (name, now, text) => as(name, now, 0, () => takeIn(new Blob([text]))),
    put,
    async forget() {
      useDatabase('evenpull');
      for (const name of made) await ask(indexedDB.deleteDatabase(name));
      made.clear();
    },
  };
}
