/** The shelf: a lane per bag on one axis of dates, so that gaps and overlaps are seen rather than worked out. */

import { t } from '../words/index.js';
import { dayAndMonth, dayAndMonthShort, localDate, noonOf } from '../ui/format.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { bagsInUse, conditionOf, nameOf } from './bench.js';
import { bagText, byFirstToLeave, daysBetween, freshnessTag, windowOf } from './freshness.js';
import { site, siteId } from './here.js';
import { heading } from './parts.js';

/** Days shown: enough before today to see a bag that has passed, enough after it to order in time. */
const BEFORE = 10;
const AFTER = 32;

export function mount(place) {
  function update() {
    const bags = byFirstToLeave(bagsInUse(siteId()));
    show(place.top, heading(t('tab.shelf'), site()?.fields.name));
    show(place.main, html`<div class="page footed"><div class="upper">
      ${bags.length === 0 ? html`<p>${t('shelf.none')}</p>` : lanes(bags)}
      <p class="soft">${t('shelf.key')}</p>
      </div><div class="foot"><a class="go button" href="#/bag/new">${t('bag.arrived')}</a></div>
    </div>`);
  }

  update();
  return { update };
}

function lanes(bags) {
  const today = localDate(new Date());
  return html`<div class="shelf">
    ${axis(today)}
    <i class="today-line" style=${{ left: at(0) }}></i>
    <ul class="plain">${bags.map((bag) => html`<li data-key=${bag.id}><a class="bag" href="#/bag/${bag.id}">
      <span class="bag-head"><b>${nameOf('coffee', bag.fields.coffee_id)}</b>${freshnessTag(bag.id)}</span>
      <small>${bagText(bag)}</small>
      ${span(bag, today)}</a></li>`)}</ul>
  </div>`;
}

/** Where a day lies on the axis; days outside it lie at its ends. */
function at(day) {
  const share = (Math.min(Math.max(day, -BEFORE), AFTER) + BEFORE) / (BEFORE + AFTER);
  return `${share * 100}%`;
}

function axis(today) {
  const date = (day) => new Date(noonOf(today).getTime() + day * 86_400_000);
  return html`<div class="axis" aria-hidden="true">
    ${[-BEFORE, 0, 16, AFTER].map((day) => html`<span class=${day === 0 ? 'now' : ''} style=${{ left: at(day) }}>${
      day === 0 ? t('today') : dayAndMonthShort(date(day))}</span>`)}</div>`;
}

function span(bag, today) {
  const { from, until } = windowOf(bag.id);
  const start = from ? daysBetween(today, from) : AFTER;
  const end = until ? daysBetween(today, until) : AFTER;
  const width = `calc(${at(end + 1)} - ${at(start)})`;
  return html`<span class="lane ${conditionOf(bag.id)}">
    ${from && html`<i class="window" style=${{ left: at(start), width }}></i>`}
    <span class="unseen">${from && t('shelf.window', { from: dayAndMonth(noonOf(from)), until: until ? dayAndMonth(noonOf(until)) : '–' })}</span>
  </span>`;
}
