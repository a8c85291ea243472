/** The records of one kind, to open or to add to. */

import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { mark } from '../ui/shapes.js';
import { all } from './bench.js';
import { FORMS } from './edit-forms.js';
import { backBar, heading } from './parts.js';

export function mount(place, app, { kind }) {
  if (!FORMS[kind]) {
    app.go('#/setup');
    return { update() {} };
  }
  function update() {
    show(place.top, heading(t(`kind.${kind}`)));
    show(place.main, html`<div class="low page"><nav>
      ${all(kind).length === 0 && html`<p>${t('setup.none_yet')}</p>`}
      ${all(kind).map((one) => html`<a class="row" data-key=${one.id} href=${`#/setup/${kind}/${one.id}`}>
        <span>${one.fields.name}</span>${one.waiting && html`<span class="state">${mark('waiting')}<span class="unseen">${
          t('on_this_phone')}</span></span>`}</a>`)}</nav></div>`);
    // Sites are made by the manager, who then pairs phones to them; here their facts are only set right.
    show(place.bar, backBar('#/setup', kind === 'site' ? null : { label: t('add'), onclick: () => app.go(`#/setup/${kind}/new`) }));
  }
  update();
  return { update };
}
