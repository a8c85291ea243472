/** Time to target, shot by shot, with the recipe's tolerance behind it and what was changed between two shots. */

import { number, short } from '../../ui/format.js';
import { svg } from '../../ui/html.js';
import { t } from '../../words/index.js';
import { day, dayAndClockAt, dayAt } from '../when.js';
import { frame } from './frame.js';
import { extent, fitting, linear, widthOf } from './scale.js';

const HEIGHT = 270;
const TOP = 14;
const BOTTOM = 58; // two lines: what changed, and the days
const LEFT = 46;

/**
 * @param {{series: object, title: string, zone: string, width: number, pick: Function}} what
 *   `zone`: the site's time zone; `pick` opens a shot
 */
export function timeChart({ series, title, zone, width, pick }) {
  const { points, target_s: target, tolerance_s: tolerance } = series;
  const ends = points.flatMap((point) => [-2, 2].map((n) => point.time_to_target_s + n * point.u_s));
  const [low, high] = extent([...ends, target - tolerance, target + tolerance], 0.04);
  const y = linear(low, high, HEIGHT - BOTTOM, TOP);
  const slot = (width - LEFT - 4) / points.length;
  const x = (i) => LEFT + (i + 0.5) * slot;
  const said = points.map((point) => inWords(point, series, zone));
  return frame({
    key: `time-${series.grinder_id}-${series.recipe_id}`,
    title,
    desc: describe(series),
    width,
    height: HEIGHT,
    ground: [...ground(series, width, y), ...changes(series, x, slot, width), ...days(points, x, zone, width), run(points, x, y)],
    values: points.map((point, i) => ({
      x: x(i), width: slot, label: said[i], drawn: dot(point, series, x(i), y), pick: () => pick(point.shot_id),
    })),
  });
}

/** in, slow or fast: where a time lies against the recipe's tolerance. */
export function place(point, { target_s: target, tolerance_s: tolerance }) {
  const off = point.time_to_target_s - target;
  if (Math.abs(off) <= tolerance) return 'in';
  return off > 0 ? 'slow' : 'fast';
}

/** What was changed before a shot, in words; empty where nothing was. */
export function changed(series, shotId) {
  return series.marks.filter((mark) => mark.shot_id === shotId).map((mark) => markWords(mark)).join(', ');
}

function markWords(mark) {
  if (mark.what === 'setting') return t('mark.setting', { from: short(mark.from_setting), to: short(mark.to_setting) });
  if (mark.what === 'bag') return t('mark.bag', { day: mark.roasted_on ? day(mark.roasted_on) : '' });
  return t(`mark.${mark.what}`);
}

function inWords(point, series, zone) {
  const words = [
    t('point', { at: dayAndClockAt(point.at, zone), s: number(point.time_to_target_s), u: number(2 * point.u_s) }),
    t(`place.${place(point, series)}`),
    Number.isFinite(point.setting) && t('point.setting', { setting: short(point.setting) }),
    changed(series, point.shot_id),
  ];
  return words.filter(Boolean).join(', ');
}

function describe(series) {
  const inside = series.points.filter((point) => place(point, series) === 'in').length;
  const { target_s: target, tolerance_s: tolerance } = series;
  return t('time.desc', { n: series.points.length, inside, low: number(target - tolerance), high: number(target + tolerance) });
}

function ground({ target_s: target, tolerance_s: tolerance }, width, y) {
  const edges = [target + tolerance, target, target - tolerance];
  return [
    svg`<rect class="zone" x=${LEFT} width=${width - LEFT} y=${y(edges[0])} height=${y(edges[2]) - y(edges[0])}/>`,
    svg`<line class="target" x1=${LEFT} x2=${width} y1=${y(target)} y2=${y(target)}/>`,
    ...edges.map((value) => svg`<text x=${LEFT - 8} y=${y(value) + 5} text-anchor="end">${short(value, 1)}</text>`),
    svg`<text x=${LEFT - 8} y=${HEIGHT - BOTTOM + 5} text-anchor="end" class="unit">s</text>`,
  ];
}

function run(points, x, y) {
  return svg`<polyline class="run" points=${points.map((point, i) => `${x(i)},${y(point.time_to_target_s)}`).join(' ')}/>`;
}

function changes({ points, marks }, x, slot, width) {
  const at = (mark) => x(points.findIndex((point) => point.shot_id === mark.shot_id)) - slot / 2;
  const labels = marks.map((mark) => {
    const text = mark.what === 'setting' ? `${short(mark.from_setting)} → ${short(mark.to_setting)}` : markWords(mark);
    return { x: at(mark), text, width: widthOf(text), what: mark.what };
  });
  return [
    ...labels.map(({ x: here, what }) =>
      svg`<line class=${what === 'setting' ? 'change' : 'change other'} x1=${here} x2=${here} y1="4" y2=${HEIGHT - BOTTOM + 8}/>`),
    ...fitting(labels, 0, width).map(({ x: here, text }) =>
      svg`<text class="change-text" x=${here} y=${HEIGHT - BOTTOM + 24} text-anchor="middle">${text}</text>`),
  ];
}

function days(points, x, zone, width) {
  const firsts = points
    .map((point, i) => ({ x: x(i), text: dayAt(point.at, zone) }))
    .filter((label, i, all) => i === 0 || label.text !== all[i - 1].text)
    .map((label) => ({ ...label, width: widthOf(label.text) }));
  return fitting(firsts, LEFT, width, 12).map(({ x: here, text }) =>
    svg`<text class="day" x=${here} y=${HEIGHT - 6} text-anchor="middle">${text}</text>`);
}

function dot(point, series, x, y) {
  const [middle, up, down] = [0, 2, -2].map((n) => y(point.time_to_target_s + n * point.u_s));
  const where = place(point, series);
  const bar = svg`<line class="u" x1=${x} x2=${x} y1=${up} y2=${down}/>`;
  if (where === 'in') return [bar, svg`<circle class="dot" cx=${x} cy=${middle} r="4.500"/>`];
  const tip = where === 'slow' ? -7 : 7;
  return [bar, svg`<path class="off" d=${`M${x} ${middle + tip}L${x + 7} ${middle - tip}L${x - 7} ${middle - tip}Z`}/>`];
}
