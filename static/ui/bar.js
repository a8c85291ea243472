/** The bar that says what was just done and takes it back for ten seconds. Nothing is ever asked beforehand. */

import { t } from '../words/index.js';
import { html } from './html.js';
import { show } from './list.js';

export const UNDO_MS = 10_000;

let place;
let timer;

/** @param {HTMLElement} element where the bar appears: over the tabs, never over the main button */
export function barIn(element) {
  place = element;
}

/** Says something and, with `undo`, offers to take it back. A later bar replaces an earlier one. */
export function say(text, undo) {
  const takeBack = async () => {
    clear();
    await undo();
  };
  show(place, html`<div class="said">
    <p>${text}</p>
    ${undo && html`<button type="button" class="undo" onclick=${takeBack}>${t('undo')}</button>`}
    <button type="button" class="away" aria-label=${t('dismiss')} onclick=${clear}>×</button>
  </div>`);
  clearTimeout(timer);
  timer = setTimeout(clear, UNDO_MS);
}

export function clear() {
  clearTimeout(timer);
  show(place, []);
}
