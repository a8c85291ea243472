/** House, guest, decaf, one tap apart. */

import { t } from '../words/index.js';
import { html } from '../ui/html.js';
import { coffeeOfBag } from './bench.js';
import { LANES, lane, laneName } from './lanes.js';

export function laneStrip(choose) {
  return html`<div class="lanes" role="group" aria-label=${t('lanes')}>${LANES.map((name) => {
    const coffee = coffeeOfBag(lane(name).bag_id)?.fields.name;
    return html`<button type="button" aria-pressed=${String(name === laneName())} onclick=${() => choose(name)}>
      ${t(`lane.${name}`)}<span class="unseen">${coffee ?? t('lane.empty')}</span></button>`;
  })}</div>`;
}
