"""Works out the two tables of server/compute/grind/run_length.py; prints them.

    python -m tests.compute.grind.make_run_lengths

KNOWN is exact: a Markov chain over the EWMA's position (Lucas and Saccucci 1990, doi:10.1080/00401706.1990.10484583),
with the 3.5 sigma line as a second way out. ESTIMATED is simulated, seeded: each chart takes its centre and
sigma from its own first shots, then runs on; an alarm starts the EWMA anew; shots per alarm over all charts.
"""

import math

import numpy as np
from scipy.stats import norm

from server.compute.grind.run_length import individuals_dof

WEIGHT, LOOK = 0.2, 3.5
LIMITS = (1.6, 1.8, 2.0, 2.2, 2.4, 2.6, 2.8, 3.1, 3.5, 4.0)
BASELINES = (5, 8, 12, 20, 30, 50, 100)


def known(limit: float, look: float = LOOK, weight: float = WEIGHT, shift: float = 0.0, states: int = 301) -> float:
    """Average run length with known centre and sigma; `limit` in standard deviations of the settled EWMA."""
    edge = limit * math.sqrt(weight / (2 - weight))
    edges = np.linspace(-edge, edge, states + 1)
    middle = (edges[1:] + edges[:-1]) / 2
    low = np.clip((edges[None, :-1] - (1 - weight) * middle[:, None]) / weight, -look, look)
    high = np.clip((edges[None, 1:] - (1 - weight) * middle[:, None]) / weight, -look, look)
    moves = norm.cdf(high - shift) - norm.cdf(low - shift)
    return float(np.linalg.solve(np.eye(states) - moves, np.ones(states))[states // 2])


def as_normal(t, dof):
    return np.copysign(np.sqrt(dof * np.log1p(t * t / dof)) * (8 * dof + 1) / (8 * dof + 3), t)


def estimated(baseline: int, limits=LIMITS, charts: int = 8000, shots: int = 400, phi: float = 0.0, seed: int = 6):
    """Shots per false alarm when centre and sigma come from `baseline` shots, for each limit."""
    rng = np.random.default_rng([seed, baseline])
    x = rng.standard_normal((charts, baseline + shots))
    for i in range(1, baseline + shots if phi else 1):
        x[:, i] = phi * x[:, i - 1] + math.sqrt(1 - phi * phi) * x[:, i]
    first = x[:, :baseline]
    centre = first.mean(axis=1)
    sigma = np.abs(np.diff(first, axis=1)).mean(axis=1) / 1.128
    z = (x[:, baseline:] - centre[:, None]) / sigma[:, None]
    return [shots * charts / _alarms(z, limit, baseline) for limit in limits]


def _alarms(z, limit, baseline):
    widened, dof = math.sqrt(1 + 1 / baseline), individuals_dof(baseline)
    ewma, age, alarms = np.zeros(len(z)), np.zeros(len(z)), 0
    for column in z.T:
        age += 1
        ewma = (1 - WEIGHT) * ewma + WEIGHT * np.clip(column, -LOOK, LOOK)
        rise = 1 - (1 - WEIGHT) ** age
        sd = np.sqrt(WEIGHT / (2 - WEIGHT) * (1 - (1 - WEIGHT) ** (2 * age)) + rise**2 / baseline)
        out = (np.abs(ewma) > limit * sd) | (np.abs(as_normal(column / widened, dof)) > LOOK)
        alarms += int(out.sum())
        ewma, age = np.where(out, 0.0, ewma), np.where(out, 0.0, age)
    return alarms


def main():
    print("KNOWN =", tuple((limit, round(known(limit), 1)) for limit in LIMITS))
    print("ESTIMATED = {")
    for baseline in BASELINES:
        print(f"    {baseline}:", tuple(round(run, 1) for run in estimated(baseline)), ",")
    print("}")


if __name__ == "__main__":
    main()
