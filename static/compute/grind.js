/**
 * One grinder's shots into a belief, on the phone: goes on from the sheet's sufficient statistics.
 *
 * Twin of server/compute/grind (model, reading, watch), held equal to it by tests/vectors/make_advice.py. Numbers and
 * tables come with the sheet (`carried`), so that none is written down twice. A grinder that no sheet has seen starts
 * from `null`. Formulas and sources stand in the Python.
 */

import { Belief, asNormal } from './belief.js';
import { HANDS, LEVELS, Outlook, centre, namesOf, stepsFiner } from './outlook.js';

export const TEACHES = ['ok', 'drift', 'jump', 'regroup'];
export const MOVED = ['drift', 'jump'];
const OF_A_SHOT = ['at_ms', 'bag_id', 'coffee_id', 'age_days', 'time_s', 'group', 'purpose', 'fault'];

const notReached = () => ({ pulls: 0, pulls_g: 0, reached: false, reached_at_ms: null });
const quiet = () => ({ ewma: 0, shots: 0, out: {} });
const pick = (from, keys) => Object.fromEntries(keys.map((key) => [key, from[key] ?? null]));

export class Model extends Outlook {
  /** Take in one shot. @returns {Object} the state afterwards; the one before is left alone */
  observe(before, shot, recipe, grinder) {
    const state = before ? structuredClone(before) : this.begin(shot, recipe, grinder);
    const belief = new Belief(state.belief);
    const slept = this.wander(state, belief, shot.at_ms);
    const shown = this.meet(belief, shot, recipe);
    this.arrive(state, belief, shot, shown[0], slept);
    const reading = this.read(state, shot, recipe, grinder);
    let { verdict } = reading;
    if (verdict === 'ok') {
      state.first_drop = usualFirstDrop(state, shot);
      const row = this.ownRow(state, belief, shot, recipe, shown, slept);
      Object.assign(row, { slope: reading.steps, tail: reading.tail });
      verdict = this.take(state, belief, reading, shown, row, recipe.yield_g, shot.group);
    }
    state.belief = belief.plain();
    this.remember(state, shot, recipe, reading, shown[0], slept, verdict);
    const kept = state.bags[shown[0]];
    if (TEACHES.includes(verdict) && !kept.reached) {
      const { reached, gain } = this.choose(state, shot, recipe, grinder);
      if (reached >= this.p.reached && gain < this.p.gain_dial_in) {
        Object.assign(kept, { reached: true, reached_at_ms: shot.at_ms });
      }
    }
    return state;
  }

  /** The grinder was `cleaned`, `re_zeroed` or got `new_burrs`: its levels may have moved, all together. */
  intervene(before, what) {
    const state = structuredClone(before), belief = new Belief(state.belief);
    belief.loosen(namesOf(belief, LEVELS), this.p[`${what}_sd`]);
    if (what === 'new_burrs') belief.loosen(['slope'], this.p.new_burrs_slope_sd);
    for (const bag of Object.values(state.bags)) Object.assign(bag, notReached());
    return { ...state, belief: belief.plain(), watch: quiet() };
  }

  begin(shot, recipe, grinder) {
    const p = this.p, said_s = Math.abs(grinder.seconds_per_step || 0);
    const belief = new Belief({ names: [], mean: [], cov: [], dof: p.spread_dof, variance: p.spread_sd ** 2 });
    const slope = said_s ? said_s / recipe.time_s : p.slope;
    belief.add('slope', slope, said_s ? slope * p.slope_said_share : p.slope_sd);
    belief.add('dose', p.dose, p.dose_sd);
    belief.add('age', p.age, p.age_sd);
    belief.add('warm', 0, p.warm_sd);
    belief.add('tail', 0, p.tail_sd);
    belief.add('grinder', centre(recipe), p.grinder_sd);
    const first_drop = { usual_s: null, shots: 0 };
    const start = { setting_ref: shot.setting ?? null, dose_ref_g: recipe.dose_g, first_drop };
    return { belief: belief.plain(), ...start, bags: {}, watch: quiet(), shots_per_day: 20, last: null };
  }

  arrive(state, belief, shot, bag, slept) {
    const { last } = state;
    if (slept && last) state.shots_per_day += 0.2 * (last.pulls_today - state.shots_per_day);
    state.setting_ref ??= shot.setting ?? null;
    if (last?.bag !== bag) {
      state.watch = quiet();
      const before = last && shot.mixed_with && belief.names.includes(last.bag) ? last.bag : null;
      state.bags[bag] ??= { ground_g: 0, before, ...notReached() };
    }
    state.bags = Object.fromEntries(Object.entries(state.bags).filter(([name]) => belief.names.includes(name)));
  }

  read(state, shot, recipe, grinder) {
    const p = this.p, before = state.last?.setting ?? null, setting = shot.setting ?? before;
    const steps = setting === null ? 0 : stepsFiner(state, setting, grinder);
    const moved = before === null || setting === null ? 0 : steps - stepsFiner(state, before, grinder);
    let verdict = this.leftOut(shot, setting), time_s = null, u_ln = 0, tail = 0;
    if (!verdict) {
      const found = this.timeToTarget(state, shot, recipe.yield_g);
      if (!found) verdict = 'unusable';
      else [time_s, u_ln, tail] = [found.time_s, found.u_s / found.time_s, found.tail];
    }
    const leap = Math.abs(moved) > p.leap_steps ? moved : 0;
    const unpurged = moved !== 0 && (shot.purge_g || 0) < p.purged_g;
    const carried = (shot.setting ?? null) === null;
    const found = { verdict: verdict ?? 'ok', time_s, u_ln, tail };
    return { ...found, setting, carried, steps, leap, unpurged, changed: moved !== 0 };
  }

  leftOut(shot, setting) {
    if (shot.fault) return 'fault';
    if (['warm_up', 'practice'].includes(shot.purpose)) return 'left_out';
    if (shot.time_s < this.p.least_time_s || shot.assumed?.includes('time_s')) return 'no_time';
    return setting === null ? 'no_setting' : null;
  }

  timeToTarget(state, { time_s, yield_g, first_drop_s, assumed }, target_g) {
    const c = this.carried.time, k = c.end_flow_factor, gap_g = target_g - yield_g;
    const usual_s = state.first_drop.usual_s ?? Infinity;
    let [drop_s, u_drop_s] = [c.first_drop_share * time_s, 0];
    u_drop_s = Math.max(c.u_first_drop_usual_s, c.u_first_drop_guessed_share * time_s);
    if (first_drop_s != null && first_drop_s >= 0 && first_drop_s <= time_s - 0.1) {
      [drop_s, u_drop_s] = [first_drop_s, c.u_first_drop_s];
    } else if (usual_s < time_s - 0.1) [drop_s, u_drop_s] = [usual_s, c.u_first_drop_usual_s];
    const seconds_per_g = (time_s - drop_s) / (k * yield_g), share = gap_g / (k * yield_g);
    const u_yield_g = assumed?.includes('yield_g') ? c.u_yield_assumed_g : c.u_yield_g;
    const u_s = Math.hypot((1 + share) * c.u_time_s, share * u_drop_s,
      ((seconds_per_g * target_g) / yield_g) * u_yield_g, ((seconds_per_g * gap_g) / k) * c.u_end_flow_factor);
    const found_s = time_s + gap_g * seconds_per_g;
    if (Math.abs(gap_g) > c.usable_within * target_g || found_s <= drop_s) return null;
    return { time_s: found_s, u_s, tail: (k * (found_s - time_s)) / found_s };
  }

  ownRow(state, belief, shot, recipe, shown, slept) {
    const row = this.plainRow(state, belief, shot, recipe, shown[0], slept);
    for (const name of shown.slice(1)) {
      const kind = HANDS.find((one) => name.startsWith(one));
      for (const known of Object.keys(row)) if (known.startsWith(kind)) delete row[known];
      row[name] = 1;
    }
    const { ground_g, before } = state.bags[shown[0]];
    const share = Math.min(1, (ground_g + shot.dose_g / 2) / this.p.hopper_g);
    return belief.names.includes(before) && share < 1 ? { ...row, [shown[0]]: share, [before]: 1 - share } : row;
  }

  take(state, belief, reading, shown, row, yield_g, group) {
    const p = this.p, seen = Math.log(reading.time_s / yield_g);
    let noise = 1 + (reading.u_ln * reading.u_ln) / belief.variance;
    if (reading.unpurged) noise *= p.after_change_noise;
    if (row[shown[0]] < 1) noise *= p.mixed_noise;
    if (reading.carried) noise *= p.carried_noise;
    const { mean, spread } = belief.forecast(row, noise);
    let z = asNormal((seen - mean) / Math.sqrt(spread * belief.variance), belief.dof);
    const far = Math.abs(seen - mean) > p.absurd_ln && Math.abs(z) > p.look_sigma;
    if (reading.leap) z = Math.sign(reading.leap) * Math.abs(z);
    const doubtful = far || reading.leap !== 0;
    const verdict = this.watch(state, z, group, doubtful);
    if (MOVED.includes(verdict)) belief.loosen(namesOf(belief, LEVELS), doubtful ? p.re_zeroed_sd : p.jump_sd);
    if (verdict === 'regroup') belief.loosen([`group:${group}`], p.jump_sd);
    if (verdict === 'jump' && reading.leap) {
      state.setting_ref += reading.setting - state.last.setting;
      row.slope -= reading.leap;
    }
    if (TEACHES.includes(verdict)) belief.learn(row, seen, noise);
    return verdict;
  }

  watch(state, z, group, doubtful) {
    const p = this.p, { out, ewma, shots } = state.watch, key = group || '-';
    if (doubtful || Math.abs(z) > p.look_sigma) {
      const side = z > 0 ? 1 : -1, known = out[key] ?? 0, count = known * side >= 0 ? known + side : side;
      const calm = Boolean(group) && Object.entries(out).some(([other, n]) => other !== key && n === 0);
      const verdict = standingOut(Math.abs(count), doubtful, calm);
      state.watch = TEACHES.includes(verdict) ? quiet() : { ewma, shots, out: { ...out, [key]: count } };
      return verdict;
    }
    const w = p.ewma_weight, value = (1 - w) * ewma + w * z;
    const sd = Math.sqrt((w / (2 - w)) * (1 - (1 - w) ** (2 * (shots + 1))));
    const drifts = shots > 0 && Math.abs(value) > this.ewmaLimit(p.days_per_alarm * state.shots_per_day) * sd;
    state.watch = drifts ? quiet() : { ewma: value, shots: shots + 1, out: { ...out, [key]: 0 } };
    return drifts ? 'drift' : 'ok';
  }

  ewmaLimit(shots) {
    const { limits, runs, least_shots } = this.carried, wanted = Math.log(Math.max(least_shots, shots));
    const i = runs.findIndex((run) => wanted <= Math.log(run));
    if (i <= 0) return i ? limits.at(-1) : limits[0];
    const [low, high] = [Math.log(runs[i - 1]), Math.log(runs[i])];
    return limits[i - 1] + ((limits[i] - limits[i - 1]) * (wanted - low)) / (high - low);
  }

  remember(state, shot, recipe, reading, bag, slept, verdict) {
    const { last } = state, [low, high] = this.window(recipe).map((edge) => Math.exp(edge) - 1);
    const off = (tolerances) => {
      const share = reading.time_s === null ? 0 : reading.time_s / recipe.time_s - 1;
      return (share > tolerances * high) - (share < tolerances * low);
    };
    const lean = last?.bag === bag && !reading.changed ? { ...last.lean } : { slow: 0, fast: 0 };
    const side = TEACHES.includes(verdict) ? off(this.p.leaning_share) : 0;
    if (side) lean[side > 0 ? 'slow' : 'fast'] += 1;
    state.last = {
      ...pick(shot, OF_A_SHOT), bag, setting: verdict === 'absurd' && last ? last.setting : reading.setting,
      written_setting: shot.setting ?? null, pulls_today: slept || !last ? 1 : last.pulls_today + 1, verdict,
      leap: reading.leap !== 0, unpurged: reading.unpurged, time_to_target_s: reading.time_s,
      off: off(1) + off(2), lean,
    };
    const kept = state.bags[bag], ground_g = shot.dose_g + (shot.purge_g || 0);
    kept.ground_g += ground_g;
    if (kept.reached || verdict === 'left_out') return;
    kept.pulls += 1;
    kept.pulls_g += ground_g;
  }

}

function usualFirstDrop({ first_drop }, { first_drop_s }) {
  if (first_drop_s == null) return first_drop;
  const shots = Math.min(first_drop.shots + 1, 20), before = first_drop.usual_s ?? first_drop_s;
  return { usual_s: before + (first_drop_s - before) / shots, shots };
}

function standingOut(count, doubtful, calm) {
  if (doubtful) return count >= 3 ? 'jump' : 'absurd';
  if (count === 1) return 'look';
  return calm ? (count >= 5 ? 'regroup' : 'apart') : 'jump';
}
