"""How a shot comes out: a grinder that drifts, a bag that jumps, and the hand that pulls."""

import math
from dataclasses import dataclass
from random import Random


@dataclass(frozen=True)
class Hand:
    """How one person pulls, against the recipe."""

    dose_bias_g: float
    dose_sd_g: float
    yield_bias_g: float
    yield_sd_g: float
    ln_time_bias: float
    ln_time_sd: float


HANDS = {
    "Ida": Hand(0.0, 0.07, 0.1, 0.7, 0.0, 0.028),
    "Teo": Hand(0.12, 0.16, 0.6, 1.1, 0.035, 0.050),
    "Mara": Hand(-0.02, 0.06, 0.0, 0.6, -0.010, 0.030),
}
# ln t moves by this much per unit of ln dose: a fuller basket runs slower. Plausible, no source.
DOSE_POWER = 2.5
END_FLOW = 1.2


@dataclass
class Grind:
    """A grinder with a coffee in it: `level` is how far ln t stands from the target at `setting`'s reference."""

    setting: float
    step: float
    finer: int  # +1 where higher numbers grind finer, -1 where lower ones do
    ln_time_per_step: float
    level: float = 0.0
    reference: float | None = None

    def __post_init__(self):
        self.reference = self.setting if self.reference is None else self.reference

    def ln_offset(self) -> float:
        steps_finer = self.finer * (self.setting - self.reference) / self.step
        return self.level + self.ln_time_per_step * steps_finer

    def pass_hours(self, rng: Random, hours: float) -> None:
        """The room warms and the bag ages: a wander in time, and a slow fall."""
        self.level += rng.gauss(0, 0.010 * math.sqrt(hours)) - 0.0004 * hours

    def pass_night(self, rng: Random) -> None:
        self.level += rng.gauss(0.0, 0.035) - 0.003

    def new_bag(self, rng: Random) -> None:
        """A jump; on the whole it gives back what the bag before lost by ageing."""
        self.level += rng.gauss(0.025, 0.085)

    def move(self, steps_finer: int) -> None:
        self.setting = round(self.setting + self.finer * steps_finer * self.step, 2)


@dataclass
class Pull:
    """One shot as it really was, before anybody typed it."""

    dose_g: float
    yield_g: float
    time_s: float
    first_drop_s: float
    time_to_target_s: float

    def miss(self, recipe: dict) -> float:
        """How far its time to target is from the recipe's, as ln."""
        return math.log(self.time_to_target_s / recipe["time_s"])


def pull(rng: Random, grind: Grind, recipe: dict, hand: Hand) -> Pull:
    """Pull one shot to a recipe."""
    dose_g = recipe["dose_g"] + rng.gauss(hand.dose_bias_g, hand.dose_sd_g)
    yield_g = recipe["yield_g"] + rng.gauss(hand.yield_bias_g, hand.yield_sd_g)
    ln_time = grind.ln_offset() + DOSE_POWER * math.log(dose_g / recipe["dose_g"])
    ln_time += rng.gauss(hand.ln_time_bias, hand.ln_time_sd)
    target_s = recipe["time_s"] * math.exp(ln_time)
    first_drop_s = 0.23 * target_s + rng.gauss(0, 0.35)
    end_flow_g_s = END_FLOW * recipe["yield_g"] / (target_s - first_drop_s)
    time_s = target_s + (yield_g - recipe["yield_g"]) / end_flow_g_s
    return Pull(*(round(value, 1) for value in (dose_g, yield_g, time_s, first_drop_s, target_s)))


def steps_wanted(misses: list[float], grind: Grind, most: int) -> int:
    """How many steps finer somebody at the machine would go: the mean miss over what a step does, with a dead zone."""
    miss = sum(misses) / len(misses)
    steps = round(-miss / grind.ln_time_per_step)
    return max(-most, min(most, steps))


def extraction_pct(rng: Random, shot: Pull, recipe: dict) -> float:
    """A plausible extraction: around 19.8 %, a little more where it ran slow or long."""
    ratio_ln = math.log(shot.yield_g / shot.dose_g * recipe["dose_g"] / recipe["yield_g"])
    return 19.8 + 2.0 * shot.miss(recipe) + 6.0 * ratio_ln + rng.gauss(0, 0.35)
