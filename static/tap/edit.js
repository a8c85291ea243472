/** Makes or sets right one of the bar's things. A half-typed form outlives the page. */

import { dropDraft, readDraft, writeDraft } from '../outbox/drafts.js';
import { record } from '../outbox/records.js';
import { correct, retract, restore, save } from '../outbox/save.js';
import { t } from '../words/index.js';
import { formView, readForm, textsOf } from '../ui/form.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { say } from '../ui/bar.js';
import { FORMS, given } from './edit-forms.js';
import { backBar, heading } from './parts.js';

export function mount(place, app, { kind, id, then }) {
  const fields = FORMS[kind]?.();
  const back = then ? `#/${then}` : `#/setup/${kind}`;
  const draftKey = `edit ${kind} ${id}`;
  let was = null;
  let texts = {};
  let wrong = {};

  async function load() {
    was = id === 'new' ? null : await record(id);
    const values = was?.fields ?? given[kind]?.() ?? {};
    texts = (await readDraft(draftKey)) ?? textsOf(fields, values);
    update();
  }

  function typed(name, text) {
    texts = { ...texts, [name]: text };
    wrong = { ...wrong, [name]: undefined };
    writeDraft(draftKey, texts);
    update();
  }

  async function keep() {
    const read = readForm(fields, texts);
    wrong = read.wrong;
    if (Object.keys(wrong).length > 0) return update();
    if (was) await keepChange(read.values);
    else await keepNew(read.values);
    await dropDraft(draftKey);
    return app.finish(back);
  }

  async function keepNew(values) {
    const said = Object.fromEntries(Object.entries(values).filter(([, value]) => value !== null));
    const all = { ...given[kind]?.(), ...said };
    await save([{ kind, fields: Object.fromEntries(Object.entries(all).filter(([, value]) => value !== undefined)) }]);
  }

  /** Only what differs travels: a colleague's change to another field stays untouched. */
  async function keepChange(values) {
    const changed = Object.entries(values).filter(([name, value]) => (was.fields[name] ?? null) !== value);
    if (changed.length === 0) return;
    const before = Object.fromEntries(changed.map(([name]) => [name, was.fields[name] ?? null]));
    await correct(id, Object.fromEntries(changed));
    say(t('said.changed'), () => correct(id, before));
  }

  async function withdraw() {
    await retract(id);
    await dropDraft(draftKey);
    say(t('said.withdrawn'), () => restore(id));
    app.finish(back);
  }

  function update() {
    show(place.top, heading(was ? was.fields.name : t(`new.${kind}`)));
    show(place.main, html`<div class="low page">
      ${was && kind !== 'site' && html`<button type="button" class="ghost start" onclick=${withdraw}>${t('shot.withdraw')}</button>`}
      ${formView(fields, texts, wrong, typed)}</div>`);
    show(place.bar, backBar(back, { label: t('save'), onclick: keep }));
  }

  if (!fields) app.go('#/setup');
  return { ready: fields && load(), update: () => fields && update() };
}
