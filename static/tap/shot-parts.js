/** What a shot shows wherever it is open: its figures, what became of it, its taste, its strength. */

import { extraction_pct, ratio } from '../compute/sums.js';
import { t } from '../words/index.js';
import { number, ratioText, short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { askNumber } from '../ui/keypad.js';
import { say } from '../ui/bar.js';
import { figure } from './figure.js';
import { before, ENDS, endOf, FAULTS, setFields, setFigure } from './shots.js';

const HIGHEST = { dose_g: 250, yield_g: 3000, time_s: 3600, first_drop_s: 600 };

/** Changes a shot and offers the way back. */
export async function change(shot, fields, text, changed) {
  const was = before(shot, fields);
  const now = await setFields(shot, fields);
  await changed(now);
  say(text, async () => changed(await setFields(now, was)));
}

async function touch(shot, name, unit, changed) {
  const hint = shot.fields.assumed?.includes(name) ? t('pull.weighed_hint') : undefined;
  const value = await askNumber({ label: t(name), unit, value: shot.fields[name], low: 0.1, high: HIGHEST[name], hint });
  if (value !== null) await changed(await setFigure(shot, name, value));
}

export function shotFigures(shot, changed) {
  const { fields } = shot;
  const guessed = (name) => fields.assumed?.includes(name) ?? false;
  return html`<div class="pair figures">
    ${figure({ label: t('dose_g'), value: fields.dose_g, unit: 'g', guess: guessed('dose_g'),
      onclick: () => touch(shot, 'dose_g', 'g', changed) })}
    ${figure({ label: t('yield_g'), value: fields.yield_g, unit: 'g', guess: guessed('yield_g'),
      note: ratioText(ratio(fields.yield_g, fields.dose_g)), onclick: () => touch(shot, 'yield_g', 'g', changed) })}
  </div>`;
}

export function timeFigures(shot, changed) {
  const { fields } = shot;
  return html`<div class="pair figures">
    ${figure({ label: t('time'), value: fields.time_s, unit: 's', onclick: () => touch(shot, 'time_s', 's', changed) })}
    ${figure({ label: t('first_drop'), value: fields.first_drop_s, unit: 's',
      onclick: () => touch(shot, 'first_drop_s', 's', changed) })}
  </div>`;
}

/** Served, sunk, dialling in, practice, warm-up, each one tap; a fault is named beside them. */
export function endsRow(shot, changed) {
  const now = endOf(shot);
  const choose = (end) => change(shot, ENDS[end], t('said.end', { end: t(`end.${end}`) }), changed);
  const { fault } = shot.fields;
  return html`<div class="ends" role="group" aria-label=${t('end')}>
    ${Object.keys(ENDS).map((end) => html`<button type="button" class="pick" aria-pressed=${String(end === now)}
      onclick=${() => choose(end)}>${t(`end.${end}`)}</button>`)}
    <a class="pick ${fault ? 'set' : ''}" href="#/fault/${shot.id}">${fault ? t(`fault.${fault}`) : t('fault')}</a>
  </div>`;
}

export function faultChoices(shot, changed) {
  const now = shot.fields.fault ?? null;
  return html`<div class="stack">${[...FAULTS, null].map((fault) => html`<button type="button" class="pick tall"
    aria-pressed=${String(fault === now)} onclick=${() => change(shot, { fault }, t('said.changed'), changed)}>
    <b>${t(`fault.${fault ?? 'none'}`)}</b><small>${t(`fault.${fault ?? 'none'}.what`)}</small></button>`)}</div>`;
}

/** "acidity a little high" for what is off; null where nobody has tasted. */
export function tasteText(taste) {
  if (!taste) return null;
  if (taste.right) return t('taste.right');
  const off = ['acidity', 'sweetness', 'bitterness', 'body'].filter((word) => taste[word]);
  return off.map((word) => `${t(`taste.${word}`)} ${short(taste[word])}`).join(', ') || t('taste.right');
}

/** "8.9 %, extraction 20.1 %": from figures that were weighed, never from guesses. */
export function extractionText({ fields }) {
  if (fields.brix_pct) return `${number(fields.brix_pct)} °Brix`;
  if (!fields.strength_pct) return null;
  const strength = `${number(fields.strength_pct, 2)} %`;
  if (fields.assumed?.some((name) => name === 'dose_g' || name === 'yield_g')) return strength;
  const share = extraction_pct(fields.dose_g, fields.yield_g, fields.strength_pct);
  return t('strength.both', { strength, extraction: number(share) });
}
