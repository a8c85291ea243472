/**
 * What a shot stands for and what to expect of the next one: twin of server/compute/grind/situation.py and response.py.
 */

import { Belief, tCdf } from './belief.js';

const HOUR_MS = 3600000;
const USUAL_AGE_DAYS = 10;
const MOST_LN = 12;
const MOST = { 'bag:': 4, 'coffee:': 6, 'person:': 8, 'group:': 4 };
export const LEVELS = ['grinder', 'coffee:', 'bag:'];
export const HANDS = ['person:', 'group:'];

export const namesOf = (belief, kinds) => belief.names.filter((name) => kinds.some((kind) => name.startsWith(kind)));
export const centre = (recipe) => Math.log(recipe.time_s / recipe.yield_g);
const micro = (x) => Math.floor(x * 1e6 + 0.5) / 1e6;
const wayOf = (grinder) => (grinder.finer === 'higher' ? 1 : -1);

export class Outlook {
  /** @param {Object} carried the sheet's numbers, words and tables: server/compute/grind/carried.py */
  constructor(carried) {
    this.carried = carried;
    this.p = carried.priors;
  }

  wander(state, belief, at_ms) {
    if (!state.last) return true;
    const gap_h = Math.max(0, (at_ms - state.last.at_ms) / HOUR_MS), slept = gap_h >= this.p.night_gap_h;
    const nights = Math.max(1, Math.floor(gap_h / 24 + 0.5));
    const sd = slept ? this.p.night_sd * Math.sqrt(nights) : this.p.hour_sd * Math.sqrt(gap_h);
    belief.loosen(namesOf(belief, LEVELS), sd);
    return slept;
  }

  meet(belief, shot, recipe) {
    const p = this.p, addNear = (name, far_sd, parent) => {
      if (belief.names.includes(name)) return;
      const same = namesOf(belief, [`${name.split('|')[0]}|`]).at(-1);
      belief.add(name, 0, same ? p.recipe_sd : far_sd, same ?? parent);
    };
    const coffee = `coffee:${shot.coffee_id || recipe.coffee_id || '-'}|${recipe.id || '-'}`;
    const shown = [`bag:${shot.bag_id || '-'}|${coffee}`];
    addNear(coffee, p.coffee_sd, 'grinder');
    addNear(shown[0], p.bag_sd, coffee);
    for (const [kind, who] of [['person', shot.person_id], ['group', shot.group]]) {
      if (who == null) continue;
      shown.push(`${kind}:${who}`);
      if (!belief.names.includes(shown.at(-1))) belief.add(shown.at(-1), 0, p[`${kind}_sd`]);
    }
    for (const [kind, most] of Object.entries(MOST)) {
      const known = namesOf(belief, [kind]), old = known.filter((name) => name !== coffee && !shown.includes(name));
      for (const name of old.slice(0, Math.max(0, known.length - most))) belief.drop(name);
    }
    return shown;
  }

  plainRow(state, belief, shot, recipe, bag, slept) {
    const pulls = slept || !state.last ? 0 : state.last.pulls_today;
    const row = { [bag]: 1, dose: (shot.dose_g || recipe.dose_g) - state.dose_ref_g };
    row.age = (shot.age_days ?? USUAL_AGE_DAYS) - USUAL_AGE_DAYS;
    row.warm = pulls < this.p.first_shots ? 1 : 0;
    for (const kind of HANDS) {
      const known = namesOf(belief, [kind]);
      for (const name of known) row[name] = 1 / known.length;
    }
    return row;
  }

  window(recipe) {
    const share = Math.min(0.9, (recipe.time_s_tol || this.carried.time_tol_s) / recipe.time_s);
    return [Math.log(1 - share), Math.log(1 + share)];
  }

  /** The next shot as it stands, and after the best single move. */
  choose(state, upcoming, recipe, grinder) {
    const p = this.p, belief = new Belief(state.belief), { last } = state, aim = centre(recipe);
    const slept = this.wander(state, belief, upcoming.at_ms);
    const same = ['bag_id', 'coffee_id', 'age_days'].map((key) => [key, upcoming[key] ?? last[key]]);
    const next = Object.fromEntries(same);
    const [bag] = this.meet(belief, next, recipe), row = this.plainRow(state, belief, next, recipe, bag, slept);
    const setting = upcoming.setting ?? last.setting;
    row.slope = stepsFiner(state, setting, grinder);
    const shot = ahead(belief, row, p), [low, high] = this.window(recipe);
    const below = ({ mean, sd }, edge) => tCdf((aim - mean + edge) / sd, belief.dof);
    const chance = (expected) => below(expected, high) - below(expected, low);
    const moves = this.moves(belief, grinder, high - low), odds = moves.map((move) => chance(shot(...move)));
    const far = Math.max(...odds) < p.far_chance, gaps = moves.map((move) => Math.abs(shot(...move).mean - aim));
    const good = Math.max(...odds) - p.near_best;
    const best = far ? gaps.indexOf(Math.min(...gaps)) : odds.findIndex((odd) => odd >= good);
    const option = (i) => {
      const [steps, dose_by_g] = moves[i], after = micro(setting + wayOf(grinder) * steps * (grinder.step || 1));
      const then = this.expected(shot(...moves[i]), belief.dof, recipe);
      return { steps, setting: after, dose_by_g, chance: odds[i], ...then };
    };
    const typical = shot(0, 0, 0), gain = best && far ? 1 : odds[best] - odds[0];
    const told = { gain, mean: typical.mean, slow: tCdf((typical.mean - aim) / typical.sd, belief.dof) };
    Object.assign(told, { reached: chance(typical), fresh_start: slept || bag !== last.bag });
    return { now: option(0), best: option(best), ...told };
  }

  moves(belief, grinder, tolerance) {
    const p = this.p, grid = grinder.step ? 1 : p.stepless_grid, found = [[0, 0]];
    for (let k = 1; k <= Math.floor(p.most_steps / grid); k += 1) found.push([k * grid, 0], [-k * grid, 0]);
    const slope = belief.mean[belief.names.indexOf('slope')];
    return grinder.step && slope > tolerance ? [...found, [0, p.dose_nudge_g], [0, -p.dose_nudge_g]] : found;
  }

  expected({ mean, sd }, dof, { yield_g }) {
    const [z, ...terms] = this.carried.t_90;
    const half = sd * terms.reduce((sum, term, i) => sum + term / dof ** (i + 1), z);
    const time = (ln) => yield_g * Math.exp(Math.min(MOST_LN, Math.max(-MOST_LN, ln)));
    return { predicted_time_s: time(mean), interval_80: [time(mean - half), time(mean + half)] };
  }
}

/** The next shot's mean and scale as a function of what is moved. */
function ahead(belief, row, p) {
  const { mean, spread, shared } = belief.forecast(row, 0), plain = 1 + handsNoise(belief);
  const of = (name) => {
    const i = belief.names.indexOf(name);
    return [belief.mean[i], shared[i], belief.cov[i][i]];
  };
  const bySteps = of('slope'), byGrams = of('dose');
  bySteps[0] = Math.max(p.slope_least, bySteps[0]);
  return (steps, dose_by_g, noise = plain) => {
    const [effect, common, own] = dose_by_g ? byGrams : bySteps, by = dose_by_g || steps;
    const wide = spread + by * (2 * common + by * own) + noise;
    return { mean: mean + by * effect, sd: Math.sqrt(Math.max(wide, 1e-12) * belief.variance) };
  };
}

function handsNoise(belief) {
  let extra = 0;
  for (const kind of HANDS) {
    const offsets = namesOf(belief, [kind]).map((name) => belief.mean[belief.names.indexOf(name)]);
    const middle = offsets.reduce((sum, offset) => sum + offset, 0) / offsets.length;
    for (const offset of offsets) extra += (offset - middle) ** 2 / offsets.length;
  }
  return extra / belief.variance;
}

/** How many steps finer a setting is than the first one that this grinder was seen at. */
export function stepsFiner(state, setting, grinder) {
  return micro((wayOf(grinder) * (setting - state.setting_ref)) / (grinder.step || 1));
}
