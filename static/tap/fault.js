/** What went wrong with a shot: it then says nothing about the grind. */

import { record } from '../outbox/records.js';
import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { backBar, caution, heading } from './parts.js';
import { faultChoices } from './shot-parts.js';

export function mount(place, app, { id }) {
  async function update() {
    const shot = await record(id);
    if (!shot) return app.back('#/pull');
    show(place.top, heading(t('fault'), t('fault.under')));
    show(place.main, html`<div class="low page">${caution('caution.machine')}
      ${faultChoices(shot, () => app.back('#/pull'))}</div>`);
    return show(place.bar, backBar('#/pull'));
  }
  return { ready: update(), update };
}
