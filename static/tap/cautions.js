/** What can hurt, in one place. The same lines also stand where they belong. */

import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { backBar, heading } from './parts.js';

const ALL = ['burns', 'machine', 'chemicals', 'caffeine', 'milk', 'water', 'guide'];

export function mount(place) {
  function update() {
    show(place.top, heading(t('cautions')));
    show(place.main, html`<div class="page">${ALL.map((name) => html`<section><h2>${t(`caution.${name}.title`)}</h2>
      <p>${t(`caution.${name}`)}</p></section>`)}</div>`);
    show(place.bar, backBar('#/setup'));
  }
  // Nothing in here can be tapped, so a keyboard needs the scrolling part itself.
  const scroller = place.main.parentElement;
  scroller.tabIndex = 0;
  update();
  return { update, unmount: () => scroller.removeAttribute('tabindex') };
}
