/** The screen at the machine: start, stop, saved. Which of its three faces shows depends on the bays alone. */

import { uuid7 } from '../outbox/ids.js';
import { record } from '../outbox/records.js';
import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { askNumber } from '../ui/keypad.js';
import { show } from '../ui/list.js';
import { say } from '../ui/bar.js';
import { adviceNow } from './advice.js';
import { buzz, mayRest, stayAwake } from './awake.js';
import * as bays from './bays.js';
import { coffeeOfBag } from './bench.js';
import { nowMs } from './clock.js';
import { freshnessLine } from './freshness.js';
import { groups } from './here.js';
import { chooseLane, lane, laneRecipe, prefill } from './lanes.js';
import { readyView } from './pull-ready.js';
import { paintTimes, runningView } from './pull-running.js';
import { savedView } from './pull-saved.js';
import { bringBack, plannedFields, saveStopped, saveTyped, withdrawShot } from './shots.js';

/** What the person has touched for the next shot; outlives the screen while they look at the shelf. */
let draft = {};
/** @type {Map<string, {bay: object, stoppedMs: number, failed?: string}>} shots on their way to the disk */
const unsaved = new Map();
let showing = null;
let lastStopMs = 0;

/** The start button stands where the stop button stood: a second tap of the same slip starts nothing. */
const DOUBLE_TAP_MS = 600;

export function mount(place, app) {
  const shots = new Map();
  let frame = 0;

  async function update() {
    await Promise.all(groups().map(async (group) => {
      const id = bays.stoppedShot(group);
      const shot = id && (await record(id));
      if (shot && !shot.retracted) shots.set(group, shot);
      else shots.delete(group);
    }));
    paint();
  }

  function paint() {
    const coffee = coffeeOfBag(lane().bag_id);
    show(place.top, html`<a class="title" href="#/pull/bag"><h1>${coffee?.fields.name ?? t('pull.no_bag')}</h1>
      <small>${coffee ? freshnessLine(lane().bag_id) : t('pull.choose_bag')}</small></a>`);
    const view = bays.anyRunning() || unsaved.size > 0 ? runningView
      : shots.has(showing) ? savedView : readyView;
    show(place.main, view(state(), acts));
    cancelAnimationFrame(frame);
    if (bays.anyRunning()) frame = requestAnimationFrame(tick);
  }

  function state() {
    const guess = prefill();
    return { groups: groups(), shots, showing, unsaved, draft, guess, recipe: laneRecipe()?.fields, advice: adviceNow() };
  }

  function tick() {
    paintTimes(place.main);
    frame = requestAnimationFrame(tick);
  }

  const acts = {
    async start(group) {
      if (nowMs() - lastStopMs < DOUBLE_TAP_MS) return;
      showing = null;
      const fields = plannedFields(draft);
      draft = {};
      const kept = bays.startBay(group, uuid7(), fields);
      paint();
      buzz();
      stayAwake();
      focusOn(`[data-stop="${group}"]`);
      await kept;
    },

    async stop(group) {
      const stoppedMs = nowMs();
      const bay = bays.runningBay(group);
      if (!bay) return;
      if (bays.elapsed_s(bay, stoppedMs) < bays.TOO_SOON_S) return takeBackStart(bay);
      lastStopMs = stoppedMs;
      buzz();
      await keep(group, { bay, stoppedMs });
    },

    retry: (group) => keep(group, unsaved.get(group)),

    firstDrop(group) {
      if (bays.markFirstDrop(group)) paint();
    },

    async noFirstDrop(group) {
      bays.takeBackFirstDrop(group);
      paint();
    },

    async typeTime(group) {
      const fields = plannedFields(draft);
      const hint = t('pull.time_hint');
      const time_s = await askNumber({ label: t('time'), unit: 's', value: laneRecipe()?.fields.time_s, low: 1, high: 3600, hint });
      if (time_s === null) return;
      draft = {};
      await saveTyped(uuid7(), group, time_s, fields);
      showing = group;
      await update();
    },

    async touch(name) {
      const value = await askNumber({
        label: t(name), unit: 'g', value: draft[name] ?? prefill()[name], low: 0.1, high: name === 'dose_g' ? 250 : 3000,
        hint: t('pull.weighed_hint'),
      });
      if (value !== null) draft = { ...draft, [name]: value };
      paint();
    },

    chooseLane(name) {
      chooseLane(name);
      draft = {};
      showing = null;
      paint();
    },

    purpose(purpose) {
      draft = { ...draft, purpose: draft.purpose === purpose ? undefined : purpose };
      paint();
    },

    look(group) {
      showing = group;
      paint();
    },

    putAway() {
      bays.clearStopped(showing);
      showing = null;
      paint();
    },

    async takeBack(shot) {
      await withdrawShot(shot);
      const group = showing;
      acts.putAway();
      say(t('pull.taken_back'), async () => {
        await bringBack(shot);
        await bays.freeBay(group, shot.id);
        showing = group;
        await update();
      });
    },

    changed: update,
  };

  function takeBackStart(bay) {
    bays.dropBay(bay.group);
    paint();
    say(t('pull.slip'), async () => {
      await bays.putBack(bay);
      paint();
    });
  }

  async function keep(group, stop) {
    unsaved.set(group, { ...stop, failed: undefined });
    paint();
    try {
      await saveStopped(stop.bay, stop.stoppedMs);
      unsaved.delete(group);
      showing = group;
    } catch (wrong) {
      // Nothing is lost while the page lives: the figures stay here until the phone takes them.
      unsaved.set(group, { ...stop, failed: wrong.name });
      await bays.rememberStop(stop.bay, stop.stoppedMs).catch(() => paint());
    }
    await update();
    mayRest();
    focusOn(`[data-start="${group}"]`);
  }

  /** Whoever works with a keyboard finds the next button under the finger; a thumb doesn't notice. */
  function focusOn(selector) {
    if (document.activeElement === document.body) place.main.querySelector(selector)?.focus({ preventScroll: true });
  }

  /** A stop that the phone would not take before the page was lost is offered again. */
  function resumeStops() {
    for (const bay of bays.runningBays()) if (bay.stopped_ms && !unsaved.has(bay.group)) keep(bay.group, { bay, stoppedMs: bay.stopped_ms });
  }

  const onVisible = () => document.visibilityState === 'visible' && update();
  document.addEventListener('visibilitychange', onVisible);
  paint();
  update();
  resumeStops();
  return {
    update,
    unmount() {
      cancelAnimationFrame(frame);
      document.removeEventListener('visibilitychange', onVisible);
    },
  };
}
