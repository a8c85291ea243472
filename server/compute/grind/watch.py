"""Is a shot what the model expected? One that stands out, a jump, a slow drift, one group apart from the others.

All of it on the model's own one-step residuals, so that a move of the grinder or a new bag is no alarm.
"""

import math

from server.compute.grind.priors import PRIORS
from server.compute.grind.run_length import ewma_limit

# Verdicts after which a shot still teaches; the others are left out of the belief.
TEACHES = ("ok", "drift", "jump", "regroup")
# Of those, the ones that say that the level itself has moved.
MOVED = ("drift", "jump")


def fresh() -> dict:
    """The memory of a watch that has seen nothing.

    Returns
    -------
    dict
        `ewma`, `shots`, and for each group how many in a row stood out (below 0: fast).

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app.
    """
    return {"ewma": 0.0, "shots": 0, "out": {}}


def as_normal(t: float, dof: int) -> float:
    """The normal deviate with nearly the same tail as Student's t: few shots don't cry wolf.

    Parameters
    ----------
    t : float
        Any number. [-]
    dof : int
        Degrees of freedom, at least 1. [-]

    Returns
    -------
    float
        Smaller in size than `t`. [-]

    Raises
    ------
    Nothing

    Notes
    -----
    Source: D. L. Wallace, Bounds on normal approximations to Student's and the chi-square distributions,
    Ann. Math. Statist. 30 (1959) 1121-1130, doi:10.1214/aoms/1177706100. Within 0.02 for 8 degrees and more.

    Examples
    --------
    >>> round(as_normal(4.587, 10), 2), round(as_normal(3.1, 10_000), 2)
    (3.28, 3.1)
    """
    return math.copysign(math.sqrt(dof * math.log1p(t * t / dof)) * (8 * dof + 1) / (8 * dof + 3), t)


def watch(memory: dict, z: float, group: str | None, doubtful: bool, shots_per_day: float) -> tuple[str, dict]:
    """Judge one residual, and remember what the next one needs.

    Parameters
    ----------
    memory : dict
        As `fresh` makes it.
    z : float
        Residual in standard units, any. [-]
    group : str or None
        Where the shot was pulled, if known.
    doubtful : bool
        The shot is so far off, or the setting so far away, that a slip of the pen is likelier.
    shots_per_day : float
        How many shots this bar logs, above 0; sets how soon the EWMA may cry. [1/day]

    Returns
    -------
    str, dict
        `ok`; `look` (stands out alone: moves nothing); `absurd` (check the entry); `apart` (one group, again and
        again, while another is calm); `regroup` (the same five times: it stays); `jump` (twice running, or
        three times where it was absurd); `drift` (EWMA). And the memory afterwards.

    Raises
    ------
    Nothing

    Notes
    -----
    3.5 sigma for one point; EWMA with weight 0.2 and exact variance. Convention of this app. Source of the EWMA:
    S. W. Roberts, Control chart tests based on geometric moving averages, Technometrics 1 (1959) 239-250.
    """
    key, out = group or "-", memory["out"]
    if doubtful or abs(z) > PRIORS["look_sigma"]:
        side = 1 if z > 0 else -1
        count = out.get(key, 0) + side if out.get(key, 0) * side >= 0 else side
        # A shot of no known group can't stand for one.
        others_calm = bool(group) and any(n == 0 for g, n in out.items() if g != key)
        verdict = _standing_out(count, doubtful, others_calm)
        return verdict, fresh() if verdict in TEACHES else {**memory, "out": {**out, key: count}}
    weight, shots = PRIORS["ewma_weight"], memory["shots"] + 1
    ewma = (1 - weight) * memory["ewma"] + weight * z
    sd = math.sqrt(weight / (2 - weight) * (1 - (1 - weight) ** (2 * shots)))
    if shots > 1 and abs(ewma) > ewma_limit(PRIORS["days_per_alarm"] * shots_per_day) * sd:
        return "drift", fresh()
    return "ok", {"ewma": ewma, "shots": shots, "out": {**out, key: 0}}


def _standing_out(count: int, doubtful: bool, others_calm: bool) -> str:
    """What it means that so many shots in a row stood out on the same side."""
    if doubtful:
        return "jump" if abs(count) >= 3 else "absurd"
    if abs(count) == 1:
        return "look"
    if others_calm:
        return "regroup" if abs(count) >= 5 else "apart"
    return "jump"
