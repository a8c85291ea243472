/** Set-up: the things of the bar, this phone, what a person likes. */

import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { all, nameOf } from './bench.js';
import { paired, personId, phoneName, site } from './here.js';
import { heading, row } from './parts.js';
import { syncWords } from './sync-words.js';

export const KINDS = ['person', 'coffee', 'grinder', 'machine', 'site'];

export function mount(place, app) {
  function update() {
    show(place.top, heading(t('tab.setup'), site()?.fields.name));
    show(place.main, html`<div class="page">
      <nav aria-label=${t('tab.setup')}>
        ${row(t('hands'), nameOf('person', personId()) || t('hands.none'), '#/pull/hands')}
        ${row(t('setup.waiting'), syncWords(app.status.current, paired()).text, '#/waiting')}
        ${row(t('setup.phone'), paired() ? phoneName() : t('setup.not_paired'), '#/setup/phone')}
        ${row(t('setup.like'), t('setup.like.what'), '#/setup/like')}
        ${KINDS.map((kind) => row(t(`kind.${kind}`), String(all(kind).length), `#/setup/${kind}`))}
        ${row(t('cautions'), t('cautions.what'), '#/setup/cautions')}
      </nav>
    </div>`);
  }
  app.status.addEventListener('change', update);
  update();
  return { update, unmount: () => app.status.removeEventListener('change', update) };
}
