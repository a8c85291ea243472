/**
 * A form from a list of fields. It keeps what was typed as text, says what is wrong beside the field, and answers
 * with numbers and words ready to be saved.
 *
 * @typedef {object} Field
 * @property {string} name
 * @property {string} label
 * @property {'text'|'number'|'date'|'time'|'choice'|'note'} [kind]
 * @property {string} [unit]
 * @property {boolean} [need]
 * @property {number} [low]  @property {number} [high]
 * @property {number} [most] characters
 * @property {[string, string][]} [choices] value and word
 * @property {string} [hint]
 * @property {(value: number) => number} [toStored]
 */

import { t } from '../words/index.js';
import { short } from './format.js';
import { html } from './html.js';
import { parseDecimal } from './numbers.js';

/** The texts that a form starts with. */
export function textsOf(fields, values) {
  return Object.fromEntries(fields.map(({ name, toShown }) => {
    const value = values[name];
    if (value === undefined || value === null) return [name, ''];
    return [name, typeof value === 'number' ? short(toShown ? toShown(value) : value, 3) : String(value)];
  }));
}

/** @returns {{values: object, wrong: Object<string, string>}} an emptied field is null */
export function readForm(fields, texts) {
  const values = {};
  const wrong = {};
  for (const field of fields) {
    const text = (texts[field.name] ?? '').trim();
    if (!text) {
      values[field.name] = null;
      if (field.need) wrong[field.name] = t('form.needed');
    } else if (field.kind === 'number') {
      const number = parseDecimal(text.replace(/[\u00a0\u202f’']/g, ''));
      const outside = number === null || number < (field.low ?? -Infinity) || number > (field.high ?? Infinity);
      if (outside) wrong[field.name] = t('pad.enter', { low: short(field.low), high: short(field.high), unit: field.unit ?? '' });
      else values[field.name] = field.toStored ? field.toStored(number) : number;
    } else {
      values[field.name] = text;
    }
  }
  return { values, wrong };
}

export function formView(fields, texts, wrong, oninput) {
  return html`<div class="form">${fields.map((field) =>
    field.kind === 'choice' ? choiceField(field, texts, wrong, oninput) : inputField(field, texts, wrong, oninput))}</div>`;
}

function inputField(field, texts, wrong, oninput) {
  const { name, label, kind = 'text', unit, need, most, hint } = field;
  const note = wrong[name] ?? hint;
  const typed = (event) => oninput(name, event.target.value);
  const shared = { id: `f-${name}`, about: note ? `n-${name}` : false, bad: wrong[name] ? 'true' : false };
  const input = kind === 'note'
    ? html`<textarea id=${shared.id} rows="3" maxlength=${most ?? 500} oninput=${typed} aria-describedby=${shared.about}
        aria-invalid=${shared.bad} value=${texts[name]}></textarea>`
    : html`<input id=${shared.id} name=${name} value=${texts[name]} type=${kind === 'date' || kind === 'time' ? kind : 'text'}
        inputmode=${kind === 'number' ? 'decimal' : false} maxlength=${most ?? 80} autocomplete="off" oninput=${typed}
        required=${Boolean(need)} aria-describedby=${shared.about} aria-invalid=${shared.bad}>`;
  return html`<div class="field" data-key=${name}><label for=${shared.id}>${label} ${unit && html`<small>${unit}</small>`}</label>
    ${input}${note && html`<p id=${`n-${name}`} class=${wrong[name] ? 'bad' : 'soft'}>${note}</p>`}</div>`;
}

function choiceField({ name, label, choices, hint }, texts, wrong, oninput) {
  return html`<fieldset class="field" data-key=${name}><legend>${label}</legend>
    <div class="picks">${choices.map(([value, word]) => html`<button type="button" class="pick" data-value=${value}
      aria-pressed=${String(texts[name] === String(value))}
      onclick=${() => oninput(name, texts[name] === String(value) ? '' : String(value))}>${word}</button>`)}</div>
    ${(wrong[name] ?? hint) && html`<p class=${wrong[name] ? 'bad' : 'soft'}>${wrong[name] ?? hint}</p>`}</fieldset>`;
}
