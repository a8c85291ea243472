/**
 * What this lane aims at. A recipe is never edited: a changed one is a new record that names the one it replaces,
 * so that a shot always knows what it was pulled to.
 */

import { save } from '../outbox/save.js';
import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { askNumber } from '../ui/keypad.js';
import { show } from '../ui/list.js';
import { say } from '../ui/bar.js';
import { nameOf, one, recipesFor } from './bench.js';
import { figure } from './figure.js';
import { lane, laneRecipe, prefill, putInLane } from './lanes.js';
import { backBar, heading, option } from './parts.js';
import { recipeText } from './pull-ready.js';
import { known } from './shots.js';
import { temperature } from './units.js';

// Usual figures to start from where a bar has none, and the usual tolerance. Common practice, no source.
const START = { time_s: 28, time_s_tol: 3 };

const FIGURES = [
  ['dose_g', 'g', 250], ['yield_g', 'g', 3000], ['time_s', 's', 3600], ['time_s_tol', 's', 600], ['water_temp_c', '°', 100],
];

export function mount(place, app) {
  let changed = {};

  const coffeeId = () => one('bag', lane().bag_id)?.fields.coffee_id;
  const base = () => laneRecipe()?.fields ?? { ...START, ...prefill(), method: 'espresso' };
  const shown = () => ({ ...base(), ...changed });

  async function type(name, unit, high) {
    const scale = name === 'water_temp_c' ? temperature() : { unit, shown: (x) => x, stored: (x) => x, high };
    const value = await askNumber({
      label: t(name), unit: scale.unit, value: scale.shown(shown()[name]), low: 0, high: scale.high,
      step: name.startsWith('time') ? 1 : 0.1,
    });
    if (value !== null) changed = { ...changed, [name]: scale.stored(value) };
    update();
  }

  async function keep() {
    const was = lane();
    const fields = known({ ...shown(), coffee_id: coffeeId(), replaces: laneRecipe()?.id });
    const [recipe] = await save([{ kind: 'recipe', fields }]);
    putInLane({ recipe_id: recipe.id });
    say(t('said.recipe'), async () => {
      putInLane({ recipe_id: was.recipe_id });
      await save([{ kind: 'recipe', record_id: recipe.id, retract: true }]);
    });
    app.finish('#/pull');
  }

  function choose(recipe) {
    putInLane({ recipe_id: recipe.id });
    app.finish('#/pull');
  }

  function update() {
    show(place.top, heading(t('recipe'), nameOf('coffee', coffeeId())));
    show(place.main, coffeeId() ? recipePage() : html`<div class="low page"><p>${t('recipe.needs_bag')}</p>
      <a class="go button" href="#/pull/bag">${t('pull.choose_bag')}</a></div>`);
    show(place.bar, backBar('#/pull', coffeeId() && {
      label: t('recipe.set'), onclick: keep, disabled: laneRecipe() && Object.keys(changed).length === 0,
    }));
  }

  function recipePage() {
    const others = recipesFor(coffeeId()).filter((recipe) => recipe.id !== laneRecipe()?.id);
    return html`<div class="low page">
      ${others.length > 0 && html`<div><h2>${t('recipe.others')}</h2>
        ${others.map((recipe) => option({ key: recipe.id, title: recipeText(recipe.fields), onclick: () => choose(recipe) }))}</div>`}
      <p class="soft">${t('recipe.never_edited')}</p>
      <div class="pair figures three">
        ${FIGURES.map(([name, unit, high]) => {
          const scale = name === 'water_temp_c' ? temperature() : { unit, shown: (x) => x };
          return figure({
            label: t(name), unit: scale.unit, value: scale.shown(shown()[name]), onclick: () => type(name, unit, high),
            digits: name.startsWith('time') ? 0 : 1, guess: !laneRecipe() && changed[name] === undefined,
          });
        })}
      </div>
      <div class="picks" role="group" aria-label=${t('method')}>${['espresso', 'filter'].map((method) => html`<button type="button"
        class="pick" aria-pressed=${String(shown().method === method)}
        onclick=${() => { changed = { ...changed, method }; update(); }}>${t(`method.${method}`)}</button>`)}</div>
    </div>`;
  }

  update();
  return { update };
}
