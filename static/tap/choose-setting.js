/** Where the grinder stands. A move is a record of its own, so that every shot knows the setting it was ground at. */

import { save } from '../outbox/save.js';
import { localIso } from '../outbox/time.js';
import { t } from '../words/index.js';
import { dayAndClock, short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { askNumber } from '../ui/keypad.js';
import { show } from '../ui/list.js';
import { stepped } from '../ui/numbers.js';
import { say } from '../ui/bar.js';
import { all, grindersAt, settingOf } from './bench.js';
import { siteId } from './here.js';
import { laneGrinder, putInLane } from './lanes.js';
import { backBar, caution, heading } from './parts.js';

export function mount(place, app) {
  let wanted = null;

  const grinder = () => laneGrinder();
  const step = () => grinder()?.fields.step ?? 0.1;
  const standing = () => grinder() && settingOf(grinder().id);
  const shown = () => wanted ?? standing() ?? 0;

  function by(direction) {
    // Whichever way the scale runs, the left key is finer: the person thinks in grind, not in numbers.
    const finerIsLower = grinder()?.fields.finer !== 'higher';
    wanted = stepped(shown(), (direction === 'finer') === finerIsLower ? -step() : step());
    update();
  }

  async function type() {
    const value = await askNumber({ label: t('setting'), unit: '', value: shown(), low: -1000, high: 10000, step: step() });
    if (value !== null) wanted = value;
    update();
  }

  async function keep() {
    const fields = { grinder_id: grinder().id, at: localIso(), setting: shown() };
    const [change] = await save([{ kind: 'grind_change', fields }]);
    say(t('said.setting', { setting: short(fields.setting) }), async () => {
      await save([{ kind: 'grind_change', record_id: change.id, retract: true }]);
    });
    app.finish('#/pull');
  }

  function update() {
    show(place.top, heading(t('setting'), grinder()?.fields.name));
    show(place.main, grinder() ? settingPage() : html`<div class="low page"><p>${t('grinder.none')}</p>
      <a class="go button" href="#/setup/grinder/new">${t('grinder.new')}</a></div>`);
    show(place.bar, backBar('#/pull', grinder() && {
      label: t('setting.set', { setting: short(shown()) }), onclick: keep, disabled: wanted === null && standing() !== undefined,
    }));
  }

  function settingPage() {
    return html`<div class="low page">
      ${lastMoves(grinder().id)}
      ${grindersAt(siteId()).length > 1 && html`<div class="lanes" role="group" aria-label=${t('grinder')}>
        ${grindersAt(siteId()).map((one) => html`<button type="button" aria-pressed=${String(one.id === grinder().id)}
          onclick=${() => { putInLane({ grinder_id: one.id }); wanted = null; update(); }}>${one.fields.name}</button>`)}</div>`}
      <button type="button" class="figure big" onclick=${type}><span class="name">${t('setting.now', {
        setting: standing() === undefined ? '–' : short(standing()) })}</span>
        <span class="value">${short(shown())}</span></button>
      ${caution('caution.purge')}
      <div class="pair">
        <button type="button" class="go ghost" onclick=${() => by('finer')}>${t('advice.finer')}</button>
        <button type="button" class="go ghost" onclick=${() => by('coarser')}>${t('advice.coarser')}</button>
      </div>
    </div>`;
  }

  update();
  return { update };
}

function lastMoves(grinderId) {
  const moves = all('grind_change').filter((change) => change.fields.grinder_id === grinderId)
    .sort((a, b) => Date.parse(b.fields.at) - Date.parse(a.fields.at)).slice(0, 4);
  return html`<ul class="plain quiet">${moves.map((change) => html`<li data-key=${change.id}>
    <span>${dayAndClock(change.fields.at)}</span><b>${short(change.fields.setting)}</b></li>`)}</ul>`;
}
