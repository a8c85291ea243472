/**
 * The shapes that stand beside a word: a state is told by word and shape, and only then by colour.
 * Drawn by hand on a 24 or 48 grid, in the colour of the text around them.
 */

import { svg, html } from './html.js';

const MARKS = {
  // filled disc: as it should be; ring: not yet; square: over; triangle: look; bars: stopped in time
  done: () => svg`<circle cx="12" cy="12" r="8" fill="currentColor"/>`,
  waiting: () => svg`<circle cx="12" cy="12" r="7" fill="none" stroke="currentColor" stroke-width="3"/>`,
  over: () => svg`<path d="M4 4h16v16H4z" fill="currentColor"/>`,
  unsure: () => svg`<path d="M4 12h16" stroke="currentColor" stroke-width="4"/>`,
  look: () => svg`<path d="M12 3l10 18H2z" fill="currentColor"/>`,
  frozen: () => svg`<path d="M12 2v20M3.5 7l17 10M3.5 17l17-10" stroke="currentColor" stroke-width="3"/>`,
  sunk: () => svg`<path d="M5 5l14 14M19 5L5 19" stroke="currentColor" stroke-width="4"/>`,
};

/** A small mark in a line of text. */
export function mark(name) {
  return html`<svg class="mark" viewBox="0 0 24 24" aria-hidden="true">${MARKS[name]()}</svg>`;
}

const line = (d, width = 5) =>
  svg`<path d=${d} fill="none" stroke="currentColor" stroke-width=${width} stroke-linecap="square"/>`;

/* Grounds under a moving edge: closer together is finer, further apart coarser; a cup's level for the yield. */
const MOVES = {
  hold: () => line('M8 18h32M8 30h32', 6),
  finer: () => [line('M10 24h28', 4), line('M24 4v10M18 9l6 6 6-6'), line('M24 44V34M18 39l6-6 6 6')],
  coarser: () => [line('M10 24h28', 4), line('M24 16V5M18 10l6-6 6 6'), line('M24 32v11M18 38l6 6 6-6')],
  more_yield: () => [line('M8 14v26h32V14', 4), line('M24 34V12M16 19l8-8 8 8')],
  less_yield: () => [line('M8 14v26h32V14', 4), line('M24 8v22M16 23l8 8 8-8')],
  hotter: () => [line('M14 42V20', 4), line('M30 40V12M22 20l8-9 8 9')],
  cooler: () => [line('M14 42V20', 4), line('M30 10v28M22 31l8 8 8-8')],
  move_the_target: () => [line('M8 34h14v-8H8zM26 22h14v-8H26z', 4), line('M20 16l8-7')],
  change_bag: () => [line('M12 16h24v26H12zM16 16l3-9h10l3 9', 4)],
  check_entry: () => [line('M10 38l4-12L32 8l8 8-18 18z', 4)],
  look_at_the_prep: () => [line('M8 16h32M12 16v16h24V16', 4), line('M24 22v4')],
  purge_and_pull_again: () => [line('M38 24a14 14 0 1 1-5-11', 4), line('M34 4v10H24', 4)],
  check_the_machine: () => [line('M8 10h32v12H8zM14 22v8M34 22v8M8 42h32', 4)],
  check_water: () => [line('M24 6c8 11 12 16 12 22a12 12 0 0 1-24 0c0-6 4-11 12-22z', 4)],
  too_early_to_say: () => [line('M10 24h2M23 24h2M36 24h2', 6)],
};

/** The large shape of an advice; one we don't know yet looks like "too early to say". */
export function move(advice) {
  const draw = MOVES[advice] ?? MOVES.too_early_to_say;
  return html`<svg class="move" viewBox="0 0 48 48" aria-hidden="true">${draw()}</svg>`;
}
