/** Wires the parts together: words, what the bench holds, the screens, and (nowhere else) the sync. */

import { adoptSite } from './outbox/adopt.js';
import { changes } from './outbox/changes.js';
import { read } from './outbox/preferences.js';
import { askToPersist, storageState } from './outbox/safety.js';
import { status } from './sync/status.js';
import { barIn, say } from './ui/bar.js';
import { startRouter } from './ui/router.js';
import { loadAdvice } from './tap/advice.js';
import { loadBays, anyRunning } from './tap/bays.js';
import { keepBench, loadBench } from './tap/bench.js';
import { loadFreshness } from './tap/freshness.js';
import { drawFrame } from './tap/frame.js';
import { loadHere } from './tap/here.js';
import { fillEmptyLane } from './tap/lanes.js';
import { SCREENS } from './tap/screens.js';
import { preferred, speak, t } from './words/index.js';

/** All of the sync but its status comes after the first screen: neither the start nor a tap waits for it. */
const schedule = () => import('./sync/schedule.js');
const update = () => import('./sync/update.js');

const app = {
  status,
  updateReady: false,
  startsOffline: true,
  installPrompt: null,
  busy: anyRunning,
  syncNow: async () => (await schedule()).syncNow(),
  applyUpdate: async () => (await update()).applyUpdate(),

  async pair(code, name) {
    const { pair } = await import('./sync/pairing.js');
    const phone = await pair(code, name);
    await adoptSite(phone.site_id);
    await loadHere();
    app.syncNow();
    return phone;
  },

  async language(code) {
    await speak(code, navigator.languages);
    document.documentElement.lang = code;
  },
};

async function start() {
  document.documentElement.dataset.hand = read('hand', 'right');
  await Promise.all([
    app.language(preferred(read('language', null), navigator.languages)),
    loadHere(), loadBench().then(loadFreshness), loadBays(), loadAdvice(),
  ]);
  keepBench();
  fillEmptyLane();
  barIn(document.getElementById('bar'));
  const frame = drawFrame(app);
  // A phone that nobody has set up begins with the first minute; nothing there is needed to record a shot.
  if (!read('started', false) && !location.hash) location.replace('#/start');
  startRouter(SCREENS, frame, app);
  listen(frame);
  watchStorage(frame);
  connect(frame);
}

function listen(frame) {
  changes.addEventListener('saved', async () => {
    await loadAdvice(); // a pull, or a move of the grinder, uses the last advice up
    frame.refresh();
  });
  changes.addEventListener('saved', () => askToPersist(), { once: true });
  changes.addEventListener('taken', async () => {
    await Promise.all([loadAdvice(), loadFreshness()]);
    fillEmptyLane();
    frame.refresh();
  });
  // Screens only move on when a save has succeeded, so what was typed is still there to be saved again.
  addEventListener('unhandledrejection', ({ reason }) => {
    if (String(reason?.name).startsWith('Storage')) say(t(reason.name === 'StorageFull' ? 'save_failed.full' : 'save_failed.why'));
  });
  addEventListener('beforeinstallprompt', (event) => {
    event.preventDefault();
    app.installPrompt = event;
    frame.refresh();
  });
}

async function connect(frame) {
  try {
    const [{ startSync, syncNow }, { registerWorker, updates }] = await Promise.all([schedule(), update()]);
    changes.addEventListener('saved', () => syncNow());
    updates.addEventListener('ready', () => {
      app.updateReady = true;
      frame.paint();
    });
    startSync();
    // A browser without workers still records; it only can't start without a network, which Set-up says.
    registerWorker().catch(() => { app.startsOffline = false; });
  } catch {
    // A network that was cut in the middle of the very first start: what is saved meanwhile waits in the outbox.
    setTimeout(connect, 10_000, frame);
  }
}

/** Says that the storage is nearly full while there is still room to do something about it. */
async function watchStorage(frame) {
  app.nearlyFull = (await storageState()).nearlyFull;
  frame.paint();
  setTimeout(() => watchStorage(frame), 10 * 60_000);
}

start();
