/** What somebody has to decide, at the top of the screen, most urgent first. */

import { number, short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { mark } from '../ui/shapes.js';
import { t } from '../words/index.js';
import { percent } from './today.js';
import { byWhen, day, span } from './when.js';

/** @param {object} picture @param {string} today a date @param {{choose: Function}} board `choose` shows a series */
export function decisions(picture, today, { choose }) {
  const items = picture.decisions;
  return html`<section id="decisions" aria-labelledby="decisions-h" data-key="decisions">
    <h2 id="decisions-h">${t('decisions')}</h2>
    ${items.length === 0 && html`<p class="calm">${mark('done')} ${t('decisions.none')}</p>`}
    <ul class="decisions">${items.map((item) => row(item, today, choose))}</ul>
  </section>`;
}

function row(item, today, choose) {
  const where = item.where ?? t('every_site');
  const key = `${item.what} ${item.site_id} ${item.about} ${item.link}`;
  return html`<li data-key=${key} class=${item.over ? 'over' : 'ahead'}>
    <span class="what">${mark(item.over ? 'over' : 'look')}${link(item, choose)}</span>
    <span class="where">${where}</span>
    <b class="figure">${figure(item)}</b>
    <span class="by">${byWhen(item.by, today)}</span>
    <small class="reason">${reason(item)}</small>
  </li>`;
}

/** A grinder's decision leads to its own chart; any other to what it is about. */
function link(item, choose) {
  if (item.what !== 'look_at_grinder') return html`<a href="#${item.link}">${title(item)}</a>`;
  return html`<a href="#time" onclick=${() => choose(item.link.slice('time-'.length))}>${title(item)}</a>`;
}

function title(item) {
  const name = t(`decide.${item.what}`);
  return item.about ? `${name}: ${item.about}` : name;
}

/** Each kind of decision has its figure; the words around it are the language's. */
function figure({ what, figure: of }) {
  if (what === 'nothing_in_window') return of.gaps.slice(0, 2).map(([first, last]) => span(first, last)).join(', ');
  if (what === 'water_test_due') return of.days_since === null ? t('never') : t('days_ago', { n: of.days_since });
  if (what === 'phone_silent') return of.hours_since === null ? t('never') : ago(of.hours_since);
  if (what === 'long_past_window') return t('bags', { n: of.bags });
  if (what === 'refused_entries') return t('entries', { n: of.entries });
  if (what === 'water_outside') return `${short(of.value, 1)} ${t(`unit.${of.property}`)}`;
  if (what === 'look_at_grinder') return t('in_tolerance', { on: of.on, of: of.of, ...percent(of) });
  if (what === 'open_a_bag') return t('roasted', { day: day(of.roasted_on) });
  return of.left_g === null ? t('not_weighed') : t('at_most_g', { g: number(of.left_g, 0) });
}

function reason({ what, figure: of, reason: why }) {
  const days = { day: why.window_until && day(why.window_until), roasted: of.roasted_on && day(of.roasted_on) };
  if (what === 'water_test_due' && why.assumed) return t('why.water_test_due.assumed', { n: why.due_days });
  if (what === 'phone_silent') return of.waiting > 0 ? t('why.phone_silent.waiting', { n: of.waiting }) : t('why.phone_silent');
  if (what === 'water_outside') return t('why.water_outside', { name: t(`water.${of.property}`), limit: short(why.limit, 1) });
  const n = why.ahead_days ?? why.due_days ?? why.days ?? of.days_left;
  return t(`why.${what}`, { ...days, n, rest: why.rest_days, coffee: why.coffee ?? t('coffee.unknown') });
}

/** Hours as people say them: hours up to two days, then days. */
export function ago(hours) {
  if (hours < 1) return t('just_now');
  return hours < 48 ? t('hours_ago', { n: Math.floor(hours) }) : t('days_ago', { n: Math.floor(hours / 24) });
}
