/** From values to places on the paper, and the round numbers to write beside it. */

/** @returns {(value: number) => number} */
export function linear(low, high, from, to) {
  const span = high - low || 1;
  return (value) => from + ((value - low) / span) * (to - from);
}

/** Lowest and highest of the values that are there, with a share of their span to spare on either side. */
export function extent(values, spare = 0) {
  const known = values.filter(Number.isFinite);
  if (known.length === 0) return [0, 1];
  const low = Math.min(...known);
  const high = Math.max(...known);
  const room = (high - low || Math.abs(high) || 1) * spare;
  return [low - room, high + room];
}

/** Round numbers from `low` to `high`, about as many as asked for: steps of 1, 2 or 5 times a power of ten. */
export function ticks(low, high, about = 4) {
  const rough = (high - low) / about;
  if (!(rough > 0)) return [low];
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((n) => n * power).find((size) => size >= rough);
  const found = [];
  for (let n = Math.ceil(low / step); n * step <= high + step * 1e-9; n += 1) found.push(Number((n * step).toPrecision(12)));
  return found;
}

/**
 * Of labels along a line from `from` to `to`, those that fit, each moved inside; the first one on a spot stays.
 * @param {{x: number, width: number}[]} labels `x` is the middle
 */
export function fitting(labels, from, to, gap = 8) {
  const kept = [];
  for (const label of labels) {
    const x = Math.min(Math.max(label.x, from + label.width / 2), to - label.width / 2);
    const free = (other) => Math.abs(x - other.x) >= (label.width + other.width) / 2 + gap;
    if (kept.every(free)) kept.push({ ...label, x });
  }
  return kept;
}

/** About how wide a text will be, so that labels can be kept apart before they are drawn. */
export const widthOf = (text) => text.length * 8.2;
