/**
 * What is on this phone: the one module that holds the database handle.
 *
 * A write is real at the transaction's `complete`, never at a request's `success`; a full disk shows itself only as
 * the transaction's `abort`. A handle can die under a page that was in the background (webkit.org/b/277615), so a
 * lost one is opened anew and the work is done once more.
 */

const VERSION = 1;

/** Stores and indexes are only ever added: an older phone's outbox must open for ever. */
const STORES = {
  outbox: { keyPath: 'entry_id', indexes: { n: 'n', record_id: 'record_id', seq: 'seq' } },
  mirror: { keyPath: 'entry_id', indexes: { record_id: 'record_id' } },
  records: { keyPath: 'id', indexes: { kind: 'kind', kind_at: ['kind', 'at'] } },
  figures: { keyPath: 'record_id', indexes: {} },
  refused: { keyPath: 'entry_id', indexes: {} },
  meta: { keyPath: 'key', indexes: {} },
  sheet: { keyPath: 'part', indexes: {} },
  drafts: { keyPath: 'key', indexes: {} },
};

let name = 'evenpull';
/** @type {Promise<IDBDatabase>|null} */
let handle = null;

/** The name of the database in use: locks and channels are named after it. */
export const databaseName = () => name;

/** Work on another database from here on. Tests keep several phones in one page that way. */
export function useDatabase(other) {
  handle?.then((db) => db.close(), () => {});
  handle = null;
  name = other;
}

/**
 * Do `work` in one transaction and answer with its result once that is durable.
 *
 * @template T
 * @param {string[]} stores
 * @param {'readonly'|'readwrite'} mode
 * @param {(tx: IDBTransaction) => T|Promise<T>} work awaits nothing but this transaction's requests (a fetch would
 *   close it), and can be done twice: after a lost handle nobody knows whether the first time counted
 * @param {'strict'|'relaxed'} [durability] 'strict' for whatever a person was told is saved
 * @returns {Promise<T>}
 */
export async function inOneTransaction(stores, mode, work, durability = 'relaxed') {
  try {
    return await attempt(stores, mode, work, durability);
  } catch (error) {
    if (!isLost(error)) throw named(error);
  }
  handle = null;
  try {
    return await attempt(stores, mode, work, durability);
  } catch (error) {
    throw isLost(error) ? storageError('StorageLost', error) : named(error);
  }
}

/** A request's result. @returns {Promise<any>} */
export function ask(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

async function attempt(stores, mode, work, durability) {
  const mine = open();
  const db = await mine;
  const tx = db.transaction(stores, mode, { durability });
  const done = finished(tx);
  const working = (async () => work(tx))();
  try {
    const [result] = await Promise.all([working, done]);
    return result;
  } catch (error) {
    abandon(tx);
    await done.catch(() => {});
    if (handle !== mine && !tx.error) throw new DOMException('the browser closed the database', 'InvalidStateError');
    throw tx.error ?? error; // a full disk: the request says AbortError, the transaction says why
  }
}

function finished(tx) {
  return new Promise((resolve, reject) => {
    tx.oncomplete = () => resolve();
    tx.onabort = () => reject(tx.error ?? new DOMException('the transaction was aborted', 'AbortError'));
  });
}

function abandon(tx) {
  try {
    tx.abort();
  } catch {
    // It has ended already, which is what was wanted.
  }
}

function open() {
  handle ??= opened(VERSION).catch((error) => {
    handle = null;
    // A newer app was here and went back: what it added does no harm, so take the database as it is.
    if (error?.name === 'VersionError') return (handle = opened(undefined));
    throw error;
  });
  return handle;
}

function opened(version) {
  return new Promise((resolve, reject) => {
    const request = version ? indexedDB.open(name, version) : indexedDB.open(name);
    request.onupgradeneeded = () => addMissing(request.result, request.transaction);
    request.onerror = () => reject(request.error);
    request.onsuccess = () => resolve(watched(request.result));
  });
}

function addMissing(db, tx) {
  for (const [store, { keyPath, indexes }] of Object.entries(STORES)) {
    const has = db.objectStoreNames.contains(store);
    const made = has ? tx.objectStore(store) : db.createObjectStore(store, { keyPath });
    for (const [index, path] of Object.entries(indexes)) {
      if (!made.indexNames.contains(index)) made.createIndex(index, path);
    }
  }
}

function watched(db) {
  const forget = () => {
    handle = null;
  };
  db.onclose = forget;
  db.onversionchange = () => {
    db.close(); // else the newer app in another tab waits for this one for ever
    forget();
  };
  return db;
}

const isLost = (error) => ['InvalidStateError', 'UnknownError'].includes(error?.name);

function named(error) {
  if (error?.name === 'QuotaExceededError') return storageError('StorageFull', error);
  return error;
}

function storageError(name, cause) {
  const error = new Error(`${name}: ${cause?.message ?? cause}`, { cause });
  error.name = name;
  return error;
}
