/** Pull, ready: what the next shot will be, every part of it one tap away, and the button that starts it. */

import { t } from '../words/index.js';
import { number, short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { adviceCard } from './advice-card.js';
import { nameOf, settingOf } from './bench.js';
import { fact, factButton, figure } from './figure.js';
import { personId } from './here.js';
import { laneGrinder, laneRecipe } from './lanes.js';
import { laneStrip } from './lane-strip.js';
import { ruler, tolerance } from './ruler.js';

export function readyView({ groups, shots, draft, guess, recipe, advice }, acts) {
  return html`<div class="pull ready"><div class="upper">
    ${laneStrip(acts.chooseLane)}
    <div class="time-block">
      <p class="time idle">${number(0)}<small>s</small></p>
      ${ruler(recipe, 0)}
    </div>
    <div class="pair figures">
      ${['dose_g', 'yield_g'].map((name) => figure({
        label: t(name), value: draft[name] ?? guess[name], unit: 'g', guess: draft[name] === undefined,
        onclick: () => acts.touch(name),
      }))}
    </div>
    ${facts(groups, acts)}
    ${stoppedStrip(groups, shots, acts)}
    </div>
    <div class="foot">
      ${adviceCard(advice)}
      ${startButtons(groups, acts)}
    </div>
  </div>`;
}

function facts(groups, acts) {
  const grinder = laneGrinder();
  const setting = grinder && settingOf(grinder.id);
  return html`<div class="facts">
    ${fact(t('recipe'), recipeText(laneRecipe()?.fields), '#/pull/recipe')}
    ${fact(t('setting'), setting === undefined ? t('setting.none') : short(setting), '#/pull/setting')}
    ${fact(t('hands'), nameOf('person', personId()) || t('hands.none'), '#/pull/hands')}
    ${groups.length === 1 ? factButton(t('time_from_machine'), t('type_it'), () => acts.typeTime(groups[0]))
      : html`<div class="fact"><span>${t('time_from_machine')}</span>${groups.map((group) => html`<button type="button"
        class="chip" onclick=${() => acts.typeTime(group)}>${t(`group.${group}`)}</button>`)}</div>`}
  </div>`;
}

/** "18.5 in, 40 out, 24 to 30 s" */
export function recipeText(recipe) {
  if (!recipe) return t('recipe.none');
  const { low, high } = tolerance(recipe);
  return t('recipe.text', {
    dose: short(recipe.dose_g), yield: short(recipe.yield_g), low: short(low), high: short(high),
  });
}

/** Shots that stopped and can still be looked at without leaving the machine. */
function stoppedStrip(groups, shots, acts) {
  const there = groups.filter((group) => shots.has(group));
  if (there.length === 0) return null;
  return html`<div class="stopped-strip">${there.map((group) => html`<button type="button" class="chip"
    onclick=${() => acts.look(group)}>${t('pull.last_of', {
      group: groups.length > 1 ? t(`group.${group}`) : '', time: number(shots.get(group).fields.time_s),
    })}</button>`)}</div>`;
}

export function startButtons(groups, acts) {
  return html`<div class="goes ${groups.length > 1 ? 'many' : ''}">${groups.map((group) => html`<button type="button" class="go" data-start=${group}
    onclick=${() => acts.start(group)}>${groups.length > 1 ? t('start.of', { group: t(`group.${group}`) }) : t('start')}
    </button>`)}</div>`;
}
