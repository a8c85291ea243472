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

/** Common practice, no source; a roaster's own figures come first. [days] */
const USUAL = { rest_days: 7, best_until_days: 21, open_days: { hopper: 5, resealed: 10 } };
const A_HAIR = 1e-9; // [days]

/**
 * Where a bag stands that was never frozen nor kept anywhere special: by local dates alone, at 20 °C in a cupboard.
 *
 * @param {{roasted_on: string, on: string, opened_on?: string, kept?: 'hopper'|'resealed',
 *   window?: {rest_days?: number, best_until_days?: number, open_days?: number}}} bag dates YYYY-MM-DD; [days]
 * @returns {{rest_days: number, stale_days: number, freshness: 'resting'|'in_window'|'past_window',
 *   window_from: string, window_until: string, days_left: number}|null} ages, window and what is left of it [days]
 */
export function bagFreshness({ roasted_on, on, opened_on, kept = 'hopper', window = {} }) {
  const [roasted, today, opened] = [roasted_on, on, opened_on].map(dayNumber);
  const limits = limitsOf(window, kept);
  const inOrder = roasted <= today && (opened_on == null || (roasted <= opened && opened <= today));
  if (!limits || !inOrder) return null;
  const opens = roasted + Math.ceil(limits.rest_days - A_HAIR);
  const sealed = roasted + limits.best_until_days;
  const closes = Math.floor((opened_on == null ? sealed : Math.min(sealed, opened + limits.open_days)) + A_HAIR);
  const still = today >= opens ? 'in_window' : 'resting';
  return {
    rest_days: today - roasted,
    stale_days: today - roasted,
    freshness: today > closes ? 'past_window' : still, // a passed limit outranks a rest not had
    window_from: dateOf(opens),
    window_until: dateOf(closes),
    days_left: closes - today,
  };
}

/**
 * First and last date of a bag's window, from its records on this phone; null for one that was frozen, kept at a
 * measured temperature or split off another: its staling is the server's to work out.
 * @param {{roasted_on: string, parent_bag_id?: string}} bag @param {Object} [coffee] @param {Object[]} [events]
 * @param {number} [now] [ms since 1970]
 */
export function bagDates(bag, coffee = {}, events = [], now = Date.now()) {
  const beyond = ({ what, temp_c }) => what === 'frozen' || what === 'thawed' || (temp_c ?? null) !== null;
  if (bag.parent_bag_id || events.some(beyond)) return null;
  const inOrder = [...events].sort((one, other) => Date.parse(one.at) - Date.parse(other.at));
  const opened = inOrder.find(({ what }) => what === 'opened');
  const kept = inOrder.filter(({ what }) => what === 'opened' || what === 'resealed').at(-1);
  return bagFreshness({
    roasted_on: bag.roasted_on,
    on: localDate(now),
    opened_on: opened && localDate(Date.parse(opened.at)),
    kept: kept?.what === 'resealed' ? 'resealed' : 'hopper',
    window: coffee ?? {},
  });
}

/** Where the one figure that is given leaves no room for the usual other one, that one moves with it. */
function limitsOf(given, kept) {
  const rest_days = given.rest_days ?? Math.min(USUAL.rest_days, given.best_until_days ?? USUAL.rest_days);
  const moved = rest_days + USUAL.best_until_days - USUAL.rest_days;
  const best_until_days = given.best_until_days ?? (rest_days < USUAL.best_until_days ? USUAL.best_until_days : moved);
  const open_days = given.open_days ?? USUAL.open_days[kept];
  const possible =
    rest_days >= 0 && rest_days <= 365 && best_until_days >= Math.max(1, rest_days) && best_until_days <= 3650
    && open_days >= 0 && open_days <= 365;
  return possible ? { rest_days, best_until_days, open_days } : null;
}

const DAY_MS = 86_400_000;
const dayNumber = (date) => Date.parse(`${date}T00:00:00Z`) / DAY_MS;
const dateOf = (day) => new Date(day * DAY_MS).toISOString().slice(0, 10);

function localDate(ms) {
  const at = new Date(ms);
  return dateOf(Date.UTC(at.getFullYear(), at.getMonth(), at.getDate()) / DAY_MS);
}
