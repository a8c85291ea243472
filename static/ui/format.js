/** How numbers, dates and times look in the person's language. What is stored is never formatted, only shown. */

import { locale } from '../words/index.js';

const made = new Map();

function numbers(digits) {
  const key = `${locale()} ${digits}`;
  if (!made.has(key)) {
    const options = { minimumFractionDigits: digits, maximumFractionDigits: digits };
    made.set(key, new Intl.NumberFormat(locale(), options));
  }
  return made.get(key);
}

function dates(options) {
  const key = `${locale()} ${JSON.stringify(options)}`;
  if (!made.has(key)) made.set(key, new Intl.DateTimeFormat(locale(), options));
  return made.get(key);
}

/** A number with that many decimals; a dash for what isn't known. */
export function number(value, digits = 1) {
  return Number.isFinite(value) ? numbers(digits).format(value) : '–';
}

/** A number with as many decimals as it needs, at most `digits`. */
export function short(value, digits = 2) {
  if (!Number.isFinite(value)) return '–';
  const key = `${locale()} short ${digits}`;
  if (!made.has(key)) made.set(key, new Intl.NumberFormat(locale(), { maximumFractionDigits: digits }));
  return made.get(key).format(value);
}

/** A brew ratio as the trade writes it: 1 : 2.17. */
export function ratioText(ratio) {
  // No line ever breaks inside it.
  return `1\u00a0:\u00a0${number(ratio, 2)}`;
}

export function clock(iso) {
  return dates({ hour: '2-digit', minute: '2-digit' }).format(new Date(iso));
}

export function dayAndMonth(iso) {
  return dates({ day: 'numeric', month: 'short' }).format(new Date(iso));
}

/** As short as the language has it: for the axis of a chart. */
export function dayAndMonthShort(iso) {
  return dates({ day: 'numeric', month: 'numeric' }).format(new Date(iso));
}

export function dayAndClock(iso) {
  return dates({ day: 'numeric', month: 'short', hour: '2-digit', minute: '2-digit' }).format(new Date(iso));
}

/** A date without a time ("2026-03-01") as a local noon, so that no zone moves it to the day before. */
export function noonOf(date) {
  return new Date(`${date}T12:00:00`);
}

/** The local date of an instant, as it is stored: "2026-03-01". */
export function localDate(instant) {
  const two = (value) => String(value).padStart(2, '0');
  return `${instant.getFullYear()}-${two(instant.getMonth() + 1)}-${two(instant.getDate())}`;
}

export function decimalMark() {
  return numbers(1).formatToParts(1.5).find((part) => part.type === 'decimal').value;
}
