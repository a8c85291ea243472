/** Columns: a share with its interval week by week, and counts by the hour. */

import { number } from '../../ui/format.js';
import { svg } from '../../ui/html.js';
import { frame } from './frame.js';
import { fitting, linear, widthOf } from './scale.js';

const HEIGHT = 230;
const TOP = 24;
const BOTTOM = 34;
const LEFT = 54;

/**
 * @param {{key: string, title: string, desc: string, width: number,
 *   columns: {name: string, share: number, low: number, high: number, label: string}[]}} what shares from 0 to 1
 */
export function shareColumns({ key, title, desc, width, columns }) {
  const y = linear(0, 1, HEIGHT - BOTTOM, TOP);
  const slot = (width - LEFT) / columns.length;
  const half = Math.min(slot * 0.3, 22);
  const x = (i) => LEFT + (i + 0.5) * slot;
  const rails = [0, 0.5, 1].flatMap((share) => [
    svg`<line class="tick" x1=${LEFT} x2=${width} y1=${y(share)} y2=${y(share)}/>`,
    svg`<text x=${LEFT - 8} y=${y(share) + 5} text-anchor="end">${number(100 * share, 0)} %</text>`,
  ]);
  return frame({
    key, title, desc, width, height: HEIGHT,
    ground: [...rails, ...names(columns, x, width)],
    values: columns.map((column, i) => ({ x: x(i), width: slot, label: column.label, drawn: share(column, x(i), half, y) })),
  });
}

function share({ share: value, low, high }, x, half, y) {
  return [
    svg`<rect class="interval" x=${x - half} width=${2 * half} y=${y(high)} height=${Math.max(y(low) - y(high), 1)}/>`,
    svg`<line class="level" x1=${x - half} x2=${x + half} y1=${y(value)} y2=${y(value)}/>`,
    svg`<text class="on" x=${x} y=${y(high) - 6} text-anchor="middle">${number(100 * value, 0)} %</text>`,
  ];
}

/** @param {{key: string, title: string, desc: string, width: number, columns: {name: string, n: number, label: string}[]}} what */
export function countColumns({ key, title, desc, width, columns }) {
  const most = Math.max(...columns.map((column) => column.n), 1);
  const y = linear(0, most, HEIGHT - BOTTOM, TOP);
  const slot = width / columns.length;
  const x = (i) => (i + 0.5) * slot;
  return frame({
    key, title, desc, width, height: HEIGHT,
    ground: [
      svg`<line class="rail" x1="0" x2=${width} y1=${y(0)} y2=${y(0)}/>`,
      ...names(columns, x, width),
    ],
    values: columns.map((column, i) => ({ x: x(i), width: slot, label: column.label, drawn: count(column, x(i), slot, y) })),
  });
}

function count({ n }, x, slot, y) {
  return [
    svg`<rect class="count" x=${x - slot * 0.36} width=${slot * 0.72} y=${y(n)} height=${y(0) - y(n)}/>`,
    ...(slot >= 26 && n > 0 ? [svg`<text class="on" x=${x} y=${y(n) - 5} text-anchor="middle">${n}</text>`] : []),
  ];
}

function names(columns, x, width) {
  const labels = columns.map(({ name }, i) => ({ name, x: x(i), width: widthOf(name) }));
  return fitting(labels, 0, width).map((label) => svg`<text x=${label.x} y=${HEIGHT - 10} text-anchor="middle">${label.name}</text>`);
}
