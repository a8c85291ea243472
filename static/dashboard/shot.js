/** One shot behind a point: opened from a chart, closed with one key, and the focus is back where it was. */

import { number, ratioText, short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { t } from '../words/index.js';
import { ask, remedy } from './api.js';
import { dayAndClockAt } from './when.js';

/** @param {string} id @param {object} names */
export async function openShot(id, names) {
  const place = document.body.appendChild(html`<dialog class="shot" aria-labelledby="shot-h"></dialog>`);
  place.addEventListener('close', () => place.remove());
  show(place, frame(t('shot.fetching'), []));
  place.showModal();
  const answer = await ask('GET', `/api/shots/${id}`);
  if (answer.status !== 200) show(place, frame(remedy(answer) || t('no_answer.try_again'), []));
  else show(place, frame(dayAndClockAt(answer.body.pulled_at, names.zone(answer.body.site_id)), facts(answer.body, names)));
}

function frame(title, lines) {
  return html`<h2 id="shot-h">${title}</h2>
    <dl class="facts">${lines.map(([name, value]) => html`<div><dt>${name}</dt><dd>${value}</dd></div>`)}</dl>
    <form method="dialog"><button>${t('close')}</button></form>`;
}

function facts(shot, names) {
  const assumed = (name) => (shot.assumed?.includes(name) ? ` (${t('assumed')})` : '');
  const known = (value, text) => (Number.isFinite(value) ? text : null);
  const lines = [
    [t('site'), names.site(shot.site_id)],
    [t('shot.dose'), `${number(shot.dose_g)} g${assumed('dose_g')}`],
    [t('shot.yield'), `${number(shot.yield_g)} g, ${ratioText(shot.ratio)}${assumed('yield_g')}`],
    [t('shot.time'), `${number(shot.time_s)} s${assumed('time_s')}`],
    [t('col.time_to_target'), known(shot.time_to_target_s, `${number(shot.time_to_target_s)} ± ${number(2 * shot.u_time_to_target_s)} s`)],
    [t('col.on_recipe'), onRecipe(shot)],
    [t('col.setting'), known(shot.setting, short(shot.setting))],
    [t('extraction.rail'), known(shot.extraction_pct, `${number(shot.extraction_pct)} ± ${number(2 * shot.u_extraction_pct)} %`)],
    [t('shot.bag'), shot.freshness && t('shot.bag_state', { state: t(`freshness.${shot.freshness}`), n: shot.rest_days })],
    [t('shot.taste'), shot.taste && taste(shot.taste)],
    [t('shot.purpose'), t(`purpose.${shot.purpose ?? 'service'}`)],
    [t('shot.fate'), shot.fate && t(`fate.${shot.fate}`)],
    [t('shot.fault'), shot.fault && t(`fault.${shot.fault}`)],
    [t('shot.doubts'), (shot.doubts ?? []).join(' ')],
    [t('shot.note'), shot.note],
  ];
  return lines.filter(([, value]) => value);
}

function onRecipe(shot) {
  if (shot.on_recipe === undefined || shot.on_recipe === null) return null;
  if (shot.on_recipe) return t('yes');
  return t('shot.outside', { names: shot.outside.map((name) => t(`field.${name}`)).join(', ') });
}

function taste(of) {
  if (of.right) return t('taste.right');
  const off = Object.entries(of).filter(([, value]) => value);
  return off.map(([word, value]) => t(value > 0 ? 'taste.more' : 'taste.less', { word: t(`taste.${word}`) })).join(', ');
}
