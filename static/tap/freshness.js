/**
 * Where a bag stands: resting, in window, past window. The dates come from the server (its calendar, or the bag's
 * own figures); for a bag it hasn't seen yet the phone's own sum stands in, marked as provisional.
 */

import { bagDates } from '../compute/sums.js';
import { figuresOf, sheet } from '../outbox/records.js';
import { t } from '../words/index.js';
import { dayAndMonth, localDate, noonOf, number, short } from '../ui/format.js';
import { html } from '../ui/html.js';
import { mark } from '../ui/shapes.js';
import { all, coffeeOfBag, conditionOf, eventsOf, one } from './bench.js';

/** @type {Map<string, object>} bag id -> the server's figures */
let figures = new Map();

export async function loadFreshness() {
  const [plan, bags] = [await sheet('plan'), all('bag')];
  const found = await Promise.all(bags.map(async (bag) => [bag.id, await figuresOf(bag.id)]));
  // The sheet is made anew each day, a bag's own figures only when the bag changes: the sheet comes last, and wins.
  const planned = (plan?.bags ?? []).map((bag) => [bag.bag_id, bag]);
  figures = new Map([...found, ...planned].filter(([, one]) => one));
}

/**
 * @returns {{from: string|null, until: string|null, provisional: boolean}} first and last date of the window
 */
export function windowOf(bagId) {
  const bag = one('bag', bagId);
  // What has happened to the bag on this phone since the last sync isn't in the server's figures yet.
  const stale = bag.waiting || eventsOf(bagId).some((event) => event.waiting);
  const known = figures.get(bagId);
  if (known?.freshness && !stale) return { from: known.window_from, until: known.window_until, provisional: false };
  const { window_from = null, window_until = null } = bagDates(bag.fields, coffeeOfBag(bagId)?.fields,
    eventsOf(bagId).map((event) => event.fields)) ?? {};
  return { from: window_from, until: window_until, provisional: true };
}

const DAY_MS = 86_400_000;
export const daysBetween = (from, to) => Math.round((noonOf(to) - noonOf(from)) / DAY_MS);

/**
 * @returns {{state: 'resting'|'in_window'|'past_window'|'unsure', day: number, left: number|null, from: ?string, until: ?string}}
 *   `day` days since roast, `left` days until the next change (null: never)
 */
export function freshnessOf(bagId, today = localDate(new Date())) {
  const { from, until, provisional } = windowOf(bagId);
  const day = daysBetween(one('bag', bagId).fields.roasted_on, today);
  const state = stateOn(today, from, until);
  const next = { resting: from, in_window: until, past_window: until }[state];
  return { state, day, left: next ? daysBetween(today, next) : null, from, until, provisional };
}

function stateOn(day, from, until) {
  if (!from && !until) return 'unsure';
  if (!from || day < from) return 'resting';
  return until && day > until ? 'past_window' : 'in_window';
}

const MARKS = { resting: 'waiting', in_window: 'done', past_window: 'over', unsure: 'unsure' };
const TONES = { resting: '', in_window: 'ok', past_window: 'bad', unsure: '' };

/** "in window", with its shape: for lists. */
export function freshnessTag(bagId) {
  if (conditionOf(bagId) === 'frozen') return html`<span class="tag-state">${mark('frozen')}${t('condition.frozen')}</span>`;
  const { state } = freshnessOf(bagId);
  return html`<span class="tag-state ${TONES[state]}">${mark(MARKS[state])}${t(`freshness.${state}`)}</span>`;
}

/** "in window 8 more days": for the head of a screen. */
export function freshnessLine(bagId) {
  const { state, left } = freshnessOf(bagId);
  const where = left === null ? t(`freshness.${state}`) : t(`freshness.${state}.days`, { n: Math.abs(left) });
  return [mark(MARKS[state]), where];
}

/** "12 Nov, open, 640 g" */
export function bagText(bag) {
  const left = gramsLeft(bag);
  return [dayAndMonth(noonOf(bag.fields.roasted_on)), t(`condition.${conditionOf(bag.id)}`), left && grams(left)]
    .filter(Boolean).join(', ');
}

export function grams(mass_g) {
  return mass_g >= 1000 ? `${short(mass_g / 1000)} kg` : `${number(mass_g, 0)} g`;
}

/** What is left: the server's estimate, else the last weighing, else what came in. */
export function gramsLeft(bag) {
  const weighed = eventsOf(bag.id).filter(({ fields }) => fields.what === 'weighed' && fields.mass_g !== undefined);
  const last = weighed[weighed.length - 1];
  if (last?.waiting) return last.fields.mass_g;
  return figures.get(bag.id)?.left_g ?? last?.fields.mass_g ?? bag.fields.mass_g;
}

/** First to leave its window goes first; then what still rests, then what has passed; what is frozen waits. */
export function byFirstToLeave(bags) {
  const rank = (bag) => {
    if (conditionOf(bag.id) === 'frozen') return '9';
    const { state, from, until } = freshnessOf(bag.id);
    return { in_window: `1${until ?? '9'}`, resting: `2${from ?? '9'}`, past_window: `3${until}`, unsure: '4' }[state];
  };
  return [...bags].sort((a, b) => (rank(a) < rank(b) ? -1 : 1));
}
