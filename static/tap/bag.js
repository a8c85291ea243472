/** One bag: what it is, what happened to it, and what can happen next, each one tap. */

import { record } from '../outbox/records.js';
import { save } from '../outbox/save.js';
import { localIso } from '../outbox/time.js';
import { t } from '../words/index.js';
import { dayAndClock, dayAndMonth, noonOf, short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { askNumber } from '../ui/keypad.js';
import { show } from '../ui/list.js';
import { say } from '../ui/bar.js';
import { conditionOf, eventsOf, nameOf } from './bench.js';
import { bagText, freshnessOf, freshnessTag, grams, gramsLeft } from './freshness.js';
import { backBar, heading } from './parts.js';
import { putBagInLane } from './lanes.js';

/** What may follow which condition; "weighed" always may. */
const NEXT = {
  sealed: ['opened', 'frozen', 'weighed', 'finished'],
  open: ['resealed', 'weighed', 'frozen', 'finished'],
  frozen: ['thawed', 'weighed', 'finished'],
  finished: [],
};

// A domestic freezer's usual setting; the person may correct it. Common practice, no source.
const FREEZER_C = -18;

export function mount(place, app, { id }) {
  async function happen(what) {
    const fields = { bag_id: id, at: localIso(), what };
    if (what === 'weighed') {
      const bag = await record(id);
      fields.mass_g = await askNumber({ label: t('bag.weight'), unit: 'g', value: gramsLeft(bag), digits: 0, step: 10, high: 70000 });
      if (fields.mass_g === null) return;
    }
    if (what === 'frozen') fields.temp_c = FREEZER_C;
    const [event] = await save([{ kind: 'bag_event', fields }]);
    say(t(`said.${what}`), async () => {
      await save([{ kind: 'bag_event', record_id: event.id, retract: true }]);
      await update();
    });
    await update();
  }

  function pullFrom() {
    putBagInLane(id);
    app.go('#/pull');
  }

  async function update() {
    const bag = await record(id);
    if (!bag) return app.back('#/shelf');
    const condition = conditionOf(id);
    show(place.top, heading(nameOf('coffee', bag.fields.coffee_id), bagText(bag)));
    show(place.main, html`<div class="low page">
      ${facts(bag)}
      <h2>${t('history')}</h2>
      <ul class="plain quiet">${eventsOf(id).map((event) => html`<li data-key=${event.id}>
        <span>${dayAndClock(event.fields.at)}</span><b>${eventText(event.fields)}</b></li>`)}
        <li><span>${dayAndMonth(noonOf(bag.fields.roasted_on))}</span><b>${t('bag.roasted')}</b></li></ul>
      <div class="picks wide">${NEXT[condition].map((what) => html`<button type="button" class="pick tall" data-what=${what}
        onclick=${() => happen(what)}>${t(`bag.do.${what}`)}</button>`)}</div>
    </div>`);
    return show(place.bar, backBar('#/shelf', condition === 'finished' ? null : { label: t('bag.pull'), onclick: pullFrom }));
  }

  return { ready: update(), update };
}

function eventText({ what, mass_g, temp_c }) {
  const more = [mass_g !== undefined && grams(mass_g), temp_c !== undefined && `${short(temp_c)} °C`].filter(Boolean);
  return [t(`bag.event.${what}`), ...more].join(', ');
}

function facts(bag) {
  const { day, from, until, provisional } = freshnessOf(bag.id);
  const date = (iso) => (iso ? dayAndMonth(noonOf(iso)) : '–');
  return html`<p class="result">${freshnessTag(bag.id)}</p>
    <dl class="lines">
      <div><dt>${t('bag.age')}</dt><dd>${t('day', { n: day })}</dd></div>
      <div><dt>${t('bag.window')}</dt><dd>${date(from)} – ${date(until)}</dd></div>
      ${bag.fields.batch && html`<div><dt>${t('bag.batch')}</dt><dd>${bag.fields.batch}</dd></div>`}
    </dl>
    ${provisional && html`<p class="soft">${t('provisional')}</p>`}`;
}
