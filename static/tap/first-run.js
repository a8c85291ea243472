/**
 * The first minute: onto the home screen, paired, named, a coffee and a grinder chosen, pulling. Each step can be
 * skipped; nothing here is needed to record a shot.
 */

import { write } from '../outbox/preferences.js';
import { storageState } from '../outbox/safety.js';
import { save } from '../outbox/save.js';
import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { all, bagsInUse, grindersAt, nameOf } from './bench.js';
import { bagText, byFirstToLeave, freshnessTag } from './freshness.js';
import { choosePerson, paired, personId, siteId } from './here.js';
import { lane, laneGrinder, putBagInLane, putInLane } from './lanes.js';
import { caution, heading, option } from './parts.js';
import { pairForm } from './pair-form.js';

const skipped = new Set();

export function mount(place, app) {
  const form = pairForm(app, () => app.refresh());
  let storage = { standalone: true };
  let name = '';

  const steps = {
    install: { done: () => storage.standalone, view: () => installStep(app) },
    pair: { done: paired, view: () => html`<p>${t('start.pair')}</p>${form.view(update)}` },
    name: { done: () => Boolean(personId()), view: nameStep },
    coffee: { done: () => Boolean(lane('house').bag_id), view: coffeeStep },
    grinder: { done: () => Boolean(laneGrinder('house')), view: grinderStep },
  };

  function update() {
    const names = Object.keys(steps);
    const now = names.find((one) => !skipped.has(one) && !steps[one].done());
    if (!now) return finish();
    show(place.top, heading(t(`start.${now}.title`), t('start.step', { step: names.indexOf(now) + 1, of: names.length })));
    show(place.main, html`<div class="low page start" data-key=${now}>
      ${paired() && app.status.current.syncing && html`<p class="soft" role="status">${t('start.fetching')}</p>`}
      ${steps[now].view()}</div>`);
    return show(place.bar, html`<div class="acts"><button type="button" class="ghost" onclick=${() => { skipped.add(now); update(); }}>
      ${t(now === 'install' ? 'start.install.skip' : now === 'pair' ? 'start.pair.skip' : 'start.skip')}</button></div>`);
  }

  function finish() {
    write('started', true);
    app.go('#/pull');
  }

  function nameStep() {
    const add = async (event) => {
      event.preventDefault();
      if (!name.trim()) return;
      const [person] = await save([{ kind: 'person', fields: { name: name.trim() } }]);
      choosePerson(person.id);
      update();
    };
    return html`${all('person').map((person) => option({ key: person.id, title: person.fields.name, onclick: () => {
      choosePerson(person.id);
      update();
    } }))}
      <form class="form" onsubmit=${add}><div class="field"><label for="your-name">${t('start.name.yours')}</label>
        <input id="your-name" maxlength="60" autocomplete="off" value=${name} oninput=${(event) => { name = event.target.value; }}></div>
        <button type="submit" class="go">${t('start.name.this_is_me')}</button></form>`;
  }

  function coffeeStep() {
    return html`${byFirstToLeave(bagsInUse(siteId())).map((bag) => option({ key: bag.id, title: nameOf('coffee', bag.fields.coffee_id),
      note: bagText(bag), tail: freshnessTag(bag.id), onclick: () => {
        putBagInLane(bag.id, 'house');
        update();
      } }))}
      <a class="ghost button" href="#/bag/new?then=start">${t('start.coffee.new')}</a>`;
  }

  function grinderStep() {
    return html`${grindersAt(siteId()).map((grinder) => option({ key: grinder.id, title: grinder.fields.name, onclick: () => {
      putInLane({ grinder_id: grinder.id }, 'house');
      update();
    } }))}
      ${caution('caution.burns')}
      <a class="ghost button" href="#/setup/grinder/new?then=start">${t('grinder.new')}</a>`;
  }

  storageState().then((state) => {
    storage = state;
    update();
  });
  app.status.addEventListener('change', update);
  update();
  return { update, unmount: () => app.status.removeEventListener('change', update) };
}

function installStep(app) {
  const install = async () => {
    app.installPrompt.prompt();
    await app.installPrompt.userChoice;
    app.installPrompt = null;
    app.refresh();
  };
  const apple = /iPhone|iPad|Macintosh/.test(navigator.userAgent) && 'ontouchend' in document;
  return html`<p>${t('install.why')}</p>
    <ol class="how">${(apple ? ['apple.1', 'apple.2', 'apple.3'] : ['other.1', 'other.2', 'other.3']).map((step) => html`<li>${t(`install.${step}`)}</li>`)}</ol>
    ${app.installPrompt && html`<button type="button" class="go" onclick=${install}>${t('install.now')}</button>`}
    <p class="caution">${t('install.tab_warning')}</p>`;
}
