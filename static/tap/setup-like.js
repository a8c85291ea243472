/** How this person likes this phone: language, units, hand, groups. Kept on the phone, changeable offline. */

import { read, write } from '../outbox/preferences.js';
import { LANGUAGES, spoken, t } from '../words/index.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { backBar, heading } from './parts.js';
import { chooseHardnessUnit, chooseTemperature, HARDNESS_UNITS, hardnessUnit, temperatureUnit, TEMPERATURES } from './units.js';

export function mount(place, app) {
  const choose = (act) => async (value) => {
    await act(value);
    app.refresh();
  };

  function update() {
    show(place.top, heading(t('setup.like')));
    show(place.main, html`<div class="low page">
      ${picks(t('language'), Object.entries(LANGUAGES), spoken(), choose((code) => { write('language', code); return app.language(code); }))}
      ${picks(t('groups.how_many'), [[1, '1'], [2, '2'], [3, '3']], read('groups', 1), choose((n) => write('groups', n)))}
      ${picks(t('hand'), ['right', 'left'].map((hand) => [hand, t(`hand.${hand}`)]), read('hand', 'right'), choose((hand) => {
        write('hand', hand);
        document.documentElement.dataset.hand = hand;
      }))}
      ${picks(t('temperature'), Object.entries(TEMPERATURES), temperatureUnit(), choose(chooseTemperature))}
      ${picks(t('hardness'), Object.entries(HARDNESS_UNITS), hardnessUnit(), choose(chooseHardnessUnit))}
    </div>`);
    show(place.bar, backBar('#/setup'));
  }

  update();
  return { update };
}

function picks(label, choices, now, choose) {
  return html`<fieldset class="field"><legend>${label}</legend><div class="picks">${choices.map(([value, word]) => html`<button
    type="button" class="pick" aria-pressed=${String(value === now)} onclick=${() => choose(value)}>${word}</button>`)}</div></fieldset>`;
}
