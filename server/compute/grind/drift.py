"""A chart of times to target: centre, limits, and the signals that say drift rather than spread.

On ln time, because spread is a share of the time. For shots at one setting; the advice itself watches the
model's residuals (see `watch`), so that moves and new bags are no alarm.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from server.compute.errors import BadInput
from server.compute.grind.priors import PRIORS
from server.compute.grind.rules import FAMILIES, RULES, cusum, rule_signals
from server.compute.grind.run_length import ewma_limit, individuals_dof, run_length
from server.compute.grind.watch import as_normal
from server.compute.ranges import within

# Mean range of two normal values, in standard deviations.
D2 = 1.128
LIMIT_SIGMA = 3.0
# How many moving ranges' worth the history of a grinder counts for, at most.
MOST_HISTORY = 60


def drift(
    times_s: Sequence[float],
    baseline_n: int | None = None,
    baseline: dict | None = None,
    shots_per_day: float = 20.0,
    rules: Sequence[str] = (),
    history: dict | None = None,
    ewma_weight: float | None = None,
    ewma_limit_sigma: float | None = None,
) -> dict:
    """Individuals and EWMA chart of times in order, with what they signal.

    Parameters
    ----------
    times_s : sequence of float
        Times to target in order of pulling, each above 0. [s]
    baseline_n : int, optional
        How many of the first to take centre and sigma from, at least 5; all, where nothing is said. [shots]
    baseline : dict, optional
        `center_s` [s] and `sigma_ln` [ln], known from elsewhere; instead of `baseline_n`.
    shots_per_day : float
        How many this bar logs a day, above 0; sets the EWMA's limit. [1/day]
    rules : sequence of str, optional
        `western_electric`, `nelson`, single rules of theirs, or `cusum`, beside the default signals.
    history : dict, optional
        `sigma_ln` [ln] of this grinder's earlier charts, and `shots` it was taken from; sigma shrinks to it.
    ewma_weight : float, optional
        Above 0 and at most 1; 0.2 where nothing is said. [-]
    ewma_limit_sigma : float, optional
        Above 0; otherwise set so that a false alarm comes once in three days or more rarely. [-]

    Returns
    -------
    dict
        `center_s`, `lower_s`, `upper_s` (3 sigma) [s], `sigma_ln` [ln], `signals` [{`index`, `rule`, `says`}], `ewma`,
        `ewma_lower_s`, `ewma_upper_s` (settled) [s], `run_length` [shots between false alarms of the default
        signals], `autocorrelation` [-].

    Raises
    ------
    BadInput
        When times, baseline, rules or weights are outside their range.

    Notes
    -----
    Sigma is the mean moving range over 1.128; default signals are one point beyond 3.5 sigma and the EWMA,
    both widened for a centre and a sigma that were estimated, and for correlated shots. Source: NIST/SEMATECH
    e-Handbook of Statistical Methods, sections 6.3.2.2 and 6.3.2.4, doi:10.18434/M32189. Shrinkage and widening:
    convention of this app.

    Examples
    --------
    >>> chart = drift([28.0, 27.1, 28.6, 29.0, 27.5, 28.2, 27.8, 28.9, 27.9, 28.3, 27.6, 39.0], baseline_n=11)
    >>> round(chart["center_s"], 2), [signal["rule"] for signal in chart["signals"]]
    (28.08, ['look'])
    """
    _check(times_s, baseline_n, baseline, shots_per_day, rules)
    logs = [math.log(time_s) for time_s in times_s]
    first = logs if baseline_n is None else logs[:baseline_n]
    base = _known(baseline) if baseline else _estimated(first, history)
    weight = within("ewma_weight", PRIORS["ewma_weight"] if ewma_weight is None else ewma_weight, 1e-6, 1.0, "")
    limit = ewma_limit_sigma or ewma_limit(PRIORS["chart_days_per_alarm"] * shots_per_day, base["n"])
    ewma = _smoothed(logs, base, weight)
    found = [*_stand_out(logs, base), *_drifting(ewma, base, weight, limit)]
    found += rule_signals([(x - base["centre"]) / base["sigma"] for x in logs], rules)
    if "cusum" in rules:
        beyond = cusum([(x - base["centre"]) / base["sigma"] for x in logs])["signals"]
        found += [{"index": i, "rule": "cusum", "says": "cumulative sum beyond 5 sigma"} for i in beyond]
    settled = limit * base["wide"] * math.sqrt(weight / (2 - weight))
    return {
        "center_s": math.exp(base["centre"]),
        "sigma_ln": base["sigma"],
        "lower_s": math.exp(base["centre"] - LIMIT_SIGMA * base["sigma"]),
        "upper_s": math.exp(base["centre"] + LIMIT_SIGMA * base["sigma"]),
        "signals": sorted(found, key=lambda signal: signal["index"]),
        "ewma": [math.exp(value) for value in ewma],
        "ewma_lower_s": math.exp(base["centre"] - settled),
        "ewma_upper_s": math.exp(base["centre"] + settled),
        "run_length": run_length(limit, base["n"]),
        "autocorrelation": base["phi"],
    }


def _check(times_s, baseline_n, baseline, shots_per_day, rules) -> None:
    for time_s in times_s:
        if not 0 < time_s < math.inf:
            raise BadInput("times_s", "must all be above 0 s: leave out what wasn't taken")
    if baseline is None and len(times_s) < 5:
        raise BadInput("times_s", "must be at least 5 to take limits from: pull more, or give a baseline")
    if baseline_n is not None:
        within("baseline_n", baseline_n, 5, len(times_s), "shots")
    within("shots_per_day", shots_per_day, 1e-3, 1e5, "a day")
    for rule in rules:
        if rule not in (*RULES, *FAMILIES, "cusum"):
            raise BadInput("rules", f"{rule} is none of {', '.join((*FAMILIES, 'cusum'))}: take one of those")


def _known(baseline: dict) -> dict:
    within("baseline.center_s", baseline["center_s"], 1e-300, 1e300, "s")
    sigma = within("baseline.sigma_ln", baseline["sigma_ln"], 1e-9, 1e3, "")
    centre = math.log(baseline["center_s"])
    return {"centre": centre, "sigma": sigma, "n": None, "dof": 10**6, "wide": sigma, "phi": 0.0}


def _estimated(first: list[float], history: dict | None) -> dict:
    """Centre and sigma of the first points; `wide` is sigma for correlated points, for the default signals."""
    n = len(first)
    centre = sum(first) / n
    sigma = sum(abs(b - a) for a, b in pairwise(first)) / (n - 1) / D2
    dof = individuals_dof(n)
    if history:
        worth = min(MOST_HISTORY, individuals_dof(max(2, history["shots"])))
        sigma = math.sqrt((dof * sigma**2 + worth * history["sigma_ln"] ** 2) / (dof + worth))
        dof += worth
    if sigma == 0:
        raise BadInput("times_s", "are all the same: nothing to take a spread from")
    phi = _autocorrelation(first, centre)
    return {"centre": centre, "sigma": sigma, "n": n, "dof": dof, "wide": sigma / math.sqrt(1 - phi), "phi": phi}


def _autocorrelation(first: list[float], centre: float) -> float:
    """Of neighbours; corrected for the bias of few points, shrunk to none, from 0 to 0.7."""
    off = [value - centre for value in first]
    squares = sum(value * value for value in off)
    if squares == 0:
        return 0.0
    n = len(off)
    raw = sum(a * b for a, b in pairwise(off)) / squares
    return min(0.7, max(0.0, (raw + 1 / n) * n / (n + 10)))


def _smoothed(logs: list[float], base: dict, weight: float) -> list[float]:
    """The EWMA; a point that stands out counts for 3.5 sigma only, so that it can't signal drift alone."""
    values, value, centre, reach = [], base["centre"], base["centre"], PRIORS["look_sigma"] * base["wide"]
    for x in logs:
        value = (1 - weight) * value + weight * min(centre + reach, max(centre - reach, x))
        values.append(value)
    return values


def _stand_out(logs: list[float], base: dict) -> list[dict]:
    """Points beyond 3.5 sigma."""
    scale = base["wide"] * math.sqrt(1 + (1 / base["n"] if base["n"] else 0.0))
    says = "stands out by more than spread explains: look at this shot; it moves nothing"
    return [
        {"index": i, "rule": "look", "says": says}
        for i, x in enumerate(logs)
        if abs(as_normal((x - base["centre"]) / scale, base["dof"])) > PRIORS["look_sigma"]
    ]


def _drifting(ewma: list[float], base: dict, weight: float, limit: float) -> list[dict]:
    """Points at which the EWMA is beyond its limit."""
    kept, phi = 1 - weight, base["phi"]
    related = (1 + phi * kept) / (1 - phi * kept)
    found = []
    for i, value in enumerate(ewma):
        share = weight / (2 - weight) * (1 - kept ** (2 * i + 2)) * related
        share += (1 - kept ** (i + 1)) ** 2 / base["n"] if base["n"] else 0.0
        if abs(value - base["centre"]) > limit * base["wide"] * math.sqrt(share):
            way = "slow" if value > base["centre"] else "fast"
            found.append({"index": i, "rule": "ewma", "says": f"running {way}: drift, not spread"})
    return found
