/**
 * What the sheet says to do next for the lane in hand.
 *
 * It was worked out after one shot. Once this phone has pulled or moved the grinder since, that answer is used up:
 * shown again it would be followed twice. Until the server has answered anew, and before it has said anything, the
 * honest word is "too early to say"; nothing is made up on the phone.
 */

import { record, recordsOf, sheet, shotsBetween } from '../outbox/records.js';
import { laneGrinder, laneRecipe } from './lanes.js';

/**
 * @typedef {{advice: string, size?: number, reasons: string[], provisional: boolean}} Advice `advice` is the
 *   server's word with underscores for spaces: a key of the words
 */

const TOO_EARLY = { advice: 'too_early_to_say', reasons: [], provisional: true };
const FAR_AHEAD = '9999-12-31T00:00:00Z';

/** @type {Object[]} what the sheet says of each grinder, less what has been used up */
let told = [];

export async function loadAdvice() {
  const part = await sheet('advice');
  const fresh = await Promise.all((part?.grinders ?? []).map(async (one) => ((await usedUp(one)) ? null : one)));
  told = fresh.filter(Boolean);
}

/** @returns {Advice} */
export function adviceNow() {
  const [grinder, recipe] = [laneGrinder()?.id, laneRecipe()?.id];
  const found = told.find((one) => one.grinder_id === grinder && one.recipe_id === recipe);
  if (!found) return TOO_EARLY;
  const { steps, by } = found.size ?? {};
  return {
    advice: found.advice.replaceAll(' ', '_'),
    size: steps || by ? Math.abs(steps || by) : undefined,
    reasons: found.reasons,
    provisional: false,
  };
}

async function usedUp({ grinder_id, shot_id }) {
  const since = (await record(shot_id))?.at;
  if (!since) return true; // withdrawn, or of a time that this phone no longer holds
  const later = (one) => one.fields.grinder_id === grinder_id && one.id !== shot_id && one.at > since;
  const [shots, moves] = await Promise.all([shotsBetween(since, FAR_AHEAD), recordsOf('grind_change')]);
  return shots.some(later) || moves.some(later);
}
