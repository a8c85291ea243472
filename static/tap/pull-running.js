/** Pull, running: one column per group. The lower half takes the first drop; no question is asked here. */

import { t } from '../words/index.js';
import { number, short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { mark } from '../ui/shapes.js';
import { elapsed_s, runningBay, stopFigures, TOO_SOON_S } from './bays.js';
import { one } from './bench.js';
import { nowMs } from './clock.js';
import { paintRuler, placeOf, ruler } from './ruler.js';

export function runningView({ groups, shots, unsaved }, acts) {
  return html`<div class="pull running ${groups.length > 1 ? 'side-by-side' : ''}">
    ${groups.map((group) => html`<section class="bay" data-key=${group} aria-label=${t(`group.${group}`)}>
      ${groups.length > 1 && html`<h2>${t(`group.${group}`)}</h2>`}
      ${bayFace(group, shots.get(group), unsaved.get(group), acts)}
    </section>`)}
  </div>`;
}

function bayFace(group, shot, stop, acts) {
  if (stop) return stoppingFace(group, stop, acts);
  const bay = runningBay(group);
  return bay ? runningFace(group, bay, acts) : idleFace(group, shot, acts);
}

function runningFace(group, bay, acts) {
  const recipe = one('recipe', bay.fields.recipe_id)?.fields;
  const now_s = elapsed_s(bay);
  return html`<div class="time-block">
      <p class="time" data-run=${group} role="timer" aria-live="off"><span data-still>${number(tenth(now_s))}</span><small>s</small></p>
      ${ruler(recipe, now_s, first(bay))}
      <p class="place" data-still data-place=${group}>${placeText(now_s, recipe)}</p>
      ${recipe && html`<p class="goal">${t('pull.goal', { yield: short(recipe.yield_g) })}</p>`}
    </div>
    ${dropArea(group, bay, acts)}
    <button type="button" class="go stop" data-stop=${group} onclick=${() => acts.stop(group)}>${mark('over')}${t('stop')}</button>`;
}

const first = (bay) => bay.first_drop_ms && (bay.first_drop_ms - bay.started_ms) / 1000;
const tenth = (seconds) => Math.floor(Math.max(seconds, 0) * 10) / 10;

function dropArea(group, bay, acts) {
  if (!bay.first_drop_ms) {
    return html`<button type="button" class="drop-area" data-key="drop" data-drop=${group}
      onclick=${() => acts.firstDrop(group)}>${t('first_drop')}<small>${t('first_drop.how', { n: TOO_SOON_S })}</small></button>`;
  }
  return html`<div class="drop-area noted" data-key="noted"><p>${t('first_drop.at', { s: number(first(bay)) })}</p>
    <button type="button" class="ghost" onclick=${() => acts.noFirstDrop(group)}>${t('undo')}</button></div>`;
}

function idleFace(group, shot, acts) {
  return html`<div class="time-block">
      <p class="time idle">${number(shot?.fields.time_s ?? 0)}<small>s</small></p>
      <p class="place">${shot ? t('saved.short') : '\u00a0'}</p>
    </div>
    <div class="drop-area empty"></div>
    <button type="button" class="go ghost" data-start=${group} onclick=${() => acts.start(group)}>${t('start')}</button>`;
}

function stoppingFace(group, { bay, stoppedMs, failed }, acts) {
  const { time_s } = stopFigures(bay, stoppedMs);
  return html`<div class="time-block">
      <p class="time">${number(time_s)}<small>s</small></p>
      ${ruler(one('recipe', bay.fields.recipe_id)?.fields, time_s)}
    </div>
    ${failed
      ? html`<div class="alarm" role="alert"><b>${t('save_failed')}</b>
          <p>${t(failed === 'StorageFull' ? 'save_failed.full' : 'save_failed.why')}</p></div>
        <button type="button" class="go" onclick=${() => acts.retry(group)}>${t('save_again')}</button>`
      : html`<p class="soft">${t('saving')}</p>`}`;
}

function placeText(time_s, recipe) {
  const place = placeOf(time_s, recipe);
  return place && place !== 'early' ? t(`place.${place}`) : '\u00a0';
}

/** Paints what moves, and only where the text has changed: some ten touches a second. */
export function paintTimes(root) {
  const now = nowMs();
  for (const element of root.querySelectorAll('[data-run]')) {
    const bay = runningBay(element.dataset.run);
    if (!bay) continue;
    const now_s = elapsed_s(bay, now);
    setText(element.firstElementChild, number(tenth(now_s)));
    const block = element.parentElement;
    paintRuler(block.querySelector('.ruler'), now_s);
    setText(block.querySelector('.place'), placeText(now_s, one('recipe', bay.fields.recipe_id)?.fields));
  }
}

function setText(element, text) {
  if (element && element.textContent !== text) element.textContent = text;
}
