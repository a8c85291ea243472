/** Times as they travel: RFC 3339, the phone's own with its offset, so that a reader sees the local hour too. */

/** @param {number} ms [ms since 1970] */
export function localIso(ms = Date.now()) {
  const at = new Date(ms);
  const offsetMin = -at.getTimezoneOffset();
  const shifted = new Date(ms + offsetMin * 60_000).toISOString().slice(0, -1);
  const sign = offsetMin < 0 ? '-' : '+';
  return `${shifted}${sign}${two(Math.floor(Math.abs(offsetMin) / 60))}:${two(Math.abs(offsetMin) % 60)}`;
}

/** The same instant in UTC, a form whose texts sort as the instants do; null where it is no time. */
export function utcIso(text) {
  const ms = Date.parse(text);
  return Number.isNaN(ms) ? null : new Date(ms).toISOString();
}

const two = (number) => String(number).padStart(2, '0');
