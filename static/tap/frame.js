/** What stays on every screen: the head with the state of the sync, the tabs, and the bar above them. */

import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { mark } from '../ui/shapes.js';
import { say } from '../ui/bar.js';
import { anyRunning } from './bays.js';
import { bench } from './bench.js';
import { paired } from './here.js';
import { TABS } from './screens.js';
import { syncWords } from './sync-words.js';

/** @returns {{open: Function, paint: Function, refresh: Function}} */
export function drawFrame(app) {
  const parts = Object.fromEntries(['top', 'chip', 'strip', 'main', 'foot'].map((id) => [id, document.getElementById(id)]));
  let screen = null;
  let tab = 'pull';
  let opened = 0;
  let said = '';

  function open({ mount, params, tab: ofTab, path }) {
    screen?.unmount?.();
    tab = ofTab;
    const fresh = { top: document.createElement('div'), main: document.createElement('div'), bar: document.createElement('div') };
    parts.top.replaceChildren(fresh.top);
    parts.main.replaceChildren(fresh.main);
    parts.main.scrollTop = 0;
    document.body.dataset.screen = path.split('/')[1];
    const mounted = mount(fresh, app, params);
    screen = mounted;
    screen.bar = fresh.bar;
    paint();
    opened += 1;
    const first = opened === 1;
    Promise.resolve(screen.ready).then(() => screen === mounted && arrive(first));
  }

  /** A screen reader starts at the heading of what has just been opened; at the very first start it starts itself. */
  function arrive(first) {
    paint();
    if (!first) parts.top.querySelector('[tabindex], a')?.focus({ preventScroll: true });
  }

  /** Only where it reads differently: the state of the sync changes several times around every save. */
  function paintChip() {
    const words = syncWords(app.status.current, paired(), app.nearlyFull);
    if (said === words.text) return;
    said = words.text;
    show(parts.chip, chip(words));
  }

  function paint() {
    paintChip();
    show(parts.strip, [updateStrip(app), runningStrip(tab)]);
    document.getElementById('app').dataset.foot = tab ? 'tabs' : 'acts';
    if (tab) show(parts.foot, tabs(tab));
    else if (parts.foot.firstChild !== screen.bar) parts.foot.replaceChildren(screen.bar);
    const heading = parts.top.querySelector('h1')?.textContent;
    document.title = heading ? `${heading} · Evenpull` : 'Evenpull';
  }

  function refresh() {
    screen?.update();
    paint();
  }

  app.status.addEventListener('change', paintChip);
  const refreshSoon = once(refresh);
  // Whatever is saved here or arrives by sync: the screen that is open shows it at once.
  bench.addEventListener('change', refreshSoon);
  return { open, paint, refresh: refreshSoon };
}

/** Does a thing once, however often it is asked for within one task; a save is answered before anything is drawn. */
function once(work) {
  const { port1, port2 } = new MessageChannel();
  let due = false;
  port1.onmessage = () => {
    due = false;
    work();
  };
  return () => {
    if (!due) port2.postMessage(null);
    due = true;
  };
}

function chip({ text, mark: name, tone, href }) {
  return html`<a class="chip-state ${tone}" href=${href}>${mark(name)}<span>${text}</span></a>`;
}

/** An update waits its turn: it is never offered while a shot runs. */
function updateStrip(app) {
  if (!app.updateReady || anyRunning()) return null;
  return html`<div class="strip" data-key="update"><p>${t('update.ready')}</p>
    <button type="button" class="ghost small" onclick=${() => update(app)}>${t('update.now')}</button></div>`;
}

/** Takes the new version; where another tab still holds the old one, says so. */
export async function update(app) {
  if ((await app.applyUpdate()) === 'other_tabs_open') say(t('update.other_tabs'));
}

/** A shot that runs is never out of sight: one tap leads back to it. */
function runningStrip(tab) {
  if (tab === 'pull' || !anyRunning()) return null;
  return html`<a class="strip" data-key="running" href="#/pull">${t('pull.running')}</a>`;
}

function tabs(current) {
  return html`<nav class="tabs" aria-label=${t('tabs')}>${TABS.map((name) => html`<a href="#/${name}"
    aria-current=${name === current ? 'page' : false}>${t(`tab.${name}`)}</a>`)}</nav>`;
}
