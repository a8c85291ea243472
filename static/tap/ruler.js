/**
 * A ruler of seconds with the recipe's tolerance marked on it: how far a shot is, told by a length that can be
 * read at arm's length, beside the figure.
 */

import { t } from '../words/index.js';
import { short } from '../ui/format.js';
import { html, svg } from '../ui/html.js';

// Common practice, no source: a recipe without its own tolerance is held to within three seconds.
const TIME_TOL_S = 3;
const NO_RECIPE_S = 40;

/** Lower and upper end of the recipe's time; null without a recipe. */
export function tolerance(recipe) {
  if (!recipe) return null;
  const tol = recipe.time_s_tol ?? TIME_TOL_S;
  return { low: recipe.time_s - tol, high: recipe.time_s + tol };
}

/** The far end of the ruler: the tolerance lies well inside it, and a late shot still has room. */
export function rulerEnd_s(recipe, time_s = 0) {
  const end = recipe ? tolerance(recipe).high * 1.35 : NO_RECIPE_S;
  return Math.ceil(Math.max(end, time_s * 1.08) / 5) * 5;
}

/** early, in, late; null without a recipe. */
export function placeOf(time_s, recipe) {
  const zone = tolerance(recipe);
  if (!zone) return null;
  if (time_s < zone.low) return 'early';
  return time_s > zone.high ? 'late' : 'in';
}

const percent = (share) => `${Math.min(Math.max(share, 0), 1) * 100}%`;

/** @param {object|undefined} recipe its fields  @param {number} time_s  @param {number} [first_drop_s] */
export function ruler(recipe, time_s, first_drop_s) {
  const end = rulerEnd_s(recipe, time_s);
  const zone = tolerance(recipe);
  const label = (at, text) => html`<em style=${{ left: percent(at / end) }}>${text}</em>`;
  return html`<div class="ruler" data-end=${end} role="img" aria-label=${spoken(zone, time_s)}>
    ${zone && html`<i class="zone" style=${{ left: percent(zone.low / end), width: percent((zone.high - zone.low) / end) }}></i>`}
    ${ticks(end)}
    <i class="run" data-still style=${{ transform: `scaleX(${Math.min(time_s / end, 1)})` }}></i>
    ${Number.isFinite(first_drop_s) && html`<i class="drop" style=${{ left: percent(first_drop_s / end) }}></i>`}
    ${zone ? [label(zone.low, short(zone.low)), label(zone.high, short(zone.high))] : label(1, `${short(end)} s`)}
  </div>`;
}

function spoken(zone, time_s) {
  const time = short(time_s, 1);
  return zone ? t('ruler.with', { low: short(zone.low), high: short(zone.high), time }) : t('ruler.without', { time });
}

function ticks(end) {
  const step = end > 90 ? 10 : 1;
  const marks = Array.from({ length: Math.floor(end / step) + 1 }, (_, i) => i * step);
  const x = (at) => (at / end) * 1000;
  const lines = marks.map((at) => `M${x(at)} 20v${at % (step * 5) === 0 ? -12 : -6}`).join('');
  return html`<svg class="ticks" viewBox="0 0 1000 20" preserveAspectRatio="none" aria-hidden="true">
    ${svg`<path d=${lines} vector-effect="non-scaling-stroke"/>`}</svg>`;
}

/** Moves the running end; called many times a second, so it touches one style and nothing else. */
export function paintRuler(element, time_s) {
  const share = Math.min(time_s / Number(element.dataset.end), 1);
  element.querySelector('.run').style.transform = `scaleX(${share})`;
}
