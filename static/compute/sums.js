/**
 * The sums on a new shot and a new bag that nobody could look up ahead: twins of server/compute, held equal to it by
 * tests/vectors/sums.json. Shown as provisional until the server's own figures come back.
 *
 * Where the server refuses a figure by name, these answer null: a screen then shows nothing rather than a wrong sum.
 */

/** Ranges that the server computes in. [g, g, s, % by mass] */
const RANGES = { dose_g: [0.1, 250], yield_g: [0.1, 3000], time_s: [0.1, 3600], strength_pct: [0.001, 30] };

/**
 * Mass in the cup per mass of dry dose, written 1 : x.
 * @param {number} yield_g [g] @param {number} dose_g [g]
 * @returns {number|null} [-]
 */
export function ratio(yield_g, dose_g) {
  return usable({ yield_g, dose_g }) ? yield_g / dose_g : null;
}

/**
 * Mean flow while coffee ran.
 * @param {number} yield_g [g] @param {number} time_s [s] @param {number} first_drop_s [s]
 * @returns {number|null} [g/s]
 */
export function flow_g_s(yield_g, time_s, first_drop_s) {
  if (!usable({ yield_g, time_s }) || !(first_drop_s >= 0 && first_drop_s <= time_s - 0.1)) return null;
  return yield_g / (time_s - first_drop_s);
}

/**
 * Share of the dose that is dissolved in the cup.
 * @param {number} dose_g [g] @param {number} yield_g [g] @param {number} strength_pct [% by mass]
 * @returns {number|null} [% of the dose]
 */
export function extraction_pct(dose_g, yield_g, strength_pct) {
  return usable({ dose_g, yield_g, strength_pct }) ? (yield_g * strength_pct) / dose_g : null;
}

function usable(figures) {
  return Object.entries(figures).every(([name, value]) => {
    const [low, high] = RANGES[name];
    return typeof value === 'number' && value >= low && value <= high;
  });
}
