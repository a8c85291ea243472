/** A figure that can be tapped: large when somebody weighed it, thin and dotted while it is a guess. */

import { t } from '../words/index.js';
import { number } from '../ui/format.js';
import { html } from '../ui/html.js';

/**
 * @param {{label: string, value: number, unit: string, guess: boolean, digits?: number, note?: string,
 *   onclick: Function}} what
 */
export function figure({ label, value, unit, guess, digits = 1, note, onclick }) {
  const known = Number.isFinite(value);
  return html`<button type="button" class="figure ${guess ? 'guess' : ''}" onclick=${onclick}>
    <span class="name">${label}${guess && html`<span class="tag">${t('guess')}</span>`}</span>
    <span class="value">${known ? number(value, digits) : '–'}<small>${unit}</small></span>
    ${note && html`<span class="note">${note}</span>`}
  </button>`;
}

/** A fact that can be changed with a tap: what it is, and its value. */
export function fact(label, value, href) {
  return html`<a class="fact" href=${href}><span>${label}</span><b>${value}</b></a>`;
}

export function factButton(label, value, onclick) {
  return html`<button type="button" class="fact" onclick=${onclick}><span>${label}</span><b>${value}</b></button>`;
}
