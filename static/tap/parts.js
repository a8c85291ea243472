/** Pieces that several screens are made of. */

import { t, tOr } from '../words/index.js';
import { html } from '../ui/html.js';

export function heading(title, under) {
  return html`<div class="title"><h1 tabindex="-1">${title}</h1>${under && html`<small>${under}</small>`}</div>`;
}

/** The bar at the foot of a screen that was opened from another: the way back, and the main act if there is one. */
export function backBar(href, act) {
  return html`<div class="acts">
    <a class="ghost button" href=${href}>${t('back')}</a>
    ${act && html`<button type="button" class="go" onclick=${act.onclick} disabled=${act.disabled}>${act.label}</button>`}
  </div>`;
}

/** A line that leads somewhere: what it is, what it stands at. */
export function row(label, value, href, note) {
  return html`<a class="row" href=${href}><span>${label}${note && html`<small>${note}</small>`}</span><b>${value}</b></a>`;
}

/** One of several: large, in a column, the chosen one marked by more than colour. */
export function option({ title, note, chosen, onclick, tail, key }) {
  return html`<button type="button" class="option" data-key=${key} aria-pressed=${String(Boolean(chosen))} onclick=${onclick}>
    <span><b>${title}</b>${note && html`<small>${note}</small>`}</span>${tail}</button>`;
}

/** A record's field by its word; one of a later version by its own name. */
export function fieldWord(name) {
  const [outer] = name.split('.');
  return tOr(`field.${outer}`, outer);
}

export function caution(key) {
  return html`<p class="caution">${t(key)}</p>`;
}
