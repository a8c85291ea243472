/** A small chart of single values in their order: dots, the tolerance behind them, the ends of the scale. */

import { short } from './format.js';
import { html, svg } from './html.js';

const WIDTH = 640;
const HEIGHT = 180;
const LEFT = 44;

/**
 * @param {{points: {value: number, odd?: boolean}[], zone: {low: number, high: number}|null, unit: string,
 *   label: string}} what  odd points are drawn hollow: they say nothing about the grind
 */
export function dots({ points, zone, unit, label }) {
  const values = [...points.map((point) => point.value), ...(zone ? [zone.low, zone.high] : [])];
  const low = Math.min(...values);
  const high = Math.max(...values, low + 1);
  const y = (value) => 14 + (1 - (value - low) / (high - low)) * (HEIGHT - 28);
  const x = (i) => LEFT + 10 + (i / Math.max(points.length - 1, 1)) * (WIDTH - LEFT - 24);
  const marks = [...new Set(zone ? [low, zone.low, zone.high, high] : [low, high])];
  return html`<svg class="chart" viewBox=${`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label=${label}>
    ${zone && svg`<rect class="zone" x=${LEFT} width=${WIDTH - LEFT} y=${y(zone.high)} height=${y(zone.low) - y(zone.high)}/>`}
    ${svg`<polyline class="line" points=${points.map((point, i) => `${x(i)},${y(point.value)}`).join(' ')}/>`}
    ${points.map((point, i) => svg`<circle class=${point.odd ? 'odd' : 'dot'} cx=${x(i)} cy=${y(point.value)} r="6"/>`)}
    ${spread(marks, y).map((value) => svg`<text x="0" y=${y(value) + 6}>${short(value, 0)}</text>`)}
    ${svg`<text class="unit" x=${WIDTH} y="14" text-anchor="end">${unit}</text>`}
  </svg>`;
}

/** Labels that would lie on each other are left out, the first ones stay. */
function spread(marks, y) {
  const kept = [];
  for (const value of marks) if (kept.every((other) => Math.abs(y(value) - y(other)) > 20)) kept.push(value);
  return kept;
}
