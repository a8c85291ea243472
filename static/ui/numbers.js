/** Reading what a person typed. Comma and point both mean the decimal mark; nothing else is guessed. */

/** "18,5" or "18.5" as a number; null for anything that isn't one plain number. */
export function parseDecimal(text) {
  const plain = String(text).trim().replace(/\u2212/g, '-');
  if (!/^-?\d+([.,]\d*)?$|^-?[.,]\d+$/.test(plain)) return null;
  return Number(plain.replace(',', '.'));
}

/** Adds steps without the tail that binary fractions leave (18.1 + 0.1 is 18.2). */
export function stepped(value, step) {
  return Math.round((value + step) * 1000) / 1000;
}

export const fahrenheit = (celsius) => celsius * 9 / 5 + 32;
export const celsius = (degreesF) => (degreesF - 32) * 5 / 9;
