/** Small things that this browser keeps for the manager: the last picture, the chosen site, the language. */

const PREFIX = 'evenpull.desk.';

export function remember(name, value) {
  try {
    localStorage.setItem(PREFIX + name, JSON.stringify(value));
  } catch {
    // Full or forbidden: then there is no picture to fall back on, and the screen says so when it comes to that.
    forget(name);
  }
}

export function recall(name, fallback) {
  try {
    return JSON.parse(localStorage.getItem(PREFIX + name)) ?? fallback;
  } catch {
    return fallback;
  }
}

export function forget(name) {
  try {
    localStorage.removeItem(PREFIX + name);
  } catch {
    // Where nothing may be kept, nothing is.
  }
}
