/** A tally: shots, drinks or litres that nobody logged one by one, from a counter, the till, a weighing or a guess. */

import { save } from '../outbox/save.js';
import { localIso } from '../outbox/time.js';
import { t } from '../words/index.js';
import { clock } from '../ui/format.js';
import { html } from '../ui/html.js';
import { askNumber } from '../ui/keypad.js';
import { show } from '../ui/list.js';
import { say } from '../ui/bar.js';
import { figure } from './figure.js';
import { dayStart, siteId } from './here.js';
import { backBar, heading } from './parts.js';
import { known } from './shots.js';

const COUNTS = [['shots', ''], ['drinks', ''], ['litres', 'L']];
const SOURCES = ['machine_counter', 'till', 'weighing', 'guess'];

export function mount(place, app) {
  const counted = {};
  let source = 'machine_counter';
  const from = dayStart();

  async function type(name, unit) {
    const value = await askNumber({ label: t(`tally.${name}`), unit, value: counted[name], digits: 0, step: 1, high: 100000 });
    if (value !== null) counted[name] = name === 'litres' ? value : Math.round(value);
    update();
  }

  async function keep() {
    const fields = known({ site_id: siteId(), from: localIso(from.getTime()), to: localIso(), source, ...counted });
    const [tally] = await save([{ kind: 'tally', fields }]);
    say(t('said.tally'), () => save([{ kind: 'tally', record_id: tally.id, retract: true }]));
    app.finish('#/today');
  }

  function update() {
    show(place.top, heading(t('tally'), t('tally.since', { at: clock(from) })));
    show(place.main, html`<div class="low page">
      <p class="soft">${t('tally.why')}</p>
      <div class="picks" role="group" aria-label=${t('tally.source')}>${SOURCES.map((one) => html`<button type="button"
        class="pick" aria-pressed=${String(one === source)} onclick=${() => { source = one; update(); }}>
        ${t(`tally.source.${one}`)}</button>`)}</div>
      <div class="pair figures three">${COUNTS.map(([name, unit]) => figure({
        label: t(`tally.${name}`), value: counted[name], unit, digits: 0, onclick: () => type(name, unit) }))}</div>
    </div>`);
    const empty = Object.keys(counted).length === 0;
    show(place.bar, backBar('#/today', { label: t('save'), disabled: empty, onclick: keep }));
  }

  update();
  return { update };
}
