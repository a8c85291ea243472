/** Taste in plain words against what is wanted: right in one tap, or what is off and how far. */

import { record } from '../outbox/records.js';
import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { say } from '../ui/bar.js';
import { backBar, caution, heading } from './parts.js';
import { before, setFields } from './shots.js';

const WORDS = ['acidity', 'sweetness', 'bitterness', 'body'];
const STEPS = [-2, -1, 0, 1, 2];

export function mount(place, app, { id }) {
  let shot;
  let off = {};

  async function load() {
    shot = await record(id);
    if (!shot) return app.back('#/pull');
    off = { ...shot.fields.taste };
    return update();
  }

  async function keep(taste) {
    const was = before(shot, { taste });
    const now = await setFields(shot, { taste });
    say(t('said.tasted'), () => setFields(now, was));
    app.back('#/pull');
  }

  function choose(word, value) {
    off = { ...off, [word]: off[word] === value ? undefined : value };
    delete off.right;
    update();
  }

  function update() {
    const said = Object.fromEntries(WORDS.filter((word) => off[word] !== undefined).map((word) => [word, off[word]]));
    const nothing = Object.keys(said).length === 0;
    show(place.top, heading(t('taste'), t('taste.against')));
    show(place.main, html`<div class="low page">
      ${caution('caution.caffeine')}
      ${WORDS.map((word) => scale(word, off[word], choose))}
      <button type="button" class="pick tall right" aria-pressed=${String(Boolean(off.right))}
        onclick=${() => keep({ right: true })}><b>${t('taste.right')}</b><small>${t('taste.right.what')}</small></button>
    </div>`);
    show(place.bar, backBar('#/pull', { label: t('save'), disabled: nothing, onclick: () => keep(said) }));
  }

  return { ready: load(), update: () => shot && update() };
}

function scale(word, value, choose) {
  return html`<fieldset class="scale"><legend>${t(`taste.${word}`)}
      <span>${value === undefined ? '' : t(`taste.step.${value}`)}</span></legend>
    <div class="five">${STEPS.map((step) => html`<button type="button" class="pick"
      aria-pressed=${String(value === step)} aria-label=${t(`taste.step.${step}`)}
      onclick=${() => choose(word, step)}>${step === 0 ? '0' : step > 0 ? `+${step}` : `−${-step}`}</button>`)}</div>
    <div class="ends-of-scale"><small>${t('taste.too_little')}</small><small>${t('taste.as_wanted')}</small>
      <small>${t('taste.too_much')}</small></div>
  </fieldset>`;
}
