/** Whose hands: who pulls on this phone from now on. */

import { save } from '../outbox/save.js';
import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { all } from './bench.js';
import { choosePerson, personId } from './here.js';
import { backBar, heading, option } from './parts.js';

export function mount(place, app) {
  let name = '';

  function choose(id) {
    choosePerson(id);
    app.finish('#/pull');
  }

  async function add() {
    const [person] = await save([{ kind: 'person', fields: { name: name.trim() } }]);
    choose(person.id);
  }

  function update() {
    show(place.top, heading(t('hands'), t('hands.under')));
    show(place.main, html`<div class="low page">
      ${all('person').map((person) => option({
        key: person.id, title: person.fields.name, chosen: person.id === personId(), onclick: () => choose(person.id),
      }))}
      <label class="field"><span>${t('hands.new')}</span><input maxlength="60" autocomplete="off" value=${name}
        oninput=${(event) => { name = event.target.value; update(); }}></label>
    </div>`);
    show(place.bar, backBar('#/pull', { label: t('add'), disabled: !name.trim(), onclick: add }));
  }

  update();
  return { update };
}
