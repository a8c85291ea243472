/** One shot: open, correct, withdraw, and who said what when. */

import { figuresOf, historyOf, record } from '../outbox/records.js';
import { t, tOr } from '../words/index.js';
import { clock, dayAndClock, dayAndMonth, number, short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { show } from '../ui/list.js';
import { mark } from '../ui/shapes.js';
import { say } from '../ui/bar.js';
import { coffeeOfBag, nameOf, one } from './bench.js';
import { backBar, fieldWord, heading } from './parts.js';
import { recipeText } from './pull-ready.js';
import { endsRow, extractionText, shotFigures, tasteText, timeFigures } from './shot-parts.js';
import { bringBack, setFields, withdrawShot } from './shots.js';

export function mount(place, app, { id }) {
  async function update() {
    const shot = await record(id);
    if (!shot) return app.back('#/today');
    const [figures, history] = await Promise.all([figuresOf(id), historyOf(id)]);
    const { pulled_at, bag_id } = shot.fields;
    show(place.top, heading(`${dayAndMonth(pulled_at)}, ${clock(pulled_at)}`, nameOf('coffee', coffeeOfBag(bag_id)?.id)));
    show(place.main, html`<div class="page">
      ${shot.retracted && html`<p class="strip still">${mark('sunk')} ${t('shot.withdrawn')}</p>`}
      ${shot.clashes.length > 0 && html`<p class="strip still">${mark('look')} ${t('shot.clash', {
        fields: shot.clashes.map(fieldWord).join(', ') })}</p>`}
      ${timeFigures(shot, update)}
      ${shotFigures(shot, update)}
      ${endsRow(shot, update)}
      <div class="pair">
        <a class="ghost button" href="#/taste/${id}">${tasteText(shot.fields.taste) ?? t('taste')}</a>
        <a class="ghost button" href="#/strength/${id}">${extractionText(shot) ?? t('strength')}</a>
      </div>
      ${facts(shot)}
      ${note(shot, update)}
      ${computed(figures)}
      <h2>${t('history')}</h2>
      <ul class="plain history">${history.map(historyRow)}</ul>
      ${!shot.retracted && html`<button type="button" class="ghost" onclick=${() => withdraw(shot)}>${t('shot.withdraw')}</button>`}
    </div>`);
    return show(place.bar, backBar('#/today', shot.retracted && { label: t('shot.bring_back'), onclick: () => bring(shot) }));
  }

  async function withdraw(shot) {
    await withdrawShot(shot);
    await update();
    say(t('pull.taken_back'), () => bring(shot));
  }

  async function bring(shot) {
    await bringBack(shot);
    await update();
  }

  return { ready: update(), update };
}

function facts({ fields }) {
  const recipe = one('recipe', fields.recipe_id)?.fields;
  const lines = [
    [t('recipe'), recipe && recipeText(recipe)],
    [t('grinder'), [nameOf('grinder', fields.grinder_id), fields.setting !== undefined && short(fields.setting)].filter(Boolean).join(', ')],
    [t('hands'), nameOf('person', fields.person_id)],
    [t('groups'), fields.group && tOr(`group.${fields.group}`, fields.group)],
  ].filter(([, value]) => value);
  return html`<dl class="lines">${lines.map(([name, value]) => html`<div><dt>${name}</dt><dd>${value}</dd></div>`)}</dl>`;
}

function note(shot, update) {
  const keep = async (event) => {
    const text = event.target.value.trim();
    if (text !== (shot.fields.note ?? '')) await setFields(shot, { note: text || null });
    await update();
  };
  return html`<label class="field"><span>${t('note')}</span><textarea rows="2" maxlength="500"
    onchange=${keep} value=${shot.fields.note ?? ''}></textarea></label>`;
}

const SHOWN = { time_to_target_s: 's', flow_g_s: 'g/s', extraction_pct: '%', rest_days: '' };

/** What the server worked out; until then nothing stands here but that it hasn't. */
function computed(figures) {
  if (!figures) return html`<p class="soft">${t('shot.no_figures')}</p>`;
  const lines = Object.entries(SHOWN).filter(([name]) => Number.isFinite(figures[name]));
  return html`<dl class="lines">${lines.map(([name, unit]) => html`<div><dt>${t(`figure.${name}`)}</dt>
    <dd>${number(figures[name], unit === '' ? 0 : 1)} ${unit}</dd></div>`)}</dl>
    ${figures.doubts?.length > 0 && html`<ul class="plain">${figures.doubts.map((text) => html`<li>${text}</li>`)}</ul>`}`;
}

function historyRow({ entry, waiting }) {
  const { fields = {}, retract } = entry;
  const said = Object.entries(fields).filter(([name]) => !name.endsWith('_id') && name !== 'pulled_at')
    .map(([name, value]) => `${fieldWord(name)} ${valueText(name, value)}`).join(', ');
  const act = retract === true ? t('history.withdrawn') : retract === false ? t('history.back') : '';
  return html`<li data-key=${entry.entry_id}><span>${dayAndClock(entry.made_at)}
    <small>${waiting ? t('on_this_phone') : t('history.on_server')}</small></span><span>${[act, said].filter(Boolean).join(' ')}</span></li>`;
}

/** The words of a field whose values are words of ours. */
const VALUES = { fate: 'end', purpose: 'end', fault: 'fault', method: 'method', group: 'group' };

function valueText(name, value) {
  if (value === null) return t('history.cleared');
  if (typeof value === 'number') return short(value);
  if (Array.isArray(value)) return value.map(fieldWord).join(', ') || t('history.none');
  return typeof value === 'object' ? tasteText(value) : tOr(`${VALUES[name]}.${value}`, value);
}
