/** The water: the last figures that the server worked out, the samples, and the way to a drop test. */

import { figuresOf, recordsOf, sheet } from '../outbox/records.js';
import { has, t, tOr } from '../words/index.js';
import { dayAndMonth, number, short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { site } from './here.js';
import { caution, heading } from './parts.js';
import { HARDNESS_UNITS } from './units.js';

const SHOWN = 12;

export function mount(place) {
  async function update() {
    const [samples, part] = await Promise.all([recordsOf('water'), sheet('water')]);
    const last = samples[samples.length - 1];
    const figures = last && ((await figuresOf(last.id)) ?? (part?.water?.id === last.id ? part.figures : undefined));
    show(place.top, heading(t('tab.water'), site()?.fields.name));
    show(place.main, html`<div class="page footed"><div class="upper">
      ${last ? lastSample(last, figures) : html`<p>${t('water.none')}</p>`}
      ${samples.length > 1 && html`<h2>${t('water.samples')}</h2>`}
      <ul class="plain quiet">${samples.slice(-SHOWN, -1).reverse().map((sample) => html`<li data-key=${sample.id}>
        <span>${dayAndMonth(sample.fields.sampled_at)}</span><b>${sampleText(sample.fields)}</b></li>`)}</ul>
      ${caution('caution.water')}
      </div><div class="foot"><a class="go button" href="#/water/drops">${t('water.drop_test')}</a></div>
    </div>`);
  }

  return { ready: update(), update };
}

const withUnit = ({ value, unit }) => `${short(value)} ${HARDNESS_UNITS[unit] ?? unit}`;

export function sampleText({ hardness, alkalinity, source }) {
  return [hardness && t('water.hardness_is', { value: withUnit(hardness) }),
    alkalinity && t('water.alkalinity_is', { value: withUnit(alkalinity) }), source].filter(Boolean).join(', ');
}

function lastSample({ fields }, figures) {
  return html`<section class="water-last">
    <p class="soft">${t('water.last', { date: dayAndMonth(fields.sampled_at) })}</p>
    <div class="pair figures">
      ${['hardness', 'alkalinity'].map((name) => html`<div class="figure"><span class="name">${t(name)}</span>
        <span class="value">${fields[name] ? short(fields[name].value) : '–'}<small>${
          fields[name] ? HARDNESS_UNITS[fields[name].unit] : ''}</small></span></div>`)}
    </div>
    ${figures ? worked(figures) : html`<p class="soft">${t('water.no_figures')}</p>`}
  </section>`;
}

/** The server's figures; the words for them are ours, the numbers never. */
function worked(figures) {
  const lines = [];
  for (const where of ['group', 'steam']) {
    const value = figures.si_calcite?.[where];
    if (Number.isFinite(value)) lines.push([t(`water.si.${where}`), `${number(value, 1)} ± ${number(0.3, 1)}`]);
  }
  if (Number.isFinite(figures.scale_g_per_week_at_most)) {
    lines.push([t('water.scale'), t('water.scale_at_most', { g: number(figures.scale_g_per_week_at_most, 0) })]);
  }
  for (const [name, { verdict }] of Object.entries(figures.fit ?? {})) {
    if (has(`water.fit.${verdict}`)) lines.push([tOr(`property.${name}`, name), t(`water.fit.${verdict}`)]);
  }
  return html`<dl class="lines">${lines.map(([name, value]) => html`<div><dt>${name}</dt><dd>${value}</dd></div>`)}</dl>`;
}
