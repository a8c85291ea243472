/** Strength off a refractometer, in % or °Brix, and what the phone makes of it until the server's figures come. */

import { record } from '../outbox/records.js';
import { read, write } from '../outbox/preferences.js';
import { t } from '../words/index.js';
import { number } from '../ui/format.js';
import { html } from '../ui/html.js';
import { askNumber } from '../ui/keypad.js';
import { show } from '../ui/list.js';
import { backBar, caution, heading } from './parts.js';
import { extractionText, shotFigures } from './shot-parts.js';
import { setFields } from './shots.js';

const SCALES = {
  strength_pct: { unit: '%', high: 30, digits: 2, step: 0.01, start: 9 },
  brix_pct: { unit: '°Brix', high: 40, digits: 1, step: 0.1, start: 10 },
};

export function mount(place, app, { id }) {
  let shot;

  async function load() {
    shot = await record(id);
    if (!shot) return app.back('#/pull');
    return update();
  }

  async function ask() {
    const name = read('strength_scale', 'strength_pct');
    const scale = SCALES[name];
    const value = await askNumber({
      label: t(name), unit: scale.unit, value: shot.fields[name], low: 0.01, high: scale.high, digits: scale.digits,
      step: scale.step, hint: t('strength.hint'),
    });
    if (value === null) return;
    shot = await setFields(shot, { [name]: value });
    update();
  }

  function update() {
    const name = read('strength_scale', 'strength_pct');
    const scale = SCALES[name];
    const changed = (now) => {
      shot = now;
      update();
    };
    show(place.top, heading(t('strength'), t('strength.under')));
    show(place.main, html`<div class="low page">
      ${caution('caution.cool_sample')}
      ${extractionText(shot) && html`<p class="result">${extractionText(shot)}</p>`}
      <p class="soft">${needed(shot)}</p>
      ${shotFigures(shot, changed)}
      <div class="lanes" role="group" aria-label=${t('strength.scale')}>
        ${Object.keys(SCALES).map((one) => html`<button type="button" aria-pressed=${String(one === name)}
          onclick=${() => { write('strength_scale', one); update(); }}>${t(one)}</button>`)}
      </div>
      <button type="button" class="go" onclick=${ask}>${shot.fields[name]
        ? `${number(shot.fields[name], scale.digits)} ${scale.unit}` : t('strength.enter')}</button>
    </div>`);
    show(place.bar, backBar('#/pull'));
  }

  return { ready: load(), update: () => shot && update() };
}

function needed({ fields }) {
  const guesses = ['dose_g', 'yield_g'].filter((name) => fields.assumed?.includes(name));
  if (!fields.strength_pct) return t('strength.how');
  return guesses.length > 0 ? t('strength.needs_weighing') : t('provisional');
}
