/**
 * A drop test counted at the sink: a tap for each drop, until the colour turns. The kit's leaflet says what a drop is
 * worth; that is kept, since a bar has one kit.
 */

import { dropDraft, readDraft, writeDraft } from '../outbox/drafts.js';
import { read, write } from '../outbox/preferences.js';
import { save } from '../outbox/save.js';
import { localIso } from '../outbox/time.js';
import { t } from '../words/index.js';
import { short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { askNumber } from '../ui/keypad.js';
import { show } from '../ui/list.js';
import { say } from '../ui/bar.js';
import { siteId } from './here.js';
import { backBar, caution, heading } from './parts.js';
import { known } from './shots.js';
import { HARDNESS_UNITS, hardnessUnit } from './units.js';

const DRAFT = 'drop-test';
const TESTS = ['hardness', 'alkalinity'];
const SOURCES = ['tap', 'filtered', 'machine'];

export function mount(place, app) {
  let state = { test: 'hardness', drops: { hardness: 0, alkalinity: 0 }, source: 'filtered' };

  const kit = (test) => read(`kit.${test}`, { per_drop: 1, unit: hardnessUnit() === 'mg_l_caco3' ? 'dh' : hardnessUnit() });
  const worth = (test) => Math.round(state.drops[test] * kit(test).per_drop * 1000) / 1000;

  function set(part) {
    state = { ...state, ...part };
    writeDraft(DRAFT, state);
    update();
  }

  const count = (by) => set({ drops: { ...state.drops, [state.test]: Math.max(0, state.drops[state.test] + by) } });

  async function perDrop() {
    const { per_drop, unit } = kit(state.test);
    const value = await askNumber({
      label: t('drops.per_drop'), unit: HARDNESS_UNITS[unit], value: per_drop, digits: 1, step: 0.5, low: 0.01, high: 100, hint: t('drops.leaflet'),
    });
    if (value !== null) write(`kit.${state.test}`, { per_drop: value, unit });
    update();
  }

  async function keep() {
    const counted = TESTS.filter((test) => state.drops[test] > 0);
    const found = Object.fromEntries(counted.map((test) => [test, { value: worth(test), unit: kit(test).unit }]));
    const fields = known({ sampled_at: localIso(), site_id: siteId(), source: t(`water.source.${state.source}`), ...found });
    const [water] = await save([{ kind: 'water', fields }]);
    await dropDraft(DRAFT);
    say(t('said.water'), () => save([{ kind: 'water', record_id: water.id, retract: true }]));
    app.finish('#/water');
  }

  function update() {
    const { test, drops, source } = state;
    show(place.top, heading(t('water.drop_test'), t('drops.until')));
    show(place.main, html`<div class="low page drop-test">
      ${caution('caution.chemicals')}
      <div class="picks" role="group" aria-label=${t('water.source')}>${SOURCES.map((one) => html`<button type="button" class="pick"
        aria-pressed=${String(one === source)} onclick=${() => set({ source: one })}>${t(`water.source.${one}`)}</button>`)}</div>
      <div class="lanes" role="group" aria-label=${t('drops.which')}>${TESTS.map((one) => html`<button type="button"
        aria-pressed=${String(one === test)} onclick=${() => set({ test: one })}>${t(one)}${
          drops[one] > 0 && ` ${short(worth(one))} ${HARDNESS_UNITS[kit(one).unit]}`}</button>`)}</div>
      ${unitPicks(test, kit, update)}
      <button type="button" class="fact" onclick=${perDrop}><span>${t('drops.per_drop')}</span>
        <b>${short(kit(test).per_drop)} ${HARDNESS_UNITS[kit(test).unit]}</b></button>
      <button type="button" class="drop-area counter" onclick=${() => count(1)}><b>${short(drops[test])}</b>
        <span>${t('drops.n', { n: drops[test] })} = ${short(worth(test))} ${HARDNESS_UNITS[kit(test).unit]}</span>
        <small>${t('drops.how')}</small></button>
      <button type="button" class="ghost" disabled=${drops[test] === 0} onclick=${() => count(-1)}>${t('drops.less')}</button>
    </div>`);
    const none = TESTS.every((one) => drops[one] === 0);
    show(place.bar, backBar('#/water', { label: t('save'), disabled: none, onclick: keep }));
  }

  readDraft(DRAFT).then((draft) => {
    if (draft) state = { ...state, ...draft };
    update();
  });
  update();
  return { update };
}

function unitPicks(test, kit, update) {
  const choose = (unit) => {
    write(`kit.${test}`, { ...kit(test), unit });
    update();
  };
  return html`<details class="fold"><summary>${t('drops.unit')}</summary><div class="picks">${
    Object.entries(HARDNESS_UNITS).map(([unit, word]) => html`<button type="button" class="pick"
      aria-pressed=${String(unit === kit(test).unit)} onclick=${() => choose(unit)}>${word}</button>`)}</div></details>`;
}
