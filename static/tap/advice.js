/**
 * What the sheet says to do next for the lane in hand. Until the sheet carries advice for it, the honest answer is
 * "too early to say"; nothing is made up on the phone.
 */

import { sheet } from '../outbox/records.js';
import { laneGrinder, laneRecipe } from './lanes.js';

/**
 * @typedef {{advice: string, size?: number, says?: string, reasons: string[], provisional: boolean}} Advice
 */

const TOO_EARLY = { advice: 'too_early_to_say', reasons: [], provisional: true };

let part;

export async function loadAdvice() {
  part = await sheet('advice');
}

/** @returns {Advice} */
export function adviceNow() {
  const grinder = laneGrinder()?.id;
  const recipe = laneRecipe()?.id;
  const found = part?.grinders?.find((one) => one.grinder_id === grinder && one.recipe_id === recipe && one.advice);
  return found ?? TOO_EARLY;
}
