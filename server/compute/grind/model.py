"""One grinder's shots, one after the other, into a belief about where its times stand and what moves them.

A dynamic linear model on ln(time to target / target yield): nested levels that wander (see `situation`), and
constants that are never forgotten: slope per step, dose, age, warm-up, end flow, people, groups. The
state is a plain dict of sufficient statistics: it travels in the sheet, and the phone goes
on from it.
"""

import math

from server.compute.grind.belief import Belief
from server.compute.grind.priors import PRIORS
from server.compute.grind.reading import Reading, usual_first_drop
from server.compute.grind.response import choose, settled
from server.compute.grind.situation import (
    HANDS,
    LEVELS,
    meet,
    names_of,
    plain_row,
    wander,
)
from server.compute.grind.tolerance import centre
from server.compute.grind.watch import MOVED, TEACHES, as_normal, fresh, watch
from server.compute.time_to_target import END_FLOW_FACTOR

NOT_REACHED = {"pulls": 0, "pulls_g": 0.0, "reached": False, "reached_at_ms": None}
KEPT_OF_A_SHOT = ("at_ms", "bag_id", "coffee_id", "age_days", "time_s", "group", "purpose", "fault")


def observe(state: dict | None, shot: dict, recipe: dict, grinder: dict) -> dict:
    """Take in one shot: the state afterwards, with a verdict on the shot under `last`.

    Parameters
    ----------
    state : dict or None
        What this function gave before; None before the first shot.
    shot : dict
        `at_ms` [ms since 1970], `dose_g`, `yield_g` [g], `time_s` [s]; `first_drop_s` [s], `setting` [marks], `bag_id`,
        `coffee_id`, `person_id`, `group`, `age_days` [days], `mixed_with`, `purge_g` [g], `purpose`, `fault`, `assumed`
        where they are known.
    recipe : dict
        `time_s` [s], `yield_g`, `dose_g` [g]; `time_s_tol` [s], `id`, `coffee_id`.
    grinder : dict
        `finer`, `step` [marks], `seconds_per_step` [s].

    Returns
    -------
    dict
        A new state, made of plain values.

    Raises
    ------
    BadInput
        When a dose, yield or time can't be (see `time_to_target`).

    Notes
    -----
    Source: West and Harrison 1997 (see `belief`), chapter 4 for the updating, section 11.2 for letting
    the level go when it jumps. Everything else is a convention of this app. Shots must come in order of time.
    """
    state = _copied(state) if state else _begin(shot, recipe, grinder)
    belief = Belief.of(state["belief"])
    slept = wander(state, belief, shot["at_ms"])
    shown = meet(belief, shot, recipe)
    _arrive(state, belief, shot, shown[0], slept)
    reading = Reading.of(state, shot, recipe, grinder)
    verdict = reading.verdict
    if verdict == "ok":
        state["first_drop"] = usual_first_drop(state, shot)
        row = _row(state, belief, shot, recipe, shown, slept) | {"slope": reading.steps, "tail": reading.tail}
        verdict = _take(state, belief, reading, shown, row, recipe["yield_g"], shot.get("group"))
    state["belief"] = belief.plain()
    _remember(state, shot, recipe, reading, shown[0], slept, verdict)
    kept = state["bags"][shown[0]]
    if verdict in TEACHES and not kept["reached"] and settled(choose(state, shot, recipe, grinder)):
        kept |= {"reached": True, "reached_at_ms": shot["at_ms"]}
    return state


def intervene(state: dict, what: str) -> dict:
    """The grinder was cleaned, re-zeroed or got new burrs: all its levels may have moved, together.

    Parameters
    ----------
    state : dict
        A grinder's state.
    what : str
        `cleaned`, `re_zeroed` or `new_burrs`.

    Returns
    -------
    dict
        A new state, dialling in anew. What one step does is kept; new burrs loosen it a little.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app.
    """
    state = _copied(state)
    belief = Belief.of(state["belief"])
    belief.loosen(names_of(belief, LEVELS), PRIORS[f"{what}_sd"])
    if what == "new_burrs":
        belief.loosen(["slope"], PRIORS["new_burrs_slope_sd"])
    state["belief"], state["watch"] = belief.plain(), fresh()
    state["bags"] = {name: {**bag, **NOT_REACHED} for name, bag in state["bags"].items()}
    return state


def end_flow_factor(state: dict) -> float:
    """What this grinder's shots taught about the flow at their end, against their mean flow.

    Parameters
    ----------
    state : dict
        A grinder's state.

    Returns
    -------
    float
        From 0.5 to 3; 1.2 before anything was learned. [-]

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app: the model's unknown `tail` is 1/1.2 - 1/factor.
    """
    belief = state["belief"]
    tail = belief["mean"][belief["names"].index("tail")]
    return 1.0 / min(2.0, max(1.0 / 3.0, 1.0 / END_FLOW_FACTOR - tail))


def _begin(shot: dict, recipe: dict, grinder: dict) -> dict:
    belief = Belief([], [], [], PRIORS["spread_dof"], PRIORS["spread_sd"] ** 2)
    said_s = abs(grinder.get("seconds_per_step") or 0.0)
    slope = said_s / recipe["time_s"] if said_s else PRIORS["slope"]
    belief.add("slope", slope, slope * PRIORS["slope_said_share"] if said_s else PRIORS["slope_sd"])
    belief.add("dose", PRIORS["dose"], PRIORS["dose_sd"])
    belief.add("age", PRIORS["age"], PRIORS["age_sd"])
    belief.add("warm", 0.0, PRIORS["warm_sd"])
    belief.add("tail", 0.0, PRIORS["tail_sd"])
    belief.add("grinder", centre(recipe), PRIORS["grinder_sd"])
    return {
        "belief": belief.plain(),
        "setting_ref": shot.get("setting"),
        "dose_ref_g": recipe["dose_g"],
        "first_drop": {"usual_s": None, "shots": 0},
        "bags": {},
        "watch": fresh(),
        "shots_per_day": 20.0,
        "last": None,
    }


def _copied(state: dict) -> dict:
    return {**state, "bags": {name: dict(bag) for name, bag in state["bags"].items()}}


def _arrive(state: dict, belief: Belief, shot: dict, bag: str, slept: bool) -> None:
    """Bookkeeping before the shot is read: days, bags, the reference setting."""
    last = state["last"]
    if slept and last:
        state["shots_per_day"] += 0.2 * (last["pulls_today"] - state["shots_per_day"])
    if state["setting_ref"] is None:
        state["setting_ref"] = shot.get("setting")
    if last is None or last["bag"] != bag:
        state["watch"] = fresh()
        mixed = bool(last and shot.get("mixed_with") and last["bag"] in belief.names)
        state["bags"].setdefault(bag, {"ground_g": 0.0, "before": last["bag"] if mixed else None, **NOT_REACHED})
    state["bags"] = {name: kept for name, kept in state["bags"].items() if name in belief.names}


def _take(
    state: dict,
    belief: Belief,
    reading: Reading,
    shown: list[str],
    row: dict[str, float],
    yield_g: float,
    group: str | None,
) -> str:
    """Compare the shot with what was expected, and learn from it unless it stands out."""
    seen = math.log(reading.time_s / yield_g)
    noise = reading.noise(row[shown[0]], belief.variance)
    mean, spread, _ = belief.forecast(row, noise)
    z = as_normal((seen - mean) / math.sqrt(spread * belief.variance), belief.dof)
    far = abs(seen - mean) > PRIORS["absurd_ln"] and abs(z) > PRIORS["look_sigma"]
    if reading.leap:  # its side is the setting's: what three shots from another grinder have in common
        z = math.copysign(z, reading.leap)
    doubtful = far or reading.leap != 0
    verdict, state["watch"] = watch(state["watch"], z, group, doubtful, state["shots_per_day"])
    if verdict in MOVED:
        belief.loosen(names_of(belief, LEVELS), PRIORS["re_zeroed_sd" if doubtful else "jump_sd"])
    if verdict == "regroup":
        belief.loosen([f"group:{group}"], PRIORS["jump_sd"])
    if verdict == "jump" and reading.leap:
        # The scale itself is another one: the new setting stands for the step where the grinder last stood.
        state["setting_ref"] += reading.setting - state["last"]["setting"]
        row["slope"] -= reading.leap
    if verdict in TEACHES:
        belief.learn(row, seen, noise)
    return verdict


def _row(state: dict, belief: Belief, shot: dict, recipe: dict, shown: list[str], slept: bool) -> dict[str, float]:
    """What weighs on this very shot: its own hands, and the old bag as long as some of it is in the hopper."""
    row = plain_row(state, belief, shot, recipe, shown[0], slept)
    for name in shown[1:]:
        kind = next(kind for kind in HANDS if name.startswith(kind))
        row = {known: weight for known, weight in row.items() if not known.startswith(kind)} | {name: 1.0}
    bag = state["bags"][shown[0]]
    share = min(1.0, (bag["ground_g"] + shot["dose_g"] / 2) / PRIORS["hopper_g"])
    if bag["before"] in belief.names and share < 1.0:
        row |= {shown[0]: share, bag["before"]: 1.0 - share}
    return row


def _remember(state: dict, shot: dict, recipe: dict, reading: Reading, bag: str, slept: bool, verdict: str) -> None:
    """What the next shot and the advice need to know of this one."""
    last = state["last"]
    lean = dict(last["lean"]) if last and last["bag"] == bag and not reading.changed else {"slow": 0, "fast": 0}
    if verdict in TEACHES:
        side = reading.off(recipe, PRIORS["leaning_share"])
        lean["slow"] += side > 0
        lean["fast"] += side < 0
    absurd = verdict == "absurd" and last is not None
    state["last"] = {key: shot.get(key) for key in KEPT_OF_A_SHOT} | {
        "bag": bag,
        "setting": last["setting"] if absurd else reading.setting,
        "written_setting": shot.get("setting"),
        "pulls_today": 1 if slept or not last else last["pulls_today"] + 1,
        "verdict": verdict,
        "leap": reading.leap != 0,
        "unpurged": reading.unpurged,
        "time_to_target_s": reading.time_s,
        "off": reading.off(recipe, 1.0) + reading.off(recipe, 2.0),
        "lean": lean,
    }
    ground_g = shot["dose_g"] + (shot.get("purge_g") or 0.0)
    kept = state["bags"][bag]
    kept["ground_g"] += ground_g
    if not kept["reached"] and verdict != "left_out":
        kept |= {"pulls": kept["pulls"] + 1, "pulls_g": kept["pulls_g"] + ground_g}
