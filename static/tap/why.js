/** Why the advice says what it says: its reasons, in the order in which they were weighed. */

import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { move } from '../ui/shapes.js';
import { adviceNow } from './advice.js';
import { adviceWord } from './advice-card.js';
import { backBar, heading } from './parts.js';

export function mount(place) {
  function update() {
    const { advice, size, reasons, provisional } = adviceNow();
    show(place.top, heading(t('advice.title')));
    show(place.main, html`<div class="low page">
      <div class="advice still">${move(advice)}<span class="words"><b>${adviceWord(advice, size)}</b></span></div>
      ${reasons.length > 0 ? html`<ul class="plain">${reasons.map((reason) => html`<li>${reason}</li>`)}</ul>`
        : html`<p>${t('advice.nothing_yet')}</p>`}
      ${provisional && html`<p class="soft">${t('provisional')}</p>`}
      <p class="soft">${t('advice.order')}</p>
    </div>`);
    show(place.bar, backBar('#/pull'));
  }
  update();
  return { update };
}
