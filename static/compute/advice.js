/**
 * Hold or move, on the phone, out of the server's reach: one answer, in the order of server/compute/grind/advice.py,
 * held equal to it by tests/vectors/make_advice.py. Always provisional. Words and tables come with the sheet.
 */

import { MOVED, Model, TEACHES } from './grind.js';
import { centre } from './outlook.js';

const DIGITS = { _s: 0, _pct: 0, _g: 1 };

export class Adviser extends Model {
  /**
   * Hold, or one change with its size and its reasons.
   * @param {?Object} state as `observe` gives it, or the sheet's; null before a grinder's first shot
   * @param {Object} upcoming `at_ms`; `setting`, `bag_id`, `coffee_id`, `age_days` where they are not the last shot's
   * @returns {{advice: string, size: ?Object, reasons: string[], choice: ?Object, provisional: true}}
   */
  advise(state, upcoming, recipe, grinder, { taste, bag, water } = {}) {
    const told = (found, choice) => ({ ...found, choice, provisional: true });
    if (!state?.last) return told(answer('too early to say', [this.say('no_shots')]), null);
    if (state.setting_ref === null) return told(answer('check entry', [this.say('no_setting')]), null);
    const choice = this.choose(state, upcoming, recipe, grinder);
    const ask = { last: state.last, bag: state.bags[state.last.bag], choice, recipe };
    const found = choice.fresh_start
      ? this.shelf(bag, water) ?? this.start(choice)
      : this.entry(ask) ?? this.fault(ask) ?? this.shelf(bag, water) ?? this.taste(ask, taste)
        ?? this.move(ask) ?? this.hold(ask);
    return told(found, choice);
  }

  entry({ last, choice, recipe }) {
    const { verdict, time_s } = last, expected_s = choice.now.predicted_time_s;
    const check = (code, values) => answer('check entry', [this.say(code, values)]);
    if (verdict === 'absurd' && last.leap) return check('leap', { setting: last.written_setting });
    if (verdict === 'absurd') return check('absurd', { time_s, expected_s });
    if (['no_time', 'no_setting'].includes(verdict)) return check(verdict, { entered: time_s });
    if (verdict !== 'unusable') return null;
    return answer('too early to say', [this.say('unusable', { yield_g: recipe.yield_g })]);
  }

  fault({ last }) {
    if (last.verdict === 'fault') return answer(this.carried.faults[last.fault], [this.say(last.fault)]);
    if (last.verdict === 'apart') return answer('check the machine', [this.say('apart', { group: `${last.group}` })]);
    if (last.unpurged && last.off) return answer('purge and pull again', [this.say('old_grounds')]);
    if (last.verdict !== 'look') return null;
    return answer('look at the prep', [this.say('look', { time_s: last.time_to_target_s })]);
  }

  shelf(bag, water) {
    if (['past_window', 'resting'].includes(bag?.freshness)) return answer('change bag', [this.say(bag.freshness)]);
    return water?.status === 'check' ? answer('check water', [this.say('water')]) : null;
  }

  taste({ last, choice, recipe }, taste) {
    if (!taste || !Object.keys(taste).length) return null;
    const expected_s = choice.now.predicted_time_s, off = choice.mean - centre(recipe);
    const [low, high] = this.window(recipe).map((edge) => edge * this.p.leaning_share);
    const time = off > high ? 'long' : off < low ? 'short' : 'within';
    if (taste.right) {
      if (time === 'within' || !last.off) return answer('hold', [this.say('taste_right')]);
      const size = { field: 'time_s', from: recipe.time_s, to: Math.floor(expected_s * 2 + 0.5) / 2 };
      return answer('move the target', [this.say('taste_right_off', { expected_s })], size);
    }
    const [extraction, strength] = wants(taste), asked = { extraction, strength, time };
    const fits = (one) => Object.entries(asked).every(([key, want]) => [null, want].includes(one[key]));
    const { advice, reason } = this.carried.taste.find(fits);
    return advice === 'hold' ? null : answer(advice, [reason], this.tasteSize(advice, choice.now.setting));
  }

  tasteSize(advice, from) {
    if (['finer', 'coarser'].includes(advice)) return { field: 'setting', steps: advice === 'finer' ? 1 : -1, from };
    const [field, by] = this.carried.taste_sizes[advice] ?? [];
    return field ? { field, by } : null;
  }

  move({ last, bag, choice }) {
    const p = this.p, { gain, now, best } = choice, way = best.steps || best.dose_by_g;
    if (!way || !TEACHES.includes(last.verdict)) return null;
    const leans = last.lean[way > 0 ? 'fast' : 'slow'] >= 2, sure = way < 0 ? choice.slow : 1 - choice.slow;
    if (MOVED.includes(last.verdict) && gain >= p.gain_signal) return this.moved(choice, way, [this.say(last.verdict)]);
    if (!bag.reached && gain >= p.gain_dial_in) {
      return leans || last.purpose === 'dial_in' || Math.abs(last.off) > 1 ? this.moved(choice, way, []) : null;
    }
    if (leans && gain >= p.gain) return this.moved(choice, way, []);
    if (!leans || gain < p.gain_off_centre || sure < p.off_centre_sure) return null;
    const told = this.say('off_centre', { expected_s: now.predicted_time_s, sure_pct: 100 * sure });
    return this.moved(choice, way, [told]);
  }

  start(choice) {
    const { now, best, gain } = choice, move = gain >= this.p.gain_morning, at = move ? best : now;
    const told = [this.say('start', { setting: at.setting, low_s: at.interval_80[0], high_s: at.interval_80[1] })];
    return move ? this.moved(choice, best.steps || best.dose_by_g, told) : answer('hold', told);
  }

  moved({ now, best }, way, reasons) {
    const [low_s, high_s] = best.interval_80;
    const told = [...reasons, this.say('gain', { now_pct: 100 * now.chance, then_pct: 100 * best.chance })];
    let size = { field: 'setting', steps: best.steps, from: now.setting, to: best.setting };
    if (best.dose_by_g) {
      size = { field: 'dose_g', by: best.dose_by_g };
      told.unshift(this.say('coarse_step', { dose_by_g: best.dose_by_g }));
    }
    told.push(this.say('expect', { expected_s: best.predicted_time_s, low_s, high_s }));
    return answer(way > 0 ? 'finer' : 'coarser', told, size);
  }

  hold({ last, bag, choice }) {
    if (bag.reached) {
      const just = bag.reached_at_ms === last.at_ms;
      const told = just ? [this.say('reached', { pulls: bag.pulls, pulls_g: bag.pulls_g })] : [];
      const steady = this.say('steady', { now_pct: 100 * choice.now.chance });
      return answer('hold', [...told, last.off ? this.say('one_shot') : steady]);
    }
    return last.off ? answer('too early to say', [this.say('one_shot')]) : answer('hold', [this.say('again')]);
  }

  /** One of the sheet's sentences with its figures. */
  say(code, values = {}) {
    return Object.entries(values).reduce((text, [name, value]) => text.replaceAll(`{${name}}`, shown(name, value)),
      this.carried.reasons[code]);
  }
}

function answer(advice, reasons, size = null) {
  return { advice, size, reasons };
}

function shown(name, value) {
  if (typeof value === 'string') return value;
  const [, digits] = Object.entries(DIGITS).find(([suffix]) => name.endsWith(suffix)) ?? ['', 2];
  return String(Math.floor(value * 10 ** digits + 0.5) / 10 ** digits);
}

/** What the words of a taste ask for: extraction (1, 0, -1, both, flat) and strength (1, 0, -1). */
function wants({ acidity = 0, sweetness = 0, bitterness = 0, body = 0 }) {
  const strength = (body < 0) - (body > 0);
  if (acidity > 0 && bitterness > 0) return ['both', strength];
  if (acidity < 0 && bitterness < 0) return ['flat', strength];
  const more = acidity > 0 || bitterness < 0, less = bitterness > 0 || acidity < 0;
  return [(more || (sweetness < 0 && !less)) - less, strength];
}
