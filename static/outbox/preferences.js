/** How this person likes this phone (language, hand, lanes): small, kept in localStorage, harmless to lose. */
const PREFIX = 'evenpull.';

/** @returns {any} `fallback` where nothing readable is kept */
export function read(key, fallback) {
  try {
    const text = localStorage.getItem(PREFIX + key);
    return text === null ? fallback : JSON.parse(text);
  } catch {
    return fallback; // storage switched off, or written by another hand: the default is as good
  }
}

/** @returns {boolean} whether it was kept */
export function write(key, value) {
  try {
    localStorage.setItem(PREFIX + key, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}
