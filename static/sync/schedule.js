/**
 * When to sync: at the start, when the network or the page comes back, after a save, on a timer (a dead server raises
 * no event), and by hand. One tab at a time: not for correctness, which ids give, but to send things once.
 */
import { changes, listenToOtherTabs } from '../outbox/changes.js';
import { databaseName } from '../outbox/database.js';
import { backoffMs } from './backoff.js';
import { syncCycle } from './round.js';
import { fetchSheet } from './sheet.js';
import { recount, setStatus } from './status.js';

const QUIET_MS = 60_000; // between tries when all is well: what others recorded comes down this often
const LONG_MS = 300_000; // where only a person can help

let working = null;
let wantedAgain = false;
let failures = 0;
let timer = 0;
let notBefore = 0;

/** Start to sync whenever it makes sense; app.js calls it once. */
export function startSync() {
  listenToOtherTabs();
  for (const type of ['saved', 'taken', 'refused', 'cleared']) changes.addEventListener(type, () => recountQuietly());
  addEventListener('online', afresh);
  addEventListener('pageshow', afresh);
  document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && afresh());
  recountQuietly();
  syncNow();
}

/** Sync now. While a sync runs, one more follows it. @returns {Promise<string>} the outcome */
export function syncNow() {
  if (working) wantedAgain = true;
  working ??= untilDone().finally(() => {
    working = null;
  });
  return working;
}

function afresh() {
  failures = 0;
  syncNow();
}

async function untilDone() {
  let outcome;
  do {
    wantedAgain = false;
    outcome = await tryOnce();
  } while (wantedAgain && outcome === 'delivered');
  return outcome;
}

async function tryOnce() {
  clearTimeout(timer);
  const early = notBefore - Date.now();
  if (early > 0) {
    timer = setTimeout(syncNow, early); // the server asked for a rest
    return 'slow_down';
  }
  const reply = await ifNoOtherTab(shownCycle);
  failures = reply.outcome === 'delivered' ? 0 : failures + 1;
  const wait = waitMs(reply);
  if (reply.outcome === 'slow_down') notBefore = Date.now() + wait;
  timer = setTimeout(syncNow, wait);
  return reply.outcome;
}

/** @returns {number} [ms] until the next try that nothing else asks for */
function waitMs({ outcome, wait_ms }) {
  if (outcome === 'delivered') return QUIET_MS * (0.5 + Math.random());
  if (outcome === 'slow_down') return wait_ms ?? backoffMs(failures);
  return ['pair_again', 'update_app', 'update_server'].includes(outcome) ? LONG_MS : backoffMs(failures);
}

function ifNoOtherTab(work) {
  if (!navigator.locks) return work();
  const free = { ifAvailable: true };
  // The other tab's news comes over the channel.
  return navigator.locks.request(`${databaseName()}-sync`, free, (lock) => (lock ? work() : { outcome: 'delivered' }));
}

async function shownCycle() {
  setStatus({ syncing: true });
  const reply = await guardedCycle();
  setStatus({ syncing: false, outcome: reply.outcome });
  await recountQuietly();
  return reply;
}

async function guardedCycle() {
  try {
    const reply = await syncCycle();
    if (reply.outcome === 'delivered') await fetchSheet(reply.sheet ?? {});
    return reply;
  } catch (error) {
    const storage = ['StorageFull', 'StorageLost'].includes(error?.name);
    return { outcome: storage ? 'storage' : 'trouble', errors: { app: [String(error)] } };
  }
}

const recountQuietly = () => recount().catch(() => setStatus({ outcome: 'storage' }));
