/**
 * A cycle of rounds: offer what waits, slice by slice, and take what is new, page by page, until neither is left.
 * A phone killed anywhere in it starts the next one from what its database says; nothing is remembered here that
 * matters.
 */
import { setAside, takeAnswer } from '../outbox/mirror.js';
import { getMeta } from '../outbox/meta.js';
import { replicaId } from '../outbox/replica.js';
import { localIso } from '../outbox/time.js';
import { APP, PROTOCOL } from '../outbox/version.js';
import { counts, nextBatch } from '../outbox/waiting.js';
import { post } from './wire.js';

const MOST_ENTRIES = 500;
const MOST_BYTES = 1_000_000; // a mebibyte less the envelope
const MOST_TRIES = 3; // of one entry, or of a fresh start, in one cycle: a server that says no for ever isn't asked for ever

/** How many entries the next slice may hold: halved where the server or the link could not take it, doubled after. */
let slice = MOST_ENTRIES;

/** @returns {Promise<import('./wire.js').Reply & {sheet?: Object<string, string>}>} how the cycle ended */
export async function syncCycle() {
  const cycle = { ceiling: MOST_ENTRIES, offered: new Set(), tries: new Map() };
  let batch = await nextSlice(cycle);
  for (;;) {
    const reply = await oneRound(batch);
    const { answer } = reply;
    if (reply.outcome === 'delivered') {
      if (!remember(cycle, batch, reply)) return { outcome: 'trouble' };
      slice = Math.min(cycle.ceiling, slice * 2);
    } else {
      const end = await slowDown(cycle, batch, reply);
      if (end) return end;
    }
    batch = await nextSlice(cycle);
    if (answer && !answer.more && !answer.restart && !batch.length) return { ...reply, sheet: answer.sheet };
  }
}

const nextSlice = (cycle) => nextBatch({ entries: Math.min(slice, cycle.ceiling), bytes: MOST_BYTES }, cycle.offered);

async function oneRound(entries) {
  const asked = [replicaId(), getMeta('cursor'), getMeta('last_sync'), counts()];
  const [replica_id, cursor = null, last, { waiting }] = await Promise.all(asked);
  const sent = Date.now();
  const reply = await post('/api/sync', {
    protocol: PROTOCOL,
    app: APP,
    replica_id,
    sent_at: localIso(sent),
    known_offset_s: last?.offset_s ?? null,
    cursor,
    waiting,
    entries,
  });
  if (reply.outcome !== 'delivered') return reply;
  if (!isAnswer(reply.answer)) return { outcome: 'no_network' }; // somebody answers in the server's place
  const offset_s = (Date.parse(reply.answer.server_time) - (sent + Date.now()) / 2) / 1000;
  return { ...reply, result: await takeAnswer(reply.answer, { at: localIso(), offset_s }) };
}

const isAnswer = (answer) => Array.isArray(answer?.receipts) && Array.isArray(answer.entries) && 'cursor' in answer;

/** What this cycle need not offer again; false where it goes round in a circle. */
function remember(cycle, batch, { answer, result }) {
  for (const { entry_id } of batch) cycle.offered.add(entry_id);
  for (const entry_id of result.cloned) cycle.offered.delete(entry_id);
  if (answer.restart) cycle.offered.clear();
  const again = [...result.cloned, ...(answer.restart ? ['restart'] : [])];
  for (const what of again) cycle.tries.set(what, (cycle.tries.get(what) ?? 0) + 1);
  return again.every((what) => cycle.tries.get(what) < MOST_TRIES);
}

/** Make the next slice smaller if that can help; else say how the cycle ends. */
async function slowDown(cycle, batch, reply) {
  const half = Math.max(1, Math.floor(batch.length / 2));
  if (reply.outcome === 'too_big') cycle.ceiling = half;
  if (reply.timed_out || reply.outcome === 'too_big' || reply.outcome === 'malformed') slice = half;
  if (!['too_big', 'malformed'].includes(reply.outcome)) return reply;
  if (!batch.length) return { ...reply, outcome: 'trouble' };
  return batch.length > 1 ? null : blame(cycle, batch[0], reply);
}

/** One entry alone is at fault only if the server answers well without it. */
async function blame(cycle, entry, reply) {
  const without = await oneRound([]);
  if (without.outcome !== 'delivered') return { ...without, outcome: 'trouble' };
  await setAside(entry, reply.outcome, reply.errors);
  cycle.ceiling = slice = MOST_ENTRIES;
  return null;
}
