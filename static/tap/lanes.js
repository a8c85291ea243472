/**
 * House, guest, decaf: three lanes on the bar, one tap apart, each with its own bag, recipe and grinder. Which
 * lane holds what is a matter of this phone; the bags and recipes themselves are records.
 */

import { read, write } from '../outbox/preferences.js';
import { bagsInUse, currentRecipe, grindersAt, one, recipesFor, settingOf } from './bench.js';
import { siteId } from './here.js';

export const LANES = ['house', 'guest', 'decaf'];

// Common practice for a double, no source: only there until the bar has a recipe, and shown as a guess.
const UNKNOWN = { dose_g: 18, yield_g: 36 };

export function laneName() {
  return read('lane', 'house');
}

export function chooseLane(name) {
  write('lane', name);
}

/** @returns {{bag_id?: string, recipe_id?: string, grinder_id?: string, dose_g?: number, yield_g?: number}} */
export function lane(name = laneName()) {
  const kept = read('lanes', {})[name] ?? {};
  const bag = one('bag', kept.bag_id);
  return bag?.retracted ? { ...kept, bag_id: undefined } : kept;
}

export function putInLane(facts, name = laneName()) {
  const lanes = read('lanes', {});
  write('lanes', { ...lanes, [name]: { ...lanes[name], ...facts } });
}

/** A new bag in a lane brings its coffee's own recipe with it. */
export function putBagInLane(bagId, name = laneName()) {
  const coffeeId = one('bag', bagId)?.fields.coffee_id;
  const recipe = laneRecipe(name);
  const fits = recipe && recipe.fields.coffee_id === coffeeId;
  putInLane({ bag_id: bagId, recipe_id: fits ? recipe.id : recipesFor(coffeeId)[0]?.id }, name);
}

export function laneRecipe(name = laneName()) {
  return currentRecipe(lane(name).recipe_id);
}

/** The lane's grinder; where a bar has just one, nobody has to say which. */
export function laneGrinder(name = laneName()) {
  const grinders = grindersAt(siteId());
  return one('grinder', lane(name).grinder_id) ?? (grinders.length === 1 ? grinders[0] : undefined);
}

/** Dose and yield to begin with, all of it assumed until somebody has weighed it. */
export function prefill(name = laneName()) {
  const recipe = laneRecipe(name)?.fields;
  const last = lane(name);
  return {
    dose_g: recipe?.dose_g ?? last.dose_g ?? UNKNOWN.dose_g,
    yield_g: recipe?.yield_g ?? last.yield_g ?? UNKNOWN.yield_g,
  };
}

/** The records that a shot in this lane points at. */
export function laneFields(name = laneName()) {
  const grinder = laneGrinder(name);
  const recipe = laneRecipe(name);
  return {
    bag_id: lane(name).bag_id,
    recipe_id: recipe?.id,
    grinder_id: grinder?.id,
    setting: grinder && settingOf(grinder.id),
    method: recipe?.fields.method ?? 'espresso',
  };
}

/** On a phone that has just been paired, lanes fill themselves from what is open: nothing to set up twice. */
export function fillEmptyLane() {
  if (lane('house').bag_id || laneName() !== 'house') return;
  const bags = bagsInUse(siteId());
  const withRecipe = bags.filter((bag) => recipesFor(bag.fields.coffee_id).length > 0);
  if (withRecipe.length === 1) putBagInLane(withRecipe[0].id, 'house');
}
