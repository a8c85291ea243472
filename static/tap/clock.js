/**
 * A clock that a timer can trust: it runs on while the page is hidden or the screen is locked, and doesn't jump
 * when the phone corrects its own time under a running shot.
 */

let base = { wall: Date.now(), steady: performance.now() };
let atHide = null;

/** Milliseconds since 1970 as this page has counted them. */
export function nowMs() {
  return base.wall + (performance.now() - base.steady);
}

/**
 * The monotonic clock may stand still while a phone sleeps, the wall clock may have been set back: of the two
 * spans since the page was hidden the longer one is true, short of a wall clock that was set forward meanwhile.
 */
export function spanHidden(wallSpan, steadySpan) {
  return Math.max(wallSpan, steadySpan);
}

function onVisibility() {
  if (document.visibilityState === 'hidden') {
    atHide = { wall: Date.now(), steady: performance.now(), counted: nowMs() };
  } else if (atHide) {
    const span = spanHidden(Date.now() - atHide.wall, performance.now() - atHide.steady);
    base = { wall: atHide.counted + span, steady: performance.now() };
    atHide = null;
  }
}

document.addEventListener('visibilitychange', onVisibility);
