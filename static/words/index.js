/**
 * Every text of the app, by key. A third language is a file beside en.js and its line in LANGUAGES.
 * A text with a count is written as {one: ..., other: ...} and picks its form by `n`.
 */

export const LANGUAGES = { en: 'English', de: 'Deutsch' };

let words = {};
let language = 'en';
let region = 'en';
let plurals = new Intl.PluralRules('en');
let counts = new Intl.NumberFormat('en');

/** The language to start with: the chosen one, else the first of the browser's that we have. */
export function preferred(chosen, offered) {
  const short = [chosen, ...offered].filter(Boolean).map((code) => code.slice(0, 2).toLowerCase());
  return short.find((code) => code in LANGUAGES) ?? 'en';
}

/**
 * Loads a language. Numbers and dates follow the browser's region where the language agrees (de-CH, en-GB).
 * @param {(code: string) => Promise<{default: object}>} [load] where the words are; the manager's screen has its own
 */
export async function speak(code, offered = [], load = (name) => import(`./${name}.js`)) {
  words = (await load(code)).default;
  language = code;
  region = offered.find((tag) => tag.toLowerCase().startsWith(code)) ?? code;
  plurals = new Intl.PluralRules(region);
  counts = new Intl.NumberFormat(region);
}

export function spoken() {
  return language;
}

/** The tag that numbers and dates are written by. */
export function locale() {
  return region;
}

/**
 * The text for a key, with {name} replaced by vars.name. An unknown key shows itself: ugly, findable, never empty.
 * @param {string} key
 * @param {Object<string, string|number>} [vars]
 */
export function t(key, vars = {}) {
  const text = words[key] ?? key;
  const form = typeof text === 'string' ? text : text[plurals.select(vars.n)] ?? text.other;
  return form.replace(/\{(\w+)\}/g, (_, name) => {
    const value = vars[name];
    return typeof value === 'number' ? counts.format(value) : value ?? '';
  });
}

/** The same for a key that may be of a later version than these words: `otherwise` then stands in. */
export function tOr(key, otherwise) {
  return key in words ? t(key) : otherwise;
}

export function has(key) {
  return key in words;
}
