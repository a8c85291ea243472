/**
 * Taking what the server answered: mirror, outbox, records, figures, refusals and cursor change in one transaction,
 * so that a phone killed at any moment has taken all of an answer or none of it.
 *
 * An entry leaves the outbox when it comes back in a pull, not when it is acknowledged: only then does the server
 * of this cursor surely hold it, even if yesterday's backup is put in its place.
 */
import { announce } from './changes.js';
import { ask, inOneTransaction } from './database.js';
import { putMeta } from './meta.js';
import { refold } from './record.js';
import { anotherReplica, replicaIn } from './replica.js';

const STORES = ['outbox', 'mirror', 'records', 'figures', 'refused', 'meta'];

/**
 * @param {Object} answer the body of a round's answer
 * @param {{at: string, offset_s: number}} clock when it came, and how far the server's clock is ahead of ours
 * @returns {Promise<{taken: string[], refused: string[], cloned: string[]}>} record ids; entry ids
 */
export async function takeAnswer(answer, clock) {
  const last = { at: clock.at, offset_s: clock.offset_s, server_time: answer.server_time };
  const result = await inOneTransaction(STORES, 'readwrite', async (tx) => {
    const judged = await settle(tx, answer.receipts);
    const taken = answer.restart ? await startAnew(tx, answer.restart) : await takePage(tx, answer);
    await refold(tx, [...judged.touched, ...taken]);
    await putMeta(tx, 'last_sync', last);
    return { taken: [...new Set(taken)], refused: judged.refused, cloned: judged.cloned };
  });
  if (answer.restart) announce('cleared');
  if (result.refused.length) announce('refused', { entry_ids: result.refused });
  if (result.taken.length) announce('taken', { record_ids: result.taken });
  return result;
}

/** This phone now belongs to another site: what it knew goes, what it has not delivered stays. */
export async function leaveSite() {
  await inOneTransaction(STORES, 'readwrite', async (tx) => refold(tx, await startAnew(tx, 'site')));
  announce('cleared');
}

/** Each receipt is judged alone: a refused entry goes to "needs you" and holds up no other. */
async function settle(tx, receipts) {
  const judged = { refused: [], cloned: [], touched: [] };
  for (const { entry_id, receipt, reason, errors } of receipts) {
    if (receipt !== 'refused') continue;
    const entry = await ask(tx.objectStore('outbox').get(entry_id));
    if (!entry) continue; // an old answer, heard twice
    judged.touched.push(entry.record_id);
    if (reason === 'id_reused' && entry.seq) {
      // A restored server has it with the words that were erased since: it isn't lost, and nobody here can mend it.
      await ask(tx.objectStore('outbox').delete(entry_id));
    } else if (reason === 'cloned') {
      await renumber(tx, entry);
      judged.cloned.push(entry_id);
    } else {
      await refuse(tx, entry, reason ?? 'invalid', errors ?? {});
      judged.refused.push(entry_id);
    }
  }
  return judged;
}

/** Put an entry aside that can't even be sent: too large by itself, or of a shape that the server can't read. */
export async function setAside(entry, reason, errors) {
  await inOneTransaction(STORES, 'readwrite', async (tx) => {
    await refuse(tx, entry, reason, errors);
    await refold(tx, [entry.record_id]);
  });
  announce('refused', { entry_ids: [entry.entry_id] });
}

async function refuse(tx, entry, reason, errors) {
  await ask(tx.objectStore('refused').put({ entry_id: entry.entry_id, entry, reason, errors }));
  await ask(tx.objectStore('outbox').delete(entry.entry_id));
}

/**
 * Somebody else counts under this name: a restored backup made two phones of one. This one takes a new name and
 * numbers the entry anew. Only what the server refused: what it stored under the old number stays as it is.
 */
async function renumber(tx, entry) {
  const present = await replicaIn(tx);
  const replica = present.replica_id === entry.replica_id ? await anotherReplica(tx) : present;
  const next = { ...replica, n: replica.n + 1 };
  await putMeta(tx, 'replica', next);
  await ask(tx.objectStore('outbox').put({ ...entry, ...next }));
}

async function takePage(tx, answer) {
  const touched = [];
  for (const entry of answer.entries) {
    await ask(tx.objectStore('mirror').put(entry));
    await ask(tx.objectStore('outbox').delete(entry.entry_id));
    touched.push(entry.record_id);
    if (entry.kind === 'redact') touched.push(...(await redact(tx, entry.fields)));
  }
  for (const [record_id, figures] of Object.entries(answer.figures)) {
    await ask(tx.objectStore('figures').put({ record_id, figures }));
    touched.push(record_id);
  }
  await putMeta(tx, 'cursor', answer.cursor);
  return touched;
}

/** Empty some fields of an earlier entry: its place in the order stays, its words go. */
async function redact(tx, { entry_id, fields }) {
  const touched = [];
  for (const name of ['mirror', 'outbox']) {
    const store = tx.objectStore(name);
    const entry = await ask(store.get(entry_id));
    if (!entry) continue;
    for (const field of fields) if (field in entry.fields) entry.fields[field] = null;
    await ask(store.put(entry));
    touched.push(entry.record_id);
  }
  return touched;
}

/**
 * Read from the start. Where it is another database, whatever is held here may be all that is left of it, whoever
 * made it, so it is offered again, with what the lost server had noted on it; ids make that harmless.
 */
async function startAnew(tx, why) {
  const mirror = tx.objectStore('mirror');
  const held = await ask(mirror.getAll());
  const offered = why === 'database' ? held.filter((entry) => entry.kind !== 'redact') : []; // only a manager erases
  for (const entry of offered) await ask(tx.objectStore('outbox').put(entry));
  await ask(mirror.clear());
  await ask(tx.objectStore('figures').clear());
  await ask(tx.objectStore('meta').delete('cursor'));
  return held.map((entry) => entry.record_id);
}
