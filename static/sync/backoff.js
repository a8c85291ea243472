/** How long to wait before the next try. */

const FIRST_MS = 1_000;
const LONGEST_MS = 300_000;

/**
 * Full jitter: anywhere between nothing and a bound that doubles, so that phones which lost the server together
 * do not come back together.
 * @param {number} failures in a row, from 1
 * @param {() => number} [random] in [0, 1)
 * @returns {number} [ms]
 */
export function backoffMs(failures, random = Math.random) {
  return Math.floor(random() * Math.min(LONGEST_MS, FIRST_MS * 2 ** (failures - 1)));
}

/** `Retry-After` as milliseconds from `now`: seconds or a date (RFC 9110 section 10.2.3); null where it says neither. */
export function retryAfterMs(text, now = Date.now()) {
  if (!text) return null;
  const wait = /^\d+$/.test(text.trim()) ? Number(text) * 1000 : Date.parse(text) - now;
  return Number.isNaN(wait) ? null : Math.max(0, wait);
}
