/** A bag's window on a stretch of days that all lanes share. Places are shares of the width, so a lane fits any. */

import { svg, html } from '../../ui/html.js';

const DAY_MS = 86_400_000;
const BACK_DAYS = 7;
const AHEAD_DAYS = 28;

const dayNumber = (date) => Date.parse(`${date}T00:00:00Z`) / DAY_MS;

/** From a week ago to four weeks ahead of `today`. @returns {{from: number, today: number, of: (date: string) => number}} */
export function stretch(today) {
  const from = dayNumber(today) - BACK_DAYS;
  const share = (n) => Math.min(Math.max((n - from) / (BACK_DAYS + AHEAD_DAYS), 0), 1);
  return { of: (date, offset = 0) => 100 * share(dayNumber(date) + offset), today: 100 * share(dayNumber(today) + 0.5) };
}

/** The dates to write above: today, and each week from then on. */
export function weeksAround(today) {
  const at = (n) => new Date((dayNumber(today) + n) * DAY_MS).toISOString().slice(0, 10);
  return [0, 7, 14, 21].map(at);
}

/** @param {{window_from: string|null, window_until: string|null, freshness: string}} bag */
export function lane(bag, along) {
  const from = bag.window_from ? along.of(bag.window_from) : 100;
  const until = bag.window_until ? along.of(bag.window_until, 1) : 100;
  return html`<div class="lane"><svg aria-hidden="true">
    ${svg`<line class="line" x1="0" x2="100%" y1="50%" y2="50%"/>`}
    ${until > from && svg`<rect class="window" x=${`${from}%`} width=${`${until - from}%`} y="20%" height="60%" rx="2"/>`}
    ${svg`<line class="now" x1=${`${along.today}%`} x2=${`${along.today}%`} y1="0" y2="100%"/>`}
  </svg></div>`;
}
