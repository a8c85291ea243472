/** Sets a refused entry right and sends it again. Its fields are shown as they were; those at fault stand first. */

import { refusedEntries, resend } from '../outbox/refused.js';
import { t, tOr } from '../words/index.js';
import { formView, readForm, textsOf } from '../ui/form.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { backBar, fieldWord, heading } from './parts.js';

export function mount(place, app, { id }) {
  let entry;
  let fields = [];
  let texts = {};
  let wrong = {};

  async function load() {
    const found = (await refusedEntries()).find((one) => one.entry.entry_id === id);
    if (!found) return app.back('#/waiting');
    entry = found.entry;
    const faulty = new Set(Object.keys(found.errors ?? {}).map((name) => name.split('.')[0]));
    fields = plainFields(entry.fields, faulty);
    texts = textsOf(fields, entry.fields);
    wrong = Object.fromEntries(Object.entries(found.errors ?? {}).map(([name, texts_]) => [name.split('.')[0], texts_.join('; ')]));
    return update();
  }

  async function send() {
    const read = readForm(fields, texts);
    // An emptied field is left out: the server then says whether it was needed.
    const values = Object.fromEntries(Object.entries(read.values).map(([name, value]) => [name, value ?? undefined]));
    if (Object.keys(read.wrong).length > 0) {
      wrong = read.wrong;
      return update();
    }
    await resend(id, values);
    return app.finish('#/waiting');
  }

  function update() {
    show(place.top, heading(t('refused.mend'), tOr(`kind.one.${entry.kind}`, entry.kind)));
    show(place.main, html`<div class="low page">${formView(fields, texts, wrong, (name, text) => {
      texts = { ...texts, [name]: text };
      wrong = { ...wrong, [name]: undefined };
      update();
    })}</div>`);
    show(place.bar, backBar('#/waiting', { label: t('refused.send'), onclick: send }));
  }

  return { ready: load(), update: () => entry && update() };
}

/** What can be typed: numbers and words. Ids and lists stay as they are, unless they are what is wrong. */
function plainFields(values, faulty) {
  const names = [...new Set([...faulty, ...Object.keys(values)])];
  return names
    .filter((name) => ['number', 'string', 'undefined'].includes(typeof values[name]) && (faulty.has(name) || !name.endsWith('_id')))
    .map((name) => ({ name, label: fieldWord(name), kind: typeof values[name] === 'number' ? 'number' : 'text', most: 2000 }));
}
