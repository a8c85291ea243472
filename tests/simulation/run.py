"""One policy through one bar, shot by shot, judged by the hidden truth."""

import math
from dataclasses import dataclass, field

from tests.simulation.truth import DAYS, SHOTS_A_DAY, TARGET_S, TOLERANCE, Bar

# A change, or an alarm, while the true typical shot is this near the target was for nothing.
NOTHING_WRONG = TOLERANCE / 3
MOST_PULLS = 12


@dataclass
class DialIn:
    """One bag's dialling in."""

    known_grinder: bool
    pulls: int = 0
    grams: float = 0.0
    pulls_until_true: int = 0
    stopped: bool = False
    true_at_stop: bool = False


@dataclass
class Result:
    """What a policy made of 28 days."""

    sunk_g: float = 0.0
    on_recipe: int = 0
    changes: int = 0
    false_alarms: int = 0
    looks: int = 0
    dial_ins: list[DialIn] = field(default_factory=list)
    first_pulls: list[tuple[bool, bool]] = field(default_factory=list)
    covered: list[bool] = field(default_factory=list)
    widths: list[float] = field(default_factory=list)
    seen_after: list[float] = field(default_factory=list)

    @property
    def sunk_g_a_day(self) -> float:
        return self.sunk_g / DAYS

    @property
    def share_on_recipe(self) -> float:
        return self.on_recipe / (DAYS * SHOTS_A_DAY)


class _Grinder:
    """Where the grinder stands, and what is left in it of where it stood."""

    def __init__(self, policy):
        self.policy, self.before, self.since, self.stands = policy, 0.0, 9, 0.0

    def settle(self, result: Result) -> None:
        if self.policy.steps != self.stands:
            self.before, self.since, self.stands = self.stands, 0, self.policy.steps
            result.changes += 1


def run(bar: Bar, policy) -> Result:
    """Pull every shot of 28 days."""
    result, grinder = Result(), _Grinder(policy)
    for shot in range(len(bar.level)):
        if shot in bar.opens:
            policy.open_bag()
            result.dial_ins.append(DialIn(known_grinder=shot > 0))
        if shot and shot % SHOTS_A_DAY == 0:
            _morning(bar, policy, shot, result)
        policy.before(shot)
        grinder.settle(result)
        ln_time = bar.ln_time(shot, policy.steps, grinder.before, grinder.since)
        grinder.since += 1
        off = abs(math.expm1(ln_time))
        result.on_recipe += off <= TOLERANCE
        result.sunk_g += bar.dose_g[shot] if off > 2 * TOLERANCE else 0.0
        if bar.logged[shot] or policy.dialling_in:
            _log(bar, policy, shot, ln_time, result)
            grinder.settle(result)
    return result


def _morning(bar, policy, shot, result):
    """The first pull of the day at the setting that was advised, beside the same pull at yesterday's."""
    yesterday = policy.steps
    policy.morning(shot)
    landed = (abs(math.expm1(bar.ln_time(shot, k, k, 9))) <= TOLERANCE for k in (policy.steps, yesterday))
    result.first_pulls.append(tuple(landed))


def _log(bar, policy, shot, ln_time, result):
    expected, steps, dialling_in = getattr(policy, "told", None), policy.steps, policy.dialling_in
    if expected and not dialling_in and shot not in bar.opens:
        low_s, high_s = expected["interval_80"]
        result.covered.append(low_s <= TARGET_S * math.exp(ln_time) <= high_s)
        result.widths.append(math.log(high_s / low_s))
    policy.alarm = policy.look = False
    policy.see(shot, bar.record(shot, ln_time), ln_time)
    if dialling_in:
        _dial_in(bar, policy, shot, result)
    elif policy.alarm or policy.steps != steps:
        result.false_alarms += abs(bar.ln_off(shot, steps)) < NOTHING_WRONG
        _seen(bar, shot, policy.steps - steps, result)
    result.looks += policy.look


def _dial_in(bar, policy, shot, result):
    dial_in = result.dial_ins[-1]
    dial_in.pulls += 1
    dial_in.grams += bar.dose_g[shot]
    true = abs(math.expm1(bar.ln_off(shot, policy.steps))) <= TOLERANCE
    if not true:
        dial_in.pulls_until_true = dial_in.pulls
    if not policy.dialling_in:
        dial_in.stopped, dial_in.true_at_stop = True, true
    elif dial_in.pulls >= MOST_PULLS:
        policy.give_up()


def _seen(bar, shot, moved, result):
    """Logged shots from the start of the temperature fault to the first move against it."""
    _, start, end = bar.faults[1]
    if start <= shot < end and moved > 0 and not result.seen_after:
        result.seen_after.append(float(sum(bar.logged[start : shot + 1])))
