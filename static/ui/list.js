/**
 * Brings what is on screen to what should be there, keeping every node that stays: focus, scroll, a half-typed
 * field and the screen reader's place survive an update. Children are matched by `data-key`, else by order.
 */

import { handlersOf } from './html.js';

/** Makes the children of `place` equal to `wanted` (a node, a fragment or a list of nodes). */
export function show(place, wanted) {
  const list = document.createElement('div');
  list.append(...[wanted].flat().filter((node) => node !== null && node !== undefined && node !== false));
  matchChildren(place, [...list.childNodes]);
}

function matchChildren(parent, wanted) {
  const wantedKeys = new Set(wanted.map(keyOf));
  const keyed = new Map();
  const loose = [];
  for (const node of [...parent.childNodes]) {
    if (!keyOf(node)) loose.push(node);
    else if (wantedKeys.has(keyOf(node))) keyed.set(keyOf(node), node);
    else node.remove();
  }
  let here = parent.firstChild;
  for (const next of wanted) {
    const old = keyOf(next) ? keyed.get(keyOf(next)) : takeAlike(loose, next);
    // Taking a node drops the loose ones before it, so that what stays needn't move: moving would lose the focus.
    while (here && here !== old && !keyOf(here) && !loose.includes(here)) here = dropped(here);
    const kept = old && alike(old, next) ? match(old, next) : next;
    if (kept === here) here = here.nextSibling;
    else parent.insertBefore(kept, here);
  }
  while (here) here = dropped(here);
}

function dropped(node) {
  const after = node.nextSibling;
  node.remove();
  return after;
}

/** The first loose node like `next`; it and those before it are no longer loose, since order is all they have. */
function takeAlike(loose, next) {
  const at = loose.findIndex((node) => alike(node, next));
  return at < 0 ? null : loose.splice(0, at + 1)[at];
}

function keyOf(node) {
  return node.nodeType === Node.ELEMENT_NODE ? node.getAttribute('data-key') : null;
}

function alike(old, next) {
  return old.nodeName === next.nodeName && keyOf(old) === keyOf(next);
}

function match(old, next) {
  if (old.nodeType !== Node.ELEMENT_NODE) {
    if (old.data !== next.data) old.data = next.data;
    return old;
  }
  matchAttributes(old, next);
  if (handlersOf.has(next) || handlersOf.has(old)) takeHandlers(old, next);
  // `data-still` marks what its own code paints, such as a running time.
  if (!next.hasAttribute('data-still')) matchChildren(old, [...next.childNodes]);
  return old;
}

function matchAttributes(old, next) {
  for (const { name } of [...old.attributes]) {
    if (name !== 'style' && !next.hasAttribute(name)) old.removeAttribute(name);
  }
  for (const { name, value } of next.attributes) {
    if (name === 'style' || old.getAttribute(name) === value) continue;
    old.setAttribute(name, value);
    if (name === 'value' && 'value' in old) old.value = value;
  }
  if ('checked' in old && old.checked !== next.hasAttribute('checked')) old.checked = next.hasAttribute('checked');
  if (old.style && !next.hasAttribute('data-still')) {
    if (old.style.cssText !== next.style.cssText) old.style.cssText = next.style.cssText;
  }
}

function takeHandlers(old, next) {
  const handlers = handlersOf.get(next) ?? {};
  const known = handlersOf.get(old) ?? {};
  for (const type of Object.keys(handlers)) {
    if (!(type in known)) old.addEventListener(type, (event) => handlersOf.get(old)[type]?.(event));
  }
  // A type that is gone keeps its listener, which then finds nothing to call.
  const gone = Object.fromEntries(Object.keys(known).map((type) => [type, undefined]));
  handlersOf.set(old, { ...gone, ...handlers });
}
