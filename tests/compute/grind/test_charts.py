"""Individuals, EWMA and CUSUM charts against the NIST/SEMATECH e-Handbook's worked examples (doi:10.18434/M32189),
run rules against Champ and Woodall 1987 (Technometrics 29, 393-399)."""

import math
from itertools import pairwise
from statistics import NormalDist

import numpy as np
import pytest

from server.compute.errors import BadInput
from server.compute.grind.drift import drift
from server.compute.grind.rules import RULES, cusum, rule_signals


def numbers(text):
    return [float(word) for word in text.split()]


# Section 6.3.2.2.
INDIVIDUALS = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
# Section 6.3.2.4, with its EWMA of weight 0.3.
EWMA = numbers("""
    52.0 47.0 53.0 49.3 50.1 47.0 51.0 50.1 51.2 50.5 49.6 47.6 49.9 51.3
    47.8 51.2 52.6 52.4 53.6 52.1
""")
EWMA_Z = numbers("""
    50.60 49.52 50.56 50.18 50.16 49.21 49.75 49.85 50.26 50.33 50.11 49.36 49.52 50.05
    49.38 49.92 50.73 51.23 51.94 51.99
""")
# Section 6.3.2.3: target 325, k 0.3175, h 4.1959, sigma 0.635.
CUSUM = numbers("""
    324.925 324.675 324.725 324.350 325.350 325.225 324.125 324.525 325.225 324.600 324.625 325.150 328.325 327.250
    327.825 328.500 326.675 327.775 326.875 328.350
""")
CUSUM_HIGH = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.00, 19.04]


def as_time_s(value):
    """Our chart is on ln time: a time whose logarithm is the handbook's value, but for shift and scale."""
    return 30.0 * math.exp((value - 50.0) / 100.0)


def as_value(time_s):
    return 50.0 + 100.0 * math.log(time_s / 30.0)


def test_the_handbooks_individuals_chart_comes_out():
    chart = drift([as_time_s(value) for value in INDIVIDUALS], baseline_n=10, rules=["western_electric_1"])

    found = [as_value(chart[key]) for key in ("center_s", "upper_s", "lower_s")]
    assert found == pytest.approx([50.81, 55.8041, 45.8159], abs=5e-5)
    assert chart["signals"] == []


def test_the_handbooks_ewma_chart_comes_out():
    chart = drift(
        [as_time_s(value) for value in EWMA],
        baseline={"center_s": 30.0, "sigma_ln": 0.020539},
        ewma_weight=0.3,
        ewma_limit_sigma=3.0,
    )

    assert [as_value(time_s) for time_s in chart["ewma"]] == pytest.approx(EWMA_Z, abs=0.005)
    # The page truncates: unrounded 52.58843 and 47.41157.
    limits = [as_value(chart[key]) for key in ("ewma_upper_s", "ewma_lower_s")]
    assert limits == pytest.approx([52.5884, 47.4115], abs=1e-4)
    assert chart["signals"] == []


def test_the_handbooks_cusum_comes_out():
    sums = cusum([(value - 325.0) / 0.635 for value in CUSUM], slack=0.3175 / 0.635, limit=4.1959 / 0.635)

    assert [value * 0.635 for value in sums["high"]] == pytest.approx(CUSUM_HIGH, abs=0.0051)
    assert [value * 0.635 for value in sums["low"][:11]] == pytest.approx(
        [0, 0.01, 0, 0.33, 0, 0, 0.56, 0.72, 0.17, 0.25, 0.31], abs=0.0051
    )
    assert sums["signals"] == list(range(13, 20))


WE = ("western_electric_1", "western_electric_2", "western_electric_3", "western_electric_4")


@pytest.mark.parametrize(
    ("rules", "published"),
    [
        (WE[:1], 370.40),
        (WE[:2], 225.44),
        ((WE[0], WE[2]), 166.05),
        ((WE[0], WE[3]), 152.73),
        (WE[:3], 132.89),
        (WE, 91.75),
    ],
)
def test_the_rule_engines_run_lengths_are_champ_and_woodalls(rules, published):
    assert run_length_of(rules) == pytest.approx(published, abs=0.006)


def run_length_of(rules):
    """Exact: the engine's own rules, asked about every state of a Markov chain over the zones of the last points.

    A zone is a value that stands for it; a state, the last seven zones as far as the rules can still tell them apart.
    """
    upper = NormalDist().cdf
    odds = {z: upper(math.ceil(z)) - upper(math.floor(z)) for z in (-2.5, -1.5, -0.5, 0.5, 1.5, 2.5)}
    odds |= {3.5: 1 - upper(3.0), -3.5: 1 - upper(3.0)}
    start = ()
    places, moves, todo = {start: 0}, [], [start]
    while todo:
        state = todo.pop()
        for zone, odd in odds.items():
            points = (*state, zone)
            if any(RULES[name][1](points) for name in rules):
                continue
            after = told_apart(points, rules)
            if after not in places:
                places[after] = len(places)
                todo.append(after)
            moves.append((places[state], places[after], odd))
    matrix = np.eye(len(places))
    for before, after, odd in moves:
        matrix[before, after] -= odd
    return float(np.linalg.solve(matrix, np.ones(len(places)))[0])


def told_apart(points, rules):
    """The last seven points with what no rule can use any more wiped out: keeps the chain small."""
    points = points[-7:]
    side = np.sign(points[-1])
    run = next((i for i, z in enumerate(reversed(points)) if np.sign(z) != side), len(points))
    kept = []
    for back, z in enumerate(reversed(points)):
        if back < 4 and (abs(z) > 1 or back < 1):
            kept.append(z if back < 2 or abs(z) < 2 else math.copysign(1.5, z))
        elif back < run and WE[3] in rules:
            kept.append(side * 0.5)
        else:
            kept.append(0.0)
    while kept and kept[-1] == 0.0:
        kept.pop()
    return tuple(reversed(kept))


def test_eight_in_a_row_is_western_electrics_and_nine_is_nelsons():
    eight = [0.5] * 8

    assert [s["rule"] for s in rule_signals(eight, ["western_electric", "nelson"])] == ["western_electric_4"]
    assert "nelson_2" in {s["rule"] for s in rule_signals([*eight, 0.5], ["nelson"])}


@pytest.mark.parametrize(
    ("rule", "points"),
    [
        ("nelson_1", [0.0, 3.1]),
        ("nelson_2", [0.2] * 9),
        ("nelson_3", [-0.9, -0.6, -0.3, 0.0, 0.3, 0.6]),
        ("nelson_4", [0.3, -0.3] * 7),
        ("nelson_5", [2.1, 0.0, 2.2]),
        ("nelson_6", [1.1, 1.2, 0.0, 1.3, 1.4]),
        ("nelson_7", [0.9, -0.9, 0.5] * 5),
        ("nelson_8", [1.1, -1.2] * 4),
    ],
)
def test_each_of_nelsons_rules_signals_at_its_last_point_and_not_before(rule, points):
    assert rule_signals(points, [rule]) == [{"index": len(points) - 1, "rule": rule, "says": RULES[rule][0]}]
    assert rule_signals(points[:-1], [rule]) == []


def test_one_wild_shot_is_to_be_looked_at_and_is_no_drift():
    times_s = [28.0, 27.1, 28.6, 29.0, 27.5, 28.2, 27.8, 28.9, 27.9, 28.3, 27.6, 39.0, 28.1]

    signals = drift(times_s, baseline_n=11)["signals"]

    assert [(s["index"], s["rule"]) for s in signals] == [(11, "look")]


def test_a_slow_shift_is_drift_though_no_shot_stands_out():
    calm = [28.0, 27.1, 28.6, 29.0, 27.5, 28.2, 27.8, 28.9, 27.9, 28.3, 27.6, 28.4]

    signals = drift([*calm, *(time_s + 1.0 for time_s in calm)], baseline_n=12)["signals"]

    assert {s["rule"] for s in signals} == {"ewma"}
    assert min(s["index"] for s in signals) >= 12


def test_sigma_shrinks_to_the_grinders_history():
    times_s = [28.0, 28.1, 28.0, 28.1, 28.0, 28.1, 28.0, 28.1]

    alone, shrunk = drift(times_s), drift(times_s, history={"sigma_ln": 0.06, "shots": 60})

    assert alone["sigma_ln"] < 0.004 < 0.05 < shrunk["sigma_ln"] < 0.06


def test_more_shots_a_day_ask_for_wider_limits():
    limits = [drift([28.0, 29.0, 27.0] * 10, shots_per_day=rate)["ewma_upper_s"] for rate in (20, 60, 150)]

    assert all(wider > narrower for narrower, wider in pairwise(limits))


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"times_s": [28.0, 29.0]}, "times_s"),
        ({"times_s": [28.0] * 8}, "times_s"),
        ({"times_s": [28.0, -1.0] * 4}, "times_s"),
        ({"times_s": [28.0, 29.0] * 4, "baseline_n": 9}, "baseline_n"),
        ({"times_s": [28.0, 29.0] * 4, "rules": ["gut feeling"]}, "rules"),
        ({"times_s": [28.0, 29.0] * 4, "shots_per_day": 0.0}, "shots_per_day"),
        ({"times_s": [28.0, 29.0] * 4, "ewma_weight": 1.5}, "ewma_weight"),
    ],
)
def test_what_a_chart_cant_use_is_named(asked, field):
    with pytest.raises(BadInput) as refused:
        drift(**asked)
    assert refused.value.field == field
