/** Two measures of the same shots, one strip above the other, so that the eye compares shot with shot. */

import { short } from '../../ui/format.js';
import { svg } from '../../ui/html.js';
import { frame } from './frame.js';
import { extent, linear, ticks } from './scale.js';

const STRIP = 112;
const GAP = 26;
const LEFT = 46;

/**
 * @param {{key: string, title: string, desc: string, width: number, rows: {name: string, of: Function, u: Function}[],
 *   points: object[], label: (point: object) => string, pick: (point: object) => void}} what
 *   bars reach two standard uncertainties either way
 */
export function strips({ key, title, desc, width, rows, points, label, pick }) {
  const slot = (width - LEFT - 4) / points.length;
  const x = (i) => LEFT + (i + 0.5) * slot;
  const scales = rows.map((row, n) => {
    const ends = points.flatMap((point) => [row.of(point) - 2 * row.u(point), row.of(point) + 2 * row.u(point)]);
    const [low, high] = extent(ends, 0.06);
    const top = GAP + n * (STRIP + GAP);
    return { ...row, low, high, top, y: linear(low, high, top + STRIP, top) };
  });
  return frame({
    key,
    title,
    desc,
    width,
    height: GAP + rows.length * (STRIP + GAP) - GAP + 8,
    ground: scales.flatMap((scale) => rails(scale, width)),
    values: points.map((point, i) => ({
      x: x(i), width: slot, label: label(point), drawn: scales.flatMap((scale) => mark(scale, point, x(i))),
      pick: () => pick(point),
    })),
  });
}

function rails({ name, low, high, top, y }, width) {
  return [
    svg`<text class="strip-name" x="0" y=${top - 8}>${name}</text>`,
    svg`<line class="rail" x1=${LEFT} x2=${width} y1=${top + STRIP} y2=${top + STRIP}/>`,
    ...ticks(low, high, 4).flatMap((value) => [
      svg`<line class="tick" x1=${LEFT} x2=${width} y1=${y(value)} y2=${y(value)}/>`,
      svg`<text x=${LEFT - 8} y=${y(value) + 5} text-anchor="end">${short(value, 1)}</text>`,
    ]),
  ];
}

function mark({ of, u, y }, point, x) {
  const value = of(point);
  return [
    svg`<line class="u wide" x1=${x} x2=${x} y1=${y(value + 2 * u(point))} y2=${y(value - 2 * u(point))}/>`,
    svg`<circle class="dot" cx=${x} cy=${y(value)} r="3.500"/>`,
  ];
}
