/** Tables, and the ones that stand behind a chart. */

import { html } from '../ui/html.js';
import { t } from '../words/index.js';

/** What somebody has unfolded: an update must not close it. */
const open = new Set();

/**
 * @param {{caption: string, columns: {name: string, number?: boolean}[], rows: any[][], key?: string}} what
 *   the first cell of a row is its heading
 */
export function table({ caption, columns, rows, key }) {
  const cls = (i) => (columns[i].number ? 'n' : false);
  return html`<div class="scroll" data-key=${key} tabindex="0" role="group" aria-label=${caption}><table>
    <caption class="unseen">${caption}</caption>
    <thead><tr>${columns.map(({ name }, i) => html`<th scope="col" class=${cls(i)}>${name}</th>`)}</tr></thead>
    <tbody>${rows.map((cells) => html`<tr>${cells.map((cell, i) =>
      (i === 0 ? html`<th scope="row">${cell}</th>` : html`<td class=${cls(i)}>${cell}</td>`))}</tr>`)}</tbody>
  </table></div>`;
}

/** A chart's figures as a table, folded away until somebody wants them. */
export function behind(what) {
  return fold(`behind-${what.key}`, t('as_table'), table({ ...what, key: undefined }));
}

export function fold(key, summary, content) {
  const toggled = (event) => (event.target.open ? open.add(key) : open.delete(key));
  return html`<details class="behind" data-key=${key} open=${open.has(key)} ontoggle=${toggled}>
    <summary>${summary}</summary>${content}</details>`;
}
