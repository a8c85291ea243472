/** The shelf: one line of dates for all, a lane for each bag. */

import { number } from '../ui/format.js';
import { html } from '../ui/html.js';
import { mark } from '../ui/shapes.js';
import { t } from '../words/index.js';
import { lane, stretch, weeksAround } from './charts/lanes.js';
import { day, span } from './when.js';

const SHAPES = { resting: 'waiting', in_window: 'done', past_window: 'over' };
const TONES = { in_window: 'ok', past_window: 'bad' };

// What is so long past its window was most likely thrown away: it stays out of sight, and in the decisions.
const LONG_PAST_DAYS = 28;

export function shelf(picture, today, names) {
  const bags = picture.bags.filter((bag) => bag.condition === 'frozen' || !(bag.days_left < -LONG_PAST_DAYS));
  const along = stretch(today);
  return html`<section id="shelf" aria-labelledby="shelf-h" data-key="shelf">
    <h2 id="shelf-h">${t('shelf.title')}</h2>
    ${bags.length === 0 && html`<p>${t('shelf.none')}</p>`}
    ${bags.length > 0 && html`<div class="axis" aria-hidden="true"><span></span><svg height="20" width="100%">
      ${weeksAround(today).map((date) => axisDay(date, today, along))}</svg><span></span></div>`}
    <ul class="bags">${alike(bags).map((bag) => row(bag, along, names))}</ul>
  </section>`;
}

function axisDay(date, today, along) {
  const x = date === today ? along.today : along.of(date);
  const anchor = x < 5 ? 'start' : 'middle';
  return axisText(x, anchor, date === today ? t('today') : day(date), date === today ? 'now-text' : '');
}

function axisText(x, anchor, text, cls) {
  const node = document.createElementNS('http://www.w3.org/2000/svg', 'text');
  for (const [name, value] of Object.entries({ x: `${x}%`, y: 15, 'text-anchor': anchor, class: cls })) node.setAttribute(name, value);
  node.textContent = text;
  return node;
}

/** Bags that nothing tells apart share a lane; each keeps its own anchor, for a decision may be about one of them. */
function alike(bags) {
  const groups = new Map();
  for (const bag of bags) {
    const { coffee_id, site_id, roasted_on, condition, window_from, window_until } = bag;
    const key = condition === 'open' ? bag.id : JSON.stringify([coffee_id, site_id, roasted_on, condition, window_from, window_until]);
    groups.set(key, [...groups.get(key) ?? [], bag]);
  }
  return [...groups.values()].map((group) => {
    const left_g = group.some((bag) => bag.left_g === null) ? null : group.reduce((sum, bag) => sum + bag.left_g, 0);
    return { ...group[0], left_g, others: group.slice(1) };
  });
}

function row(bag, along, names) {
  const frozen = bag.condition === 'frozen';
  const facts = [t('roasted', { day: day(bag.roasted_on) }), t(`condition.${bag.condition}`),
    bag.others.length > 0 && t('bags', { n: bag.others.length + 1 }),
    bag.left_g === null ? t('not_weighed') : t('at_most_g', { g: number(bag.left_g, 0) }),
    names.many && names.site(bag.site_id)];
  return html`<li id=${`bag-${bag.id}`} data-key=${bag.id} tabindex="-1">
    ${bag.others.map((other) => html`<span id=${`bag-${other.id}`}></span>`)}
    <div class="bag"><b>${bag.coffee ?? t('coffee.unknown')}</b><small>${facts.filter(Boolean).join(' · ')}</small></div>
    ${lane(bag, along)}
    <div class="state ${TONES[bag.freshness] ?? ''}">${mark(frozen ? 'frozen' : SHAPES[bag.freshness] ?? 'look')}
      <span>${t(`freshness.${bag.freshness}`)}<small>${windowWords(bag)}</small></span></div>
  </li>`;
}

function windowWords(bag) {
  if (bag.freshness === null) return bag.doubts[0] ?? '';
  if (bag.freshness === 'resting') return bag.window_from ? t('window.opens', { day: day(bag.window_from) }) : '';
  if (bag.window_until === null) return '';
  if (bag.freshness === 'past_window') return t('window.closed', { day: day(bag.window_until) });
  return t('window.left', { n: bag.days_left, span: span(bag.window_from, bag.window_until) });
}
