/** Screens by the address after the #. Each is loaded when it is first opened; all are on the phone already. */

import { closeKeypad } from './keypad.js';

/**
 * @param {[string, () => Promise<{mount: Function}>, string][]} screens pattern, loader, tab
 * @param {{open: Function, refresh: Function}} frame
 */
export function startRouter(screens, frame, app) {
  /** The screens that led here, this one last. */
  const trail = [];
  let latest = 0;

  app.refresh = () => frame.refresh();
  app.go = (hash) => {
    if (location.hash === hash) open();
    else location.hash = hash;
  };
  // To where this screen was opened from, if that was inside the app; else to the place that makes sense.
  app.back = (otherwise) => (trail.length > 1 ? history.back() : app.go(otherwise));
  // A thing is done: on to its place, and "back" from there doesn't lead into the finished form again.
  app.finish = (hash) => {
    if (trail[trail.length - 2] === hash) history.back();
    else location.replace(hash);
  };

  async function open() {
    latest += 1;
    const mine = latest;
    closeKeypad();
    const { load, params, tab, path } = find(screens, location.hash || '#/pull');
    const { mount } = await load();
    if (mine !== latest) return; // two quick taps: only the later one counts
    if (trail[trail.length - 2] === location.hash) trail.pop();
    else trail.push(location.hash);
    frame.open({ mount, params, tab, path });
  }

  addEventListener('hashchange', open);
  const opened = open();
  opened.then(() => setTimeout(loadAll, LATER_MS, screens));
  return opened;
}

/** Long enough after the start to be out of the way of the first tap. */
const LATER_MS = 1500;

/** Fetches the other screens while nothing else is to do, so that none of them is missing when the network is. */
async function loadAll(screens) {
  const idle = window.requestIdleCallback ?? ((go) => setTimeout(go, 200));
  for (const [, load] of screens) {
    await new Promise((go) => idle(go));
    await load().catch(() => null); // tried again when it is opened
  }
  document.documentElement.dataset.screens = 'all';
}

function find(screens, hash) {
  const [path, query] = hash.replace(/^#/, '').split('?');
  for (const [pattern, load, tab] of screens) {
    const params = match(pattern, path);
    if (params) return { load, tab, path, params: { ...params, ...Object.fromEntries(new URLSearchParams(query)) } };
  }
  return { load: screens[0][1], tab: screens[0][2], path, params: {} };
}

/** {id: "…"} where `path` fits "/shot/:id", else null. */
export function match(pattern, path) {
  const wanted = pattern.split('/');
  const given = path.split('/');
  if (wanted.length !== given.length) return null;
  const params = {};
  for (const [i, part] of wanted.entries()) {
    if (part.startsWith(':')) params[part.slice(1)] = decodeURIComponent(given[i]);
    else if (part !== given[i]) return null;
  }
  return params;
}
