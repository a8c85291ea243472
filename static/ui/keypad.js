/**
 * The keypad for a figure: big keys for wet thumbs, the phone's own keyboard stays away, a real keyboard works.
 * The first key replaces what was there; comma and point are the same key; the steppers move by a tenth.
 */

import { t } from '../words/index.js';
import { decimalMark, number } from './format.js';
import { html } from './html.js';
import { show } from './list.js';
import { parseDecimal, stepped } from './numbers.js';

let close = null;

export const keypadOpen = () => close !== null;
export const closeKeypad = () => close?.();

/**
 * Asks for a figure; resolves with the number, or with null where the person went back.
 * @param {{label: string, unit: string, value?: number, digits?: number, step?: number, low?: number, high: number,
 *   hint?: string}} wanted
 */
export function askNumber(wanted) {
  close?.();
  return new Promise((resolve) => openPad({ digits: 1, step: 0.1, low: 0, ...wanted }, resolve));
}

function openPad(wanted, resolve) {
  const before = document.activeElement;
  const place = document.body.appendChild(html`<div class="pad-place"></div>`);
  const behind = [...document.querySelectorAll('#app')];
  const state = { text: Number.isFinite(wanted.value) ? number(wanted.value, wanted.digits) : '', fresh: true };
  const paint = () => show(place, padView(wanted, state, act));
  const finish = (value) => {
    close = null;
    place.remove();
    for (const element of behind) element.inert = false;
    before?.focus?.();
    resolve(value);
  };
  const act = (key) => {
    if (key === 'back') return finish(null);
    if (key === 'done') return problem(wanted, state) ? paint() : finish(valueOf(state));
    press(wanted, state, key);
    return paint();
  };
  close = () => finish(null);
  for (const element of behind) element.inert = true;
  place.addEventListener('keydown', (event) => onKey(event, act));
  paint();
  place.querySelector('input').focus();
}

const valueOf = (state) => parseDecimal(plain(state.text));

/** Formatted text carries the language's grouping marks; the number inside doesn't. */
function plain(text) {
  return text.replace(/[\s\u00a0\u202f’']/g, '');
}

function problem(wanted, state) {
  const value = valueOf(state);
  const range = { low: number(wanted.low, wanted.digits), high: number(wanted.high, wanted.digits), unit: wanted.unit };
  if (value === null) state.wrong = t('pad.enter', range);
  else state.wrong = value < wanted.low || value > wanted.high ? t('pad.range', range) : '';
  return state.wrong;
}

function press(wanted, state, key) {
  state.wrong = '';
  if (key === 'more' || key === 'less') {
    const value = stepped(valueOf(state) ?? 0, key === 'more' ? wanted.step : -wanted.step);
    state.text = number(Math.min(Math.max(value, wanted.low), wanted.high), Math.max(wanted.digits, 1));
  } else if (key === 'delete') {
    state.text = state.fresh ? '' : state.text.slice(0, -1);
  } else if (key === 'sign') {
    state.text = state.text.startsWith('-') ? state.text.slice(1) : `-${state.text}`;
  } else {
    const start = state.fresh ? '' : state.text;
    const mark = key === '.';
    if (mark && /[.,]/.test(start)) return;
    state.text = mark ? `${start || '0'}${decimalMark()}` : start + key;
  }
  state.fresh = false;
}

function onKey(event, act) {
  const keys = { Enter: 'done', Escape: 'back', Backspace: 'delete', ',': '.', '.': '.', ArrowUp: 'more', ArrowDown: 'less',
    '-': 'sign' };
  const key = keys[event.key] ?? (/^\d$/.test(event.key) ? event.key : null);
  const onButton = event.target.nodeName === 'BUTTON' && (event.key === 'Enter');
  if (event.key === 'Tab') return keepInside(event);
  if (!key || onButton || event.ctrlKey || event.metaKey) return undefined;
  event.preventDefault();
  return act(key);
}

function keepInside(event) {
  const stops = [...event.currentTarget.querySelectorAll('input, button')];
  const at = stops.indexOf(document.activeElement) + (event.shiftKey ? -1 : 1);
  event.preventDefault();
  stops[(at + stops.length) % stops.length].focus();
}

function padView(wanted, state, act) {
  const key = (name, label, cls = '') =>
    html`<button type="button" class="key ${cls}" onclick=${() => act(name)}>${label}</button>`;
  const digits = (row) => [...row].map((digit) => key(digit, digit));
  const step = number(wanted.step, wanted.step < 0.1 ? 2 : 1);
  return html`<div class="pad" role="dialog" aria-modal="true" aria-labelledby="pad-label">
    <div class="pad-head">
      <label id="pad-label" for="pad-field">${wanted.label}</label>
      <div class="pad-figure ${state.fresh ? 'fresh' : ''}">
        <input id="pad-field" inputmode="none" autocomplete="off" readonly value=${state.text}
          aria-describedby="pad-note" aria-invalid=${state.wrong ? 'true' : false}><span>${wanted.unit}</span>
      </div>
      <p id="pad-note" class=${state.wrong ? 'bad' : ''} aria-live="polite">${state.wrong || wanted.hint || '\u00a0'}</p>
    </div>
    <div class="keys">
      ${key('less', `− ${step}`, 'step')}${key('more', `+ ${step}`, 'step')}
      ${key('delete', html`<span aria-hidden="true">⌫</span><span class="unseen">${t('pad.delete')}</span>`, 'step')}
      ${digits('123')}${digits('456')}${digits('789')}
      ${wanted.low < 0 ? key('sign', '±') : key('.', decimalMark())}${key('0', '0')}
      ${wanted.low < 0 ? key('.', decimalMark()) : html`<span class="key blank"></span>`}
    </div>
    <div class="pad-ends">
      ${key('back', t('back'), 'ghost')}${key('done', t('done'), 'go')}
    </div>
  </div>`;
}
