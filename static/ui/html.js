/**
 * Turns a template literal into DOM. What is put into a hole is a value, never markup, so nothing that a person
 * types can become an element.
 *
 *   html`<button class=${cls} onclick=${fn}>${text}</button>`
 *
 * A hole in a tag is one whole attribute value (or part of a quoted one); a hole between tags is text, a node, or
 * a list of those; null, undefined and false leave nothing.
 */

const recipes = new WeakMap();
const HOLE = /h0le(\d+);/g;
const ONE_HOLE = /^h0le(\d+);$/;
// HTML lowers the names of attributes it doesn't know, and a hole's name is one; SVG minds the case.
const SVG_NAMES = { viewbox: 'viewBox', preserveaspectratio: 'preserveAspectRatio' };

/** Handlers live beside the node, so that ui/list.js can hand new ones to a node that stays. */
export const handlersOf = new WeakMap();

export function html(strings, ...values) {
  return build(strings, values, false);
}

/** The same for what goes inside an <svg>: its elements need another namespace. */
export function svg(strings, ...values) {
  return build(strings, values, true);
}

function build(strings, values, insideSvg) {
  if (!recipes.has(strings)) recipes.set(strings, templateOf(strings, insideSvg));
  const content = document.importNode(recipes.get(strings).content, true);
  const root = insideSvg ? content.firstElementChild : content;
  for (const node of holesIn(root)) fill(node, values);
  return oneNode(root, insideSvg);
}

function templateOf(strings, insideSvg) {
  let markup = strings[0];
  for (let i = 1; i < strings.length; i += 1) {
    const inTag = markup.lastIndexOf('<') > markup.lastIndexOf('>');
    // Under another name until it is filled: the security policy reports an onclick or style attribute however
    // short its life, and an SVG path complains of a `d` that isn't one.
    const bare = inTag && /([\w-]+)=$/.test(markup);
    if (bare) markup = `${markup.replace(/([\w-]+)=$/, 'data-h0le-$1=')}"h0le${i - 1};"`;
    else markup += inTag ? `h0le${i - 1};` : `<!--h0le${i - 1};-->`;
    markup += strings[i];
  }
  const template = document.createElement('template');
  template.innerHTML = insideSvg ? `<svg>${markup.trim()}</svg>` : markup.trim();
  return template;
}

function holesIn(root) {
  const walker = document.createTreeWalker(root, NodeFilter.SHOW_ELEMENT | NodeFilter.SHOW_COMMENT);
  const found = [];
  while (walker.nextNode()) found.push(walker.currentNode);
  return found;
}

function fill(node, values) {
  if (node.nodeType === Node.COMMENT_NODE) {
    const hole = ONE_HOLE.exec(node.data);
    if (hole) node.replaceWith(...nodesFrom(values[hole[1]]));
    return;
  }
  for (const { name, value } of [...node.attributes]) {
    const whole = ONE_HOLE.exec(value);
    if (whole) {
      node.removeAttribute(name);
      const plain = name.replace('data-h0le-', '');
      setAttribute(node, SVG_NAMES[plain] ?? plain, values[whole[1]]);
    } else if (value.includes('h0le')) {
      node.setAttribute(name, value.replace(HOLE, (_, i) => values[i] ?? ''));
    }
  }
}

function nodesFrom(value) {
  if (value === null || value === undefined || value === false || value === '') return [];
  if (Array.isArray(value)) return value.flatMap(nodesFrom);
  return [value instanceof Node ? value : document.createTextNode(String(value))];
}

function setAttribute(node, name, value) {
  if (value === null || value === undefined || value === false) return;
  if (typeof value === 'function') on(node, name.slice(2), value);
  // The content security policy refuses style attributes; the object model is allowed.
  else if (name === 'style') for (const [key, text] of Object.entries(value)) node.style.setProperty(key, text);
  else node.setAttribute(name, value === true ? '' : value);
  if (name === 'value' && node.nodeName === 'TEXTAREA') node.textContent = value;
}

function on(node, type, handler) {
  const handlers = handlersOf.get(node) ?? {};
  if (!(type in handlers)) node.addEventListener(type, (event) => handlersOf.get(node)[type]?.(event));
  handlersOf.set(node, { ...handlers, [type]: handler });
}

function oneNode(root, insideSvg) {
  if (root.childNodes.length === 1) return root.firstChild;
  if (!insideSvg) return root;
  const fragment = document.createDocumentFragment();
  fragment.append(...root.childNodes);
  return fragment;
}
