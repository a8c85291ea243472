"""Hold or move: one answer, in the order in which a good head barista asks.

Doubtful entry, fault of prep or machine, bag out of its window, water, taste, then the grind; else hold.
Never a move on one shot that is merely off; one change at a time, the smallest that works.
"""

import math
from dataclasses import dataclass

from server.compute.grind.priors import PRIORS
from server.compute.grind.response import choose
from server.compute.grind.taste import one_change
from server.compute.grind.tolerance import centre, window
from server.compute.grind.watch import MOVED, TEACHES
from server.compute.grind.words import say

FAULTS = {
    "channelling": "look at the prep",
    "spill": "look at the prep",
    "wrong_dose": "look at the prep",
    "machine": "check the machine",
    "interrupted": "too early to say",
}
# How big a change is that nobody computes: common practice, no source.
TASTE_SIZES = {
    "more yield": ("yield_g", 2.0),
    "less yield": ("yield_g", -2.0),
    "hotter": ("water_temp_c", 1.0),
    "cooler": ("water_temp_c", -1.0),
}


@dataclass(frozen=True)
class _Case:
    """All that the advice looks at."""

    state: dict
    choice: dict
    recipe: dict
    taste: dict
    bag: dict
    water: dict

    @property
    def last(self) -> dict:
        return self.state["last"]

    @property
    def dial_in(self) -> dict:
        return self.state["bags"][self.last["bag"]]


def advise(
    state: dict | None,
    upcoming: dict,
    recipe: dict,
    grinder: dict,
    taste: dict | None = None,
    bag: dict | None = None,
    water: dict | None = None,
) -> dict:
    """Hold, or one change with its size and its reasons.

    Parameters
    ----------
    state : dict or None
        A grinder's state (see `model.observe`); None before its first shot.
    upcoming : dict
        The shot to come, as for `response.choose`.
    recipe, grinder : dict
        As for `model.observe`.
    taste : dict, optional
        Of the last shot: `right`, or `acidity`, `sweetness`, `bitterness`, `body` from -2 to 2.
    bag : dict, optional
        `freshness`: `resting`, `in_window` or `past_window`.
    water : dict, optional
        `status`: `ok` or `check`.

    Returns
    -------
    dict
        `advice`, one of `words.ADVICE`; `size` (None, or `field`, `by`, `from`, `to` and `steps` where they apply);
        `reasons` [sentences]; `choice` as `response.choose` gives it (None without a shot).

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app; the thresholds are in `priors`, the table of tastes in `taste`.
    """
    if state is None or state["last"] is None:
        return {**_answer("too early to say", say("no_shots")), "choice": None}
    if state["setting_ref"] is None:  # no shot yet said where the grinder stood: nothing was learned
        return {**_answer("check entry", say("no_setting")), "choice": None}
    choice = choose(state, upcoming, recipe, grinder)
    case = _Case(state, choice, recipe, taste or {}, bag or {}, water or {})
    about_the_last_shot = () if choice["fresh_start"] else (_entry, _fault)
    for question in (*about_the_last_shot, _bag, _water, *((_start,) if choice["fresh_start"] else (_taste, _move))):
        found = question(case)
        if found:
            return {**found, "choice": choice}
    return {**_hold(case), "choice": choice}


def _answer(advice: str, *reasons: str, size: dict | None = None) -> dict:
    return {"advice": advice, "size": size, "reasons": list(reasons)}


def _entry(case: _Case) -> dict | None:
    last, verdict = case.last, case.last["verdict"]
    if verdict == "absurd":
        if last["leap"]:
            return _answer("check entry", say("leap", setting=last["written_setting"]))
        expected_s = case.choice["now"]["predicted_time_s"]
        return _answer("check entry", say("absurd", time_s=last["time_s"], expected_s=expected_s))
    if verdict in ("no_time", "no_setting"):
        return _answer("check entry", say(verdict, entered=last["time_s"]))
    if verdict == "unusable":
        return _answer("too early to say", say("unusable", yield_g=case.recipe["yield_g"]))
    return None


def _fault(case: _Case) -> dict | None:
    last, verdict = case.last, case.last["verdict"]
    if verdict == "fault":
        return _answer(FAULTS[last["fault"]], say(last["fault"]))
    if verdict == "apart":
        return _answer("check the machine", say("apart", group=str(last["group"])))
    if last["unpurged"] and last["off"]:
        return _answer("purge and pull again", say("old_grounds"))
    if verdict == "look":
        return _answer("look at the prep", say("look", time_s=last["time_to_target_s"]))
    return None


def _bag(case: _Case) -> dict | None:
    freshness = case.bag.get("freshness")
    return _answer("change bag", say(freshness)) if freshness in ("past_window", "resting") else None


def _water(case: _Case) -> dict | None:
    return _answer("check water", say("water")) if case.water.get("status") == "check" else None


def _taste(case: _Case) -> dict | None:
    if not case.taste:
        return None
    expected_s, time = case.choice["now"]["predicted_time_s"], _typical(case)
    if case.taste.get("right"):
        if time == "within" or not case.last["off"]:
            return _answer("hold", say("taste_right"))
        size = {"field": "time_s", "from": case.recipe["time_s"], "to": math.floor(expected_s * 2 + 0.5) / 2}
        return _answer("move the target", say("taste_right_off", expected_s=expected_s), size=size)
    row = one_change(case.taste, time)
    if row["advice"] == "hold":
        return None
    return _answer(row["advice"], row["reason"], size=_taste_size(case, row["advice"]))


def _typical(case: _Case) -> str:
    """The typical pull against the target: half the tolerance is near enough."""
    low, high = (edge * PRIORS["leaning_share"] for edge in window(case.recipe))
    off = case.choice["mean"] - centre(case.recipe)
    return "long" if off > high else "short" if off < low else "within"


def _taste_size(case: _Case, advice: str) -> dict | None:
    if advice in TASTE_SIZES:
        field, by = TASTE_SIZES[advice]
        return {"field": field, "by": by}
    if advice in ("finer", "coarser"):
        return {"field": "setting", "steps": 1.0 if advice == "finer" else -1.0, "from": case.choice["now"]["setting"]}
    return None


def _move(case: _Case) -> dict | None:
    choice, verdict = case.choice, case.last["verdict"]
    gain = choice["gain"]
    way = choice["best"]["steps"] or choice["best"]["dose_by_g"]
    if not way or verdict not in TEACHES:
        return None
    leans = case.last["lean"]["fast" if way > 0 else "slow"] >= 2
    sure = choice["slow"] if way < 0 else 1.0 - choice["slow"]
    if verdict in MOVED and gain >= PRIORS["gain_signal"]:
        return _moved(case, way, say(verdict))
    if not case.dial_in["reached"] and gain >= PRIORS["gain_dial_in"]:
        if leans or case.last["purpose"] == "dial_in" or abs(case.last["off"]) > 1:
            return _moved(case, way)
    elif leans and gain >= PRIORS["gain"]:
        return _moved(case, way)
    elif leans and gain >= PRIORS["gain_off_centre"] and sure >= PRIORS["off_centre_sure"]:
        told = say("off_centre", expected_s=choice["now"]["predicted_time_s"], sure_pct=100 * sure)
        return _moved(case, way, told)
    return None


def _start(case: _Case) -> dict:
    """The first pull of a day, or of a bag: a forecast, and a move where it is worth one."""
    now, best = case.choice["now"], case.choice["best"]
    move = case.choice["gain"] >= PRIORS["gain_morning"]
    low_s, high_s = (best if move else now)["interval_80"]
    start = say("start", setting=(best if move else now)["setting"], low_s=low_s, high_s=high_s)
    return _moved(case, best["steps"] or best["dose_by_g"], start) if move else _answer("hold", start)


def _moved(case: _Case, way: float, *reasons: str) -> dict:
    now, best = case.choice["now"], case.choice["best"]
    low_s, high_s = best["interval_80"]
    told = [*reasons, say("gain", now_pct=100 * now["chance"], then_pct=100 * best["chance"])]
    size = {"field": "setting", "steps": best["steps"], "from": now["setting"], "to": best["setting"]}
    if best["dose_by_g"]:
        size = {"field": "dose_g", "by": best["dose_by_g"]}
        told.insert(0, say("coarse_step", dose_by_g=best["dose_by_g"]))
    told.append(say("expect", expected_s=best["predicted_time_s"], low_s=low_s, high_s=high_s))
    return _answer("finer" if way > 0 else "coarser", *told, size=size)


def _hold(case: _Case) -> dict:
    now, dial_in = case.choice["now"], case.dial_in
    steady = say("steady", now_pct=100 * now["chance"])
    if dial_in["reached"]:
        just = dial_in["reached_at_ms"] == case.last["at_ms"]
        told = [say("reached", pulls=dial_in["pulls"], pulls_g=dial_in["pulls_g"])] if just else []
        return _answer("hold", *told, say("one_shot") if case.last["off"] else steady)
    if case.last["off"]:
        return _answer("too early to say", say("one_shot"))
    return _answer("hold", say("again"))
