"""The time that a shot would have taken to the recipe's yield, had it been stopped there."""

import math

from server.compute.ranges import within
from server.compute.why import Why

# The flow at the end of a shot is above its mean since the first drop. No source: a starting value, learned
# per grinder.
END_FLOW_FACTOR = 1.2
USABLE_WITHIN = 0.15

# Without a first drop and without a usual one: a quarter of the time. Common practice, no source.
FIRST_DROP_SHARE = 0.25

# Standard uncertainties. Convention of this app, no source: a thumb on a timer, a 0.1 g scale with its drips,
# the end-flow factor of an unknown grinder; what was not measured is as wide as it usually spreads.
U_TIME_S = 0.3
U_FIRST_DROP_S = 0.5
U_FIRST_DROP_USUAL_S = 1.5
U_FIRST_DROP_GUESSED_SHARE = 0.1
U_YIELD_G = 0.2
U_YIELD_ASSUMED_G = 2.0
U_END_FLOW_FACTOR = 0.2


def time_to_target(
    time_s: float,
    yield_g: float,
    yield_target_g: float,
    first_drop_s: float | None = None,
    *,
    first_drop_usual_s: float | None = None,
    end_flow_factor: float = END_FLOW_FACTOR,
    yield_assumed: bool = False,
    u_time_s: float = U_TIME_S,
    u_yield_assumed_g: float = U_YIELD_ASSUMED_G,
) -> dict:
    """When this shot would have reached the target yield, how sure that is, and whether a chart may use it.

    Parameters
    ----------
    time_s : float
        Water on to water off, 0.1 to 3600. [s]
    yield_g : float
        Mass of the beverage, drips included, 0.1 to 3000. [g]
    yield_target_g : float
        The recipe's yield, 0.1 to 3000. [g]
    first_drop_s : float, optional
        Water on to the first drop, at least 0 and before the end. [s]
    first_drop_usual_s : float, optional
        This grinder's median, at least 0; used where there is no first drop. [s]
    end_flow_factor : float
        Flow at the end over mean flow since the first drop, 0.5 to 3. [-]
    yield_assumed : bool
        True where the yield was prefilled, not weighed.
    u_time_s : float
        Standard uncertainty of the time, 0 to 60. [s]
    u_yield_assumed_g : float
        How much yields usually spread, for one that wasn't weighed, 0 to 100. [g]

    Returns
    -------
    dict
        `time_to_target_s` [s], or None where the sum makes no sense; `u_s`, its standard uncertainty [s];
        `first_drop_s` reckoned with [s]; `usable`; `reason` it isn't (None if it is); `assumed` [sentences].

    Raises
    ------
    BadInput
        When a figure is outside its range, or the first drop doesn't come before the end.

    Notes
    -----
    t* = t + (Y* - Y)/q, with q = k Y/(t - t_first_drop). Convention of this app, no source; good for small
    corrections only, so beyond ±15 % of Y* it is not usable. Uncertainty by first-order propagation
    (JCGM 100:2008, 5.1.2 eq. 10).

    Examples
    --------
    >>> found = time_to_target(28.0, 37.0, 36.0, first_drop_s=8.0)
    >>> round(found["time_to_target_s"], 2), round(found["u_s"], 2), found["usable"]
    (27.55, 0.32, True)
    >>> time_to_target(20.0, 28.0, 36.0)["reason"]
    'the yield is more than 15 % from the target: too far to carry the time over'
    """
    within("time_s", time_s, 0.1, 3600.0, "s")
    within("yield_g", yield_g, 0.1, 3000.0, "g")
    within("yield_target_g", yield_target_g, 0.1, 3000.0, "g")
    within("end_flow_factor", end_flow_factor, 0.5, 3.0, "")
    first_drop, u_first_drop_s, assumed = _first_drop(time_s, first_drop_s, first_drop_usual_s)
    gap_g = yield_target_g - yield_g
    seconds_per_g = (time_s - first_drop) / (end_flow_factor * yield_g)
    u_yield_g = (
        within("u_yield_assumed_g", u_yield_assumed_g, 0.0, 100.0, "g") if yield_assumed else U_YIELD_G
    )
    u_s = math.hypot(
        (1.0 + gap_g / (end_flow_factor * yield_g)) * within("u_time_s", u_time_s, 0.0, 60.0, "s"),
        gap_g / (end_flow_factor * yield_g) * u_first_drop_s,
        seconds_per_g * yield_target_g / yield_g * u_yield_g,
        seconds_per_g * gap_g / end_flow_factor * U_END_FLOW_FACTOR,
    )
    if yield_assumed:
        assumed.append(f"yield not weighed: taken as {yield_g:g} g, give or take {u_yield_g:g} g")
    found = time_s + gap_g * seconds_per_g
    near = abs(gap_g) <= USABLE_WITHIN * yield_target_g
    reason = None if near else "the yield is more than 15 % from the target: too far to carry the time over"
    return {
        "time_to_target_s": found if found > first_drop else None,
        "u_s": u_s,
        "first_drop_s": first_drop,
        "usable": near,
        "reason": reason,
        "assumed": assumed,
    }


def why_time_to_target(
    time_s: float, yield_g: float, yield_target_g: float, end_flow_factor: float, carried: dict
) -> Why:
    """The reasons of a time to target, as data.

    Parameters
    ----------
    time_s : float
        Water on to water off, above 0. [s]
    yield_g, yield_target_g : float
        Mass of the beverage, and the recipe's, above 0. [g]
    end_flow_factor : float
        Flow at the end over mean flow since the first drop, 0.5 to 3. [-]
    carried : dict
        As `time_to_target` returns it.

    Returns
    -------
    Why
        Formula, inputs and source.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app, as in `time_to_target`.

    Examples
    --------
    >>> why_time_to_target(28.0, 37.0, 36.0, 1.2, time_to_target(28.0, 37.0, 36.0)).inputs["first_drop_s"]
    7.0
    """
    return Why(
        "time_to_target_s",
        "time_s + (yield_target_g - yield_g) x (time_s - first_drop_s) / (end_flow_factor x yield_g)",
        {
            "time_s": time_s,
            "yield_g": yield_g,
            "yield_target_g": yield_target_g,
            "first_drop_s": carried["first_drop_s"],
            "end_flow_factor": end_flow_factor,
        },
        "convention of this app, no source",
        tuple(carried["assumed"]),
    )


def _first_drop(
    time_s: float, marked_s: float | None, usual_s: float | None
) -> tuple[float, float, list[str]]:
    """The first drop to reckon with, its standard uncertainty, and what was assumed to get it."""
    if marked_s is not None:
        within("first_drop_s", marked_s, 0.0, time_s - 0.1, "s (before the shot ends)")
        return marked_s, U_FIRST_DROP_S, []
    if usual_s is not None and within("first_drop_usual_s", usual_s, 0.0, 600.0, "s") < time_s - 0.1:
        return usual_s, U_FIRST_DROP_USUAL_S, [f"no first drop marked: this grinder's usual {usual_s:g} s"]
    guess_s = FIRST_DROP_SHARE * time_s
    text = f"no first drop marked: taken as a quarter of the time, {guess_s:.3g} s"
    return guess_s, max(U_FIRST_DROP_USUAL_S, U_FIRST_DROP_GUESSED_SHARE * time_s), [text]
