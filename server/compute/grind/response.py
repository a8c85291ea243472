"""Where to set the grinder: the setting with the best chance of landing in tolerance, what to expect of it,
and what to expect of staying."""

import math

from server.compute.grind.belief import Belief
from server.compute.grind.priors import PRIORS
from server.compute.grind.situation import hands_noise, meet, plain_row, steps_finer, wander
from server.compute.grind.student_t import t_90, t_cdf
from server.compute.grind.tolerance import centre, chance, window

# Beyond e^±12 seconds per gram a forecast is nonsense; it stays a number all the same.
MOST_LN = 12.0


def choose(state: dict, upcoming: dict, recipe: dict, grinder: dict) -> dict:
    """The next shot as it stands, and after the best single move.

    Parameters
    ----------
    state : dict
        A grinder's state that has seen a shot.
    upcoming : dict
        The shot to come: `at_ms` [ms since 1970]; `setting` [marks], `bag_id`, `coffee_id`, `age_days` where they
        differ from the last shot's.
    recipe : dict
        `time_s`, `time_s_tol` [s], `yield_g`, `dose_g` [g].
    grinder : dict
        `finer`, `step` [marks].

    Returns
    -------
    dict
        `now` and `best`, each with `steps` (finer is above 0), `setting` [marks], `dose_by_g` [g], `chance` [-],
        `predicted_time_s` [s] and `interval_80` [s, s]; `gain` in chance [-], 1 where all chances are small
        and a move comes closer; `mean` of the typical shot as it stands [ln(s/g)]; `slow` and `reached`: its
        chances of being above the target, and in tolerance [-]; `fresh_start`: whether a night or a change of bag
        lies between.

    Raises
    ------
    Nothing

    Notes
    -----
    At most three steps, on the grinder's own steps; quarters of a mark where it has none. Of settings that are as
    good as the best to within 0.01, the nearest. Where one step jumps more than the whole tolerance, also
    the dose by ±0.3 g. Convention of this app.
    """
    belief, row, fresh_start = outlook(state, upcoming, recipe)
    setting = upcoming.get("setting") if upcoming.get("setting") is not None else state["last"]["setting"]
    row["slope"] = steps_finer(state, setting, grinder)
    ahead = _Ahead(belief, row)
    moves = [(k, 0.0) for k in _candidates(grinder)] + _doses(belief, recipe, grinder)
    odds = [chance(*ahead.shot(*move), belief.dof, recipe) for move in moves]
    aim = centre(recipe)
    far = max(odds) < PRIORS["far_chance"]
    if far:  # so far off that no single move lands: the one that comes closest
        gaps = [abs(ahead.shot(*move)[0] - aim) for move in moves]
        nearest = gaps.index(min(gaps))
    else:
        nearest = next(i for i, odd in enumerate(odds) if odd >= max(odds) - PRIORS["near_best"])
    now, best = (
        {
            "steps": moves[i][0],
            "setting": _setting_after(setting, moves[i][0], grinder),
            "dose_by_g": moves[i][1],
            "chance": odds[i],
            **_expected(*ahead.shot(*moves[i]), belief.dof, recipe["yield_g"]),
        }
        for i in (0, nearest)
    )
    mean, sd = ahead.shot(0.0, 0.0, noise=0.0)
    slow = t_cdf((mean - aim) / sd, belief.dof)
    reached = chance(mean, sd, belief.dof, recipe)
    gain = 1.0 if nearest and far else best["chance"] - now["chance"]
    told = {"gain": gain, "mean": mean, "slow": slow, "reached": reached, "fresh_start": fresh_start}
    return {"now": now, "best": best, **told}


class _Ahead:
    """The next shot as a function of what is moved: worked out once, however many moves are weighed."""

    def __init__(self, belief: Belief, row: dict[str, float]):
        self.mean, self.spread, shared = belief.forecast(row, 0.0)
        self.noise, self.variance = 1.0 + hands_noise(belief), belief.variance
        steps, dose = belief.names.index("slope"), belief.names.index("dose")
        # Whatever a few noisy shots say: finer is slower.
        self.by_step = (max(PRIORS["slope_least"], belief.mean[steps]), shared[steps], belief.cov[steps][steps])
        self.by_gram = (belief.mean[dose], shared[dose], belief.cov[dose][dose])

    def shot(self, steps: float, dose_by_g: float, noise: float | None = None) -> tuple[float, float]:
        """Mean and scale after a move of the setting or of the dose (never of both)."""
        (effect, shared, own), by = (self.by_gram, dose_by_g) if dose_by_g else (self.by_step, steps)
        spread = self.spread + by * (2.0 * shared + by * own) + (self.noise if noise is None else noise)
        return self.mean + by * effect, math.sqrt(max(spread, 1e-12) * self.variance)


def outlook(state: dict, upcoming: dict, recipe: dict) -> tuple[Belief, dict[str, float], bool]:
    """What is believed at the time of a shot to come, and what weighs on it by the bar's average hand.

    Parameters
    ----------
    state : dict
        A grinder's state that has seen a shot.
    upcoming : dict
        As for `choose`.
    recipe : dict
        As for `choose`.

    Returns
    -------
    Belief, dict, bool
        A copy, moved on to that time; weight of each unknown, slope apart [its unit]; whether a night or
        another bag lies between.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app.
    """
    belief, last = Belief.of(state["belief"]), state["last"]
    slept = wander(state, belief, upcoming["at_ms"])
    own = {key: upcoming[key] for key in ("bag_id", "coffee_id", "age_days") if upcoming.get(key) is not None}
    next_shot = {**{key: last[key] for key in ("bag_id", "coffee_id", "age_days")}, **own}
    bag = meet(belief, next_shot, recipe)[0]
    return belief, plain_row(state, belief, next_shot, recipe, bag, slept), slept or bag != last["bag"]


def settled(choice: dict) -> bool:
    """Whether dialling in can stop: the recipe is reached with enough confidence, and no move would help.

    Parameters
    ----------
    choice : dict
        As `choose` gives it.

    Returns
    -------
    bool
        True when the typical shot is in tolerance with a chance of 0.9.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app.
    """
    return choice["reached"] >= PRIORS["reached"] and choice["gain"] < PRIORS["gain_dial_in"]


def _candidates(grinder: dict) -> list[float]:
    """Moves in steps, the smallest first, staying before all."""
    grid = 1.0 if grinder.get("step") else PRIORS["stepless_grid"]
    count = math.floor(PRIORS["most_steps"] / grid)
    return [0.0] + [way * k * grid for k in range(1, count + 1) for way in (1.0, -1.0)]


def _doses(belief: Belief, recipe: dict, grinder: dict) -> list[tuple[float, float]]:
    """Moves of the dose, where one step of the grinder jumps the whole tolerance."""
    low, high = window(recipe)
    if not grinder.get("step") or belief.mean[belief.names.index("slope")] <= high - low:
        return []
    return [(0.0, PRIORS["dose_nudge_g"]), (0.0, -PRIORS["dose_nudge_g"])]


def _setting_after(setting: float, steps: float, grinder: dict) -> float:
    way = 1.0 if grinder.get("finer") == "higher" else -1.0
    return math.floor((setting + way * steps * (grinder.get("step") or 1.0)) * 1e6 + 0.5) / 1e6


def _expected(mean: float, sd: float, dof: int, yield_g: float) -> dict:
    """The middle of what to expect, and the 80 % interval."""
    half = t_90(dof) * sd
    ends = (mean - half, mean, mean + half)
    low, middle, high = (yield_g * math.exp(min(MOST_LN, max(-MOST_LN, end))) for end in ends)
    return {"predicted_time_s": middle, "interval_80": [low, high]}
