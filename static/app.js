/** Wires the parts together: words, what the bench holds, the screens, and (nowhere else) the sync. */

import { changes } from './outbox/changes.js';
import { read } from './outbox/preferences.js';
import { askToPersist } from './outbox/safety.js';
import { syncNow, startSync } from './sync/schedule.js';
import { status } from './sync/status.js';
import { pair } from './sync/pairing.js';
import { applyUpdate, registerWorker, updates } from './sync/update.js';
import { barIn } from './ui/bar.js';
import { startRouter } from './ui/router.js';
import { loadAdvice } from './tap/advice.js';
import { loadBays, anyRunning } from './tap/bays.js';
import { keepBench, loadBench } from './tap/bench.js';
import { loadFreshness } from './tap/freshness.js';
import { drawFrame } from './tap/frame.js';
import { loadHere } from './tap/here.js';
import { fillEmptyLane } from './tap/lanes.js';
import { SCREENS } from './tap/screens.js';
import { preferred, speak } from './words/index.js';

const app = {
  status,
  syncNow,
  updates,
  updateReady: false,
  startsOffline: true,
  applyUpdate,
  installPrompt: null,

  async pair(code, name) {
    const phone = await pair(code, name);
    await loadHere();
    syncNow();
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
    loadHere(), loadBench(), loadBays(), loadAdvice(), loadFreshness(),
  ]);
  keepBench();
  fillEmptyLane();
  barIn(document.getElementById('bar'));
  const frame = drawFrame(app);
  // A phone that nobody has set up begins with the first minute; nothing there is needed to record a shot.
  if (!read('started', false) && !location.hash) location.replace('#/start');
  startRouter(SCREENS, frame, app);
  connect(frame);
}

function connect(frame) {
  changes.addEventListener('saved', () => syncNow());
  changes.addEventListener('saved', () => askToPersist(), { once: true });
  changes.addEventListener('taken', async () => {
    await Promise.all([loadAdvice(), loadFreshness()]);
    fillEmptyLane();
    frame.refresh();
  });
  updates.addEventListener('ready', () => {
    app.updateReady = true;
    frame.paint();
  });
  addEventListener('beforeinstallprompt', (event) => {
    event.preventDefault();
    app.installPrompt = event;
    frame.refresh();
  });
  app.busy = anyRunning;
  startSync();
  // A browser without workers still records; it only can't start without a network, which Set-up says.
  registerWorker().catch(() => { app.startsOffline = false; });
}

start();
