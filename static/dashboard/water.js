/** The last water of each site: what was measured, what it does when it is hot, and whose limits it keeps. */

import { number, short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { mark } from '../ui/shapes.js';
import { t } from '../words/index.js';
import { fold, table } from './table.js';
import { dayAndClockAt } from './when.js';

const PLACES = ['group', 'steam', 'steam_concentrated'];
const SHAPES = { within: 'done', unknown: 'waiting' };

export function water(picture, names) {
  return html`<section id="water" aria-labelledby="water-h" data-key="water">
    <h2 id="water-h">${t('water.title')}</h2>
    ${picture.water.map((sample) => oneSite(sample, names))}
    ${['caution.water', 'caution.machine'].map((key) => html`<p class="caution">${t(key)}</p>`)}
  </section>`;
}

function oneSite(sample, names) {
  const heading = names.many && html`<h3>${names.site(sample.site_id)}</h3>`;
  if (!sample.id) return html`<div class="sample" data-key=${sample.site_id}>${heading}<p>${t('water.none')}</p></div>`;
  const { figures } = sample;
  return html`<div class="sample" data-key=${sample.site_id}>${heading}
    <p class="soft">${[dayAndClockAt(sample.sampled_at, names.zone(sample.site_id)), sample.source].filter(Boolean).join(' · ')}</p>
    ${(figures.doubts ?? []).map((doubt) => html`<p class="warn">${mark('look')} ${doubt}</p>`)}
    <dl class="numerals small">
      ${numeral(figures.hardness_mg_l_caco3, t('water.hardness_mg_l_caco3'), 'mg/L CaCO₃')}
      ${numeral(figures.alkalinity_mg_l_caco3, t('water.alkalinity_mg_l_caco3'), 'mg/L CaCO₃')}
      ${numeral(figures.scale_g_per_week_at_most, t('water.scale'), 'g')}
    </dl>
    ${figures.si_calcite && hot(figures)}
    ${figures.fit && fits(figures)}
    ${figures.why && fold(`why-${sample.id}`, t('water.why'), reasons(figures))}
  </div>`;
}

function numeral(value, words, unit) {
  return Number.isFinite(value) && html`<div><dt>${words}</dt><dd>${number(value, 0)}<small> ${unit}</small></dd></div>`;
}

function hot({ si_calcite: index, si_uncertainty: u, precipitates_mg_l_caco3: scale }) {
  const places = PLACES.filter((place) => Number.isFinite(index[place]));
  return places.length > 0 && table({
    caption: t('water.hot'),
    columns: [{ name: t('water.hot') }, { name: t('water.si'), number: true }, { name: t('water.precipitates'), number: true }],
    rows: places.map((place) => [t(`water.${place}`), `${number(index[place], 1)} ± ${number(u ?? 0.3, 1)}`,
      Number.isFinite(scale?.[place]) ? t('at_most', { n: number(scale[place], 0) }) : '–']),
  });
}

/** The machine maker's limits come first, then what the trade has published for taste. */
function fits(figures) {
  const rows = [...limits(figures.maker ?? {}, t('water.maker')), ...limits(figures.fit, t('water.taste'))];
  return rows.length > 0 && table({
    caption: t('water.fit'),
    columns: [{ name: t('water.property') }, { name: t('water.value'), number: true }, { name: t('water.range'), number: true },
      { name: t('water.verdict') }],
    rows,
  });
}

function limits(fit, whose) {
  return Object.entries(fit).filter(([, of]) => of.value !== null && of.value !== undefined).map(([property, of]) => [
    [t(`water.${property}`), html`<small>${whose}</small>`], short(of.value, 1), range(of),
    html`<span class=${of.verdict === 'within' ? 'ok' : 'warn'}>${mark(SHAPES[of.verdict] ?? 'look')} ${t(`verdict.${of.verdict}`)}</span>`,
  ]);
}

function range({ low, high }) {
  if (low === null || low === undefined) return high === null || high === undefined ? '–' : t('at_most', { n: short(high, 1) });
  return high === null || high === undefined ? t('at_least', { n: short(low, 1) }) : t('from_to', { low: short(low, 1), high: short(high, 1) });
}

/** What was assumed, and each figure's formula and source, as the server gives them. */
function reasons({ assumed, why }) {
  return html`<ul>${(assumed ?? []).map((text) => html`<li>${text}</li>`)}
    ${why.map((one) => html`<li><b>${one.figure}</b> = ${one.formula}; ${t('why.source', { source: one.source })}</li>`)}</ul>`;
}
