/** This phone: its pairing, its storage, an update that waits, a way to start the app anew. */

import { storageState } from '../outbox/safety.js';
import { APP } from '../outbox/version.js';
import { t } from '../words/index.js';
import { number } from '../ui/format.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { anyRunning } from './bays.js';
import { update as takeUpdate } from './frame.js';
import { paired, phoneName, site } from './here.js';
import { backBar, heading } from './parts.js';
import { pairForm } from './pair-form.js';

export function mount(place, app) {
  const form = pairForm(app, () => app.refresh());
  let storage = null;
  let open = !paired();

  async function load() {
    storage = await storageState();
    update();
  }

  function update() {
    show(place.top, heading(t('setup.phone'), paired() ? phoneName() : t('setup.not_paired')));
    show(place.main, html`<div class="low page">
      <dl class="lines">
        <div><dt>${t('setup.site')}</dt><dd>${site()?.fields.name ?? '–'}</dd></div>
        ${storage && storageLines(storage, app.startsOffline)}
        <div><dt>${t('setup.version')}</dt><dd>${APP}</dd></div>
      </dl>
      ${storage && !storage.standalone && html`<p class="caution">${t('install.tab_warning')} <a href="#/start">${t('install.how')}</a></p>`}
      ${open ? form.view(update) : html`<button type="button" class="ghost" onclick=${() => { open = true; update(); }}>${t('pair.again')}</button>`}
      <button type="button" class="ghost" disabled=${anyRunning()} onclick=${() => location.reload()}>${t('app.reload')}</button>
      ${app.updateReady && html`<button type="button" class="ghost" disabled=${anyRunning()}
        onclick=${() => takeUpdate(app)}>${t('update.now')}</button>`}
    </div>`);
    show(place.bar, backBar('#/setup'));
  }

  update();
  load();
  return { update };
}

function storageLines({ persisted, usage, quota, nearlyFull, standalone }, startsOffline) {
  const mb = (bytes) => (bytes === null ? '–' : `${number(bytes / 1e6, 1)} MB`);
  return [
    html`<div><dt>${t('storage.kept')}</dt><dd>${t(persisted ? 'storage.kept.yes' : 'storage.kept.no')}</dd></div>`,
    html`<div><dt>${t('storage.used')}</dt><dd class=${nearlyFull ? 'bad' : ''}>${mb(usage)} / ${mb(quota)}</dd></div>`,
    html`<div><dt>${t('storage.installed')}</dt><dd>${t(standalone ? 'yes' : 'no')}</dd></div>`,
    html`<div><dt>${t('storage.starts_offline')}</dt><dd>${t(startsOffline ? 'yes' : 'no')}</dd></div>`,
  ];
}
