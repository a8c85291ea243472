/** A bag that has arrived: which coffee, roasted when, how much. Three taps where the coffee is known. */

import { dropDraft, readDraft, writeDraft } from '../outbox/drafts.js';
import { save } from '../outbox/save.js';
import { t } from '../words/index.js';
import { localDate } from '../ui/format.js';
import { formView, readForm } from '../ui/form.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { say } from '../ui/bar.js';
import { all } from './bench.js';
import { siteId } from './here.js';
import { putBagInLane } from './lanes.js';
import { backBar, heading } from './parts.js';
import { known } from './shots.js';

const DRAFT = 'bag-new';
const SIZES = [250, 500, 1000];
const NEW = 'new';

export function mount(place, app, { then }) {
  let texts = { coffee_id: all('coffee').length === 1 ? all('coffee')[0].id : '', mass_g: '1000', roasted_on: '' };
  let wrong = {};

  const isNew = () => all('coffee').length === 0 || texts.coffee_id === NEW;

  const fields = () => [
    ...(all('coffee').length > 0 ? [{ name: 'coffee_id', label: t('coffee'), kind: 'choice', choices: coffees() }] : []),
    ...(isNew() ? [
      { name: 'coffee', label: t('coffee.new'), most: 80, need: true },
      { name: 'roaster', label: t('coffee.roaster'), most: 80 },
    ] : []),
    { name: 'roasted_on', label: t('bag.roasted_on'), kind: 'date', need: true },
    { name: 'roasted_ago', label: t('bag.roasted_ago'), kind: 'choice', choices: agos() },
    { name: 'mass_g', label: t('bag.mass'), kind: 'choice', choices: sizes() },
    { name: 'batch', label: t('bag.batch'), most: 60 },
  ];

  const coffees = () => [...all('coffee').map((one) => [one.id, one.fields.name]), [NEW, t('coffee.new')]];
  const agos = () => [0, 3, 7, 10, 14].map((days) => [daysAgo(days), days === 0 ? t('today') : t('days_ago', { n: days })]);

  const sizes = () => [...new Set([...SIZES, ...all('bag').map((bag) => bag.fields.mass_g).filter(Boolean)])]
    .sort((a, b) => a - b).slice(-5).map((mass_g) => [String(mass_g), mass_g >= 1000 ? `${mass_g / 1000} kg` : `${mass_g} g`]);

  function typed(name, text) {
    texts = { ...texts, [name]: text };
    // The quick choices and the date are one fact.
    if (name === 'roasted_ago' && text) texts.roasted_on = text;
    if (name === 'roasted_on') texts.roasted_ago = text;
    wrong = { ...wrong, [name]: undefined };
    writeDraft(DRAFT, texts);
    update();
  }

  async function keep() {
    const read = readForm(fields(), texts);
    wrong = read.wrong;
    if (!isNew() && !texts.coffee_id) wrong.coffee_id = t('form.needed');
    if (texts.roasted_on > localDate(new Date())) wrong.roasted_on = t('bag.roasted_ahead');
    if (Object.keys(wrong).length > 0) return update();
    const coffeeId = isNew() ? (await newCoffee(read.values)).id : texts.coffee_id;
    const bag = known({
      coffee_id: coffeeId, roasted_on: read.values.roasted_on, mass_g: Number(texts.mass_g) || undefined,
      batch: read.values.batch ?? undefined, site_id: siteId(),
    });
    const [saved] = await save([{ kind: 'bag', fields: bag }]);
    await dropDraft(DRAFT);
    return done(saved);
  }

  function done(bag) {
    if (then === 'pull' || then === 'start') putBagInLane(bag.id);
    else say(t('said.arrived'), () => save([{ kind: 'bag', record_id: bag.id, retract: true }]));
    app.finish({ pull: '#/pull', start: '#/start' }[then] ?? '#/shelf');
  }

  function update() {
    show(place.top, heading(t('bag.arrived')));
    show(place.main, html`<div class="low page">${formView(fields(), texts, wrong, typed)}</div>`);
    show(place.bar, backBar(then === 'start' ? '#/start' : '#/shelf', { label: t('save'), onclick: keep }));
  }

  readDraft(DRAFT).then((draft) => {
    if (draft) texts = { ...texts, ...draft };
    update();
  });
  update();
  return { update };
}

async function newCoffee({ coffee, roaster }) {
  const [saved] = await save([{ kind: 'coffee', fields: known({ name: coffee, roaster: roaster ?? undefined }) }]);
  return saved;
}

function daysAgo(days) {
  const date = new Date();
  date.setDate(date.getDate() - days);
  return localDate(date);
}
