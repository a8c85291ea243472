/** The day's shots: a small chart, a list, and the tally of those that nobody logged. */

import { recordsOf, shotsBetween } from '../outbox/records.js';
import { t } from '../words/index.js';
import { clock, dayAndMonth, number, ratioText } from '../ui/format.js';
import { dots } from '../ui/chart.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { mark } from '../ui/shapes.js';
import { ratio } from '../compute/sums.js';
import { coffeeOfBag, nameOf, one } from './bench.js';
import { dayStart, site } from './here.js';
import { heading } from './parts.js';
import { placeOf, tolerance } from './ruler.js';
import { endOf } from './shots.js';

export function mount(place, app, { back = '0' }) {
  const daysBack = Math.max(0, Number(back) || 0);

  async function update() {
    const [from, to] = [daysBack, daysBack - 1].map(daysAgo);
    const shots = await shotsBetween(from.toISOString(), to.toISOString());
    const tallies = (await recordsOf('tally')).filter(({ fields }) =>
      Date.parse(fields.to) > from.getTime() && Date.parse(fields.from) < to.getTime());
    show(place.top, heading(daysBack === 0 ? t('tab.today') : dayAndMonth(from), site()?.fields.name));
    show(place.main, html`<div class="page footed"><div class="upper">
      ${summary(shots, tallies)}
      ${shots.length > 1 && chart(shots)}
      ${shots.length === 0 && html`<p>${t('today.none')}</p>`}
      <ul class="plain shots">${[...shots].reverse().map(shotRow)}</ul>
      </div><div class="foot pair">
        <a class="ghost button" href=${`#/today?back=${daysBack + 1}`}>${t('today.before')}</a>
        <a class="go button" href="#/tally">${t('tally')}</a>
      </div>
    </div>`);
  }

  return { ready: update(), update };
}

/** The start of the working day so many days ago; by the calendar, since a day isn't always 24 hours long. */
function daysAgo(days) {
  const start = dayStart();
  start.setDate(start.getDate() - days);
  return start;
}

function summary(shots, tallies) {
  const sunk = shots.filter((shot) => endOf(shot) === 'sunk').length;
  const counted = tallies.reduce((sum, { fields }) => sum + (fields.shots ?? 0), 0);
  return html`<p class="sum"><b>${shots.length}</b> ${t('today.logged', { n: shots.length })}${
    counted > 0 && t('today.tallied', { n: counted })}${sunk > 0 && t('today.sunk', { n: sunk })}</p>`;
}

function chart(shots) {
  const points = shots.map(({ id, fields }) => ({
    value: fields.time_s, odd: Boolean(fields.fault) || endOf({ fields }) !== 'served', key: id,
  }));
  const recipe = one('recipe', shots[shots.length - 1].fields.recipe_id)?.fields;
  return dots({ points, zone: tolerance(recipe), unit: 's', label: t('today.chart', { n: shots.length }) });
}

function shotRow(shot) {
  const { fields } = shot;
  const end = endOf(shot);
  const recipe = one('recipe', fields.recipe_id)?.fields;
  const where = placeOf(fields.time_s, recipe);
  const words = [nameOf('coffee', coffeeOfBag(fields.bag_id)?.id), nameOf('person', fields.person_id),
    fields.fault ? t(`fault.${fields.fault}`) : end !== 'served' && t(`end.${end}`)].filter(Boolean).join(', ');
  return html`<li data-key=${shot.id}><a class="shot" href="#/shot/${shot.id}">
    <span class="at">${clock(fields.pulled_at)}${shot.waiting && html`<span class="state">${mark('waiting')}<span
      class="unseen">${t('on_this_phone')}</span></span>`}</span>
    <span class="what"><b>${number(fields.time_s)} s</b>
      <span class=${where === 'in' ? 'ok' : ''}>${where && t(`place.${where}`)}</span>
      <span class="masses">${t('shot.masses', { dose: number(fields.dose_g), yield: number(fields.yield_g) })},
        ${ratioText(ratio(fields.yield_g, fields.dose_g))}</span>
      <small>${words}</small></span></a></li>`;
}
