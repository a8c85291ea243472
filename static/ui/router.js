/** Screens by the address after the #. Each is loaded when it is first opened; all are on the phone already. */

import { closeKeypad } from './keypad.js';

/**
 * @param {[string, () => Promise<{mount: Function}>, string][]} screens pattern, loader, tab
 * @param {{open: Function, refresh: Function}} frame
 */
export function startRouter(screens, frame, app) {
  app.go = (hash) => {
    if (location.hash === hash) open();
    else location.hash = hash;
  };
  // Where the screen was opened from, if it was from inside the app; else the place that makes sense.
  app.back = (fallback) => (depth > 1 ? history.back() : app.go(fallback));
  app.refresh = () => frame.refresh();
  let depth = 0;
  let latest = 0;

  async function open() {
    depth += 1;
    latest += 1;
    const mine = latest;
    closeKeypad();
    const { load, params, tab, path } = find(screens, location.hash || '#/pull');
    const { mount } = await load();
    // Two quick taps: only the later one counts.
    if (mine === latest) frame.open({ mount, params, tab, path });
  }

  addEventListener('hashchange', open);
  return open();
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
