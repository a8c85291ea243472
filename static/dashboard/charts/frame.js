/**
 * What every chart has around it: a title and a description for whoever can't see it, one tab stop, arrow keys
 * from value to value, and a line that says the value under the finger, the pointer or the focus.
 */

import { html, svg } from '../../ui/html.js';

/**
 * @typedef {object} Value one thing that can be asked for its value
 * @property {number} x @property {number} width the slot that answers to finger and pointer
 * @property {string} label the value in words
 * @property {Node} drawn
 * @property {Function} [pick] what opens when it is chosen
 */

/**
 * @param {{key: string, title: string, desc: string, width: number, height: number, ground: Node[], values: Value[]}} chart
 */
export function frame({ key, title, desc, width, height, ground, values }) {
  const last = values.length - 1;
  return html`<figure class="chart" data-key=${key}>
    <svg viewBox=${`0 0 ${width} ${height}`} role="group" aria-labelledby="${key}-title ${key}-desc"
      onkeydown=${walk} onfocusin=${(event) => say(event, values)} onpointerover=${(event) => say(event, values)}
      onclick=${(event) => valueAt(event, values)?.pick?.()}>
      <title id=${`${key}-title`}>${title}</title><desc id=${`${key}-desc`}>${desc}</desc>
      ${ground}
      ${values.map((value, i) => drawValue(value, i, i === last, height))}
    </svg>
    <p class="readout" aria-hidden="true" data-still>${' '}</p>
  </figure>`;
}

function drawValue({ x, width, label, drawn, pick }, i, isLast, height) {
  return svg`<g class="value" data-i=${i} role=${pick ? 'button' : 'img'} tabindex=${isLast ? '0' : '-1'} aria-label=${label}>
    <rect class="hit" x=${x - width / 2} y="0" width=${width} height=${height}/>${drawn}</g>`;
}

function valueAt(event, values) {
  return values[event.target.closest?.('.value')?.dataset.i];
}

function say(event, values) {
  const value = valueAt(event, values);
  if (value) event.currentTarget.parentNode.querySelector('.readout').textContent = value.label;
}

const STEPS = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1, Home: -Infinity, End: Infinity };

function walk(event) {
  const here = event.target.closest('.value');
  if (!here) return;
  if (event.key === 'Enter' || event.key === ' ') {
    event.preventDefault();
    here.dispatchEvent(new MouseEvent('click', { bubbles: true }));
  } else if (event.key in STEPS) {
    event.preventDefault();
    const all = [...event.currentTarget.querySelectorAll('.value')];
    const to = Math.min(Math.max(all.indexOf(here) + STEPS[event.key], 0), all.length - 1);
    here.setAttribute('tabindex', '-1');
    all[to].setAttribute('tabindex', '0');
    all[to].focus();
  }
}
