/** The weeks: each chart answers one question, and has its figures as a table behind it. */

import { number, short } from '../ui/format.js';
import { html, svg } from '../ui/html.js';
import { t } from '../words/index.js';
import { countColumns, shareColumns } from './charts/bars.js';
import { strips } from './charts/strip.js';
import { changed, place, timeChart } from './charts/time.js';
import { behind, table } from './table.js';
import { percent } from './today.js';
import { day, dayAndClockAt } from './when.js';

const keyOf = (series) => `${series.grinder_id}-${series.recipe_id}`;

/** @param {{chosen: string, choose: Function, pick: Function, names: object, width: number}} board */
export function timeToTarget(picture, board) {
  const all = picture.time_to_target;
  const series = all.find((one) => keyOf(one) === board.chosen) ?? all[0];
  return html`<section id="time" aria-labelledby="time-h" data-key="time">
    <h2 id="time-h">${series ? t('time.title', seriesNames(series, board.names)) : t('time.bare')}</h2>
    ${!series && html`<p>${t('time.none')}</p>`}
    ${all.length > 1 && seriesChoice(all, series, board)}
    ${series && chart(series, board)}
  </section>`;
}

function chart(series, { names, width, pick }) {
  const zone = names.zone(series.site_id);
  const title = t('time.title', seriesNames(series, names));
  return [timeChart({ series, title, zone, width, pick }), behind({
    key: `time-${keyOf(series)}`,
    caption: title,
    columns: [{ name: t('col.when') }, { name: t('col.time_to_target'), number: true }, { name: '± s', number: true },
      { name: t('col.place') }, { name: t('col.setting'), number: true }, { name: t('col.before') }],
    rows: [...series.points].reverse().map((point) => [
      dayAndClockAt(point.at, zone), number(point.time_to_target_s), number(2 * point.u_s), t(`place.${place(point, series)}`),
      Number.isFinite(point.setting) ? short(point.setting) : '–', changed(series, point.shot_id),
    ]),
  })];
}

function seriesChoice(all, chosen, { names, choose }) {
  return html`<label class="choice">${t('time.which')}
    <select onchange=${(event) => choose(event.target.value)}>${all.map((series) => html`<option value=${keyOf(series)}
      selected=${series === chosen}>${t('time.option', seriesNames(series, names))}</option>`)}</select></label>`;
}

const seriesNames = (series, names) => ({
  grinder: names.grinder(series.grinder_id), coffee: names.coffee(series.coffee_id), target: short(series.target_s),
});

export function shareOnRecipe(picture, { width }) {
  const weeks = picture.share_on_recipe;
  const words = (week) => t('share.week', { day: day(week.week), on: week.on, of: week.of, ...percent(week) });
  return section('share', t('share.title'), weeks.length === 0 ? html`<p>${t('share.none')}</p>` : [
    shareColumns({
      key: 'share', title: t('share.title'), desc: t('share.desc'), width,
      columns: weeks.map((week) => ({ ...week, name: day(week.week), label: words(week) })),
    }),
    behind({
      key: 'share',
      caption: t('share.title'),
      columns: [{ name: t('col.week') }, { name: t('col.on_recipe'), number: true }, { name: '%', number: true }, { name: '95 %', number: true }],
      rows: weeks.map((week) => {
        const { share, low, high } = percent(week);
        return [day(week.week), t('of', week), share, t('from_to', { low, high })];
      }),
    }),
  ]);
}

export function strengthExtraction(picture, { names, width, pick }) {
  const points = picture.strength_extraction;
  const words = (point) => t('strength.point', {
    at: dayAndClockAt(point.at, names.zone(point.site_id)), coffee: names.coffee(point.coffee_id),
    strength: number(point.strength_pct, 2), u_strength: number(2 * point.u_strength_pct, 2),
    extraction: number(point.extraction_pct, 1), u_extraction: number(2 * point.u_extraction_pct, 1),
  });
  return section('strength', t('strength.title'), points.length === 0 ? html`<p>${t('strength.none')}</p>` : [
    strips({
      key: 'strength', title: t('strength.title'), desc: t('strength.desc', { n: points.length }), width, points,
      rows: [
        { name: t('strength.rail'), of: (point) => point.strength_pct, u: (point) => point.u_strength_pct },
        { name: t('extraction.rail'), of: (point) => point.extraction_pct, u: (point) => point.u_extraction_pct },
      ],
      label: words, pick: (point) => pick(point.shot_id),
    }),
    behind({
      key: 'strength',
      caption: t('strength.title'),
      columns: [{ name: t('col.when') }, { name: t('coffee') }, { name: t('strength.rail'), number: true },
        { name: t('extraction.rail'), number: true }],
      rows: [...points].reverse().map((point) => [
        dayAndClockAt(point.at, names.zone(point.site_id)), names.coffee(point.coffee_id),
        `${number(point.strength_pct, 2)} ± ${number(2 * point.u_strength_pct, 2)}`,
        `${number(point.extraction_pct, 1)} ± ${number(2 * point.u_extraction_pct, 1)}`,
      ]),
    }),
  ]);
}

const CAUSES = ['sunk_g', 'dial_in_g', 'practice_g', 'warm_up_g', 'purge_g', 'milk_g'];

/** A table that is its own chart: each figure has a bar under it, as long as it is large among its kind. */
export function waste(picture) {
  const weeks = picture.waste;
  const causes = CAUSES.filter((cause) => weeks.some((week) => week[cause] > 0));
  const coffee = Math.max(...weeks.flatMap((week) => causes.filter((cause) => cause !== 'milk_g').map((cause) => week[cause])), 1);
  const milk = Math.max(...weeks.map((week) => week.milk_g), 1);
  return section('waste', t('waste.title'), causes.length === 0 ? html`<p>${t('waste.none')}</p>` : [
    table({
      key: 'waste-table',
      caption: t('waste.title'),
      columns: [{ name: t('col.week') }, ...causes.map((cause) => ({ name: t(`waste.${cause}`), number: true }))],
      rows: weeks.map((week) => [day(week.week), ...causes.map((cause) => barred(week[cause], cause === 'milk_g' ? milk : coffee))]),
    }),
    html`<p class="soft">${t('waste.logged_only')}</p>`,
  ]);
}

function barred(grams, most) {
  return html`<span class="barred">${grams === 0 ? '–' : number(grams, 0)}<svg aria-hidden="true" height="6" width="100%">
    ${svg`<rect class="count" y="0" height="6" x=${`${100 - (100 * grams) / most}%`} width=${`${(100 * grams) / most}%`}/>`}</svg></span>`;
}

export function hours(picture, { width }) {
  const busy = picture.hours.filter((hour) => hour.shots > 0).map((hour) => hour.hour);
  if (busy.length === 0) return section('hours', t('hours.title'), html`<p>${t('time.none')}</p>`);
  const shown = picture.hours.slice(Math.max(busy[0] - 1, 0), busy[busy.length - 1] + 2);
  const name = (hour) => `${hour}`;
  return section('hours', t('hours.title'), [
    countColumns({
      key: 'hours', title: t('hours.title'), desc: t('hours.desc'), width,
      columns: shown.map(({ hour, shots }) => ({ name: name(hour), n: shots, label: t('hours.point', { from: hour, to: hour + 1, n: shots }) })),
    }),
    behind({
      key: 'hours', caption: t('hours.title'),
      columns: [{ name: t('col.hour') }, { name: t('col.logged'), number: true }],
      rows: shown.map(({ hour, shots }) => [t('hours.span', { from: hour, to: hour + 1 }), shots]),
    }),
  ]);
}

function section(key, title, content) {
  return html`<section id=${key} aria-labelledby=${`${key}-h`} data-key=${key}><h2 id=${`${key}-h`}>${title}</h2>${content}</section>`;
}
