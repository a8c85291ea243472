/** Days and times as they are at the site, wherever the manager sits. */

import { noonOf } from '../ui/format.js';
import { locale, t } from '../words/index.js';

const made = new Map();

function write(instant, options) {
  const key = `${locale()} ${JSON.stringify(options)}`;
  if (!made.has(key)) made.set(key, new Intl.DateTimeFormat(locale(), options));
  return made.get(key).format(instant);
}

export const clockAt = (iso, timeZone) => write(new Date(iso), { timeZone, hour: '2-digit', minute: '2-digit' });
export const dayAt = (iso, timeZone) => write(new Date(iso), { timeZone, day: 'numeric', month: 'short' });
export const dayAndClockAt = (iso, timeZone) =>
  write(new Date(iso), { timeZone, weekday: 'short', day: 'numeric', month: 'short', hour: '2-digit', minute: '2-digit' });

/** A date without a time: "25 Nov". */
export const day = (date) => write(noonOf(date), { day: 'numeric', month: 'short' });
export const weekday = (date) => write(noonOf(date), { weekday: 'short', day: 'numeric', month: 'short' });

/** When something has to be done, seen from `today` (both dates): "today", "Fri 27 Nov", "since 3 Nov". */
export function byWhen(date, today) {
  if (!date) return '';
  if (date === today) return t('today');
  return date < today ? t('since', { day: day(date) }) : weekday(date);
}

/** From one date to another, as short as it reads: "27 to 28 Nov". */
export function span(first, last) {
  if (first === last) return day(first);
  const sameMonth = first.slice(0, 7) === last.slice(0, 7);
  return t('span', { first: sameMonth ? String(Number(first.slice(8))) : day(first), last: day(last) });
}
