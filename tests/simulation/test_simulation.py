"""The simulated bar: the goals of the advice, judged by a truth that it can't see. Ten bars here, 200 nightly."""

import ast
import math
from pathlib import Path

import numpy as np
import pytest

from tests.simulation.policies import Advised, ChaseAll, Oracle, TwoOffs
from tests.simulation.report import better_than, gap_closed, goals, landed, many_bars, mean_interval, sunk, table
from tests.simulation.run import run
from tests.simulation.truth import DAYS, TOLERANCE, A, B, make

TEN = range(2000, 2010)


@pytest.fixture(scope="module")
def ten_bars():
    bars = []
    for seed in TEN:
        bar = make(A, seed)
        bars.append({policy.key: run(bar, policy(bar)) for policy in (ChaseAll, TwoOffs, Oracle, Advised)})
    return bars


def medians(bars):
    dials = [dial_in for bar in bars for dial_in in bar["us"].dial_ins]
    pulls = lambda known: [d.pulls if d.stopped else math.inf for d in dials if d.known_grinder is known]  # noqa: E731
    return np.median(pulls(False)), np.median(pulls(True))


def first_pulls(bars):
    """Share of days on which the advised first pull lands, less that of yesterday's setting."""
    return mean_interval(np.mean([int(a) - int(b) for a, b in bar["us"].first_pulls]) for bar in bars)


def coverage(bars):
    return [np.mean(bar["us"].covered) for bar in bars], np.mean([c for bar in bars for c in bar["us"].covered])


@pytest.mark.xdist_group("ten bars")
def test_ten_bars_reach_the_goals(ten_bars):
    assert gap_closed(ten_bars, sunk)[0] >= 0.7
    for figure, better in ((sunk, -1), (landed, 1)):
        difference, half = better_than(ten_bars, figure, "b")
        assert better * difference > half
    alarms, half = mean_interval(bar["us"].false_alarms / DAYS for bar in ten_bars)
    assert alarms < 0.5
    assert medians(ten_bars) <= (4, 3)
    difference, half = first_pulls(ten_bars)
    assert difference > -half
    each, pooled = coverage(ten_bars)
    assert 0.76 <= pooled <= 0.84
    assert np.mean([0.7 <= share <= 0.9 for share in each]) >= 0.9


def test_the_truth_knows_nothing_of_what_it_judges():
    tree = ast.parse((Path(__file__).parent / "truth.py").read_text())
    imported = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    imported |= {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert imported == {"dataclasses", "math", "numpy"}


def test_a_bar_is_the_same_whoever_runs_it():
    one, other = make(A, 7), make(A, 7)

    assert one == other
    assert run(one, TwoOffs(one)).sunk_g == run(other, TwoOffs(other)).sunk_g


def test_truth_a_is_what_was_asked_for():
    bars = [make(A, seed) for seed in range(20)]

    daily = np.concatenate([np.reshape(bar.logged, (DAYS, -1)).sum(axis=1) for bar in bars])
    assert daily.min() >= 12 and daily.max() <= 30
    assert all(len(bar.opens) == 4 and len(bar.faults) == 2 for bar in bars)
    hands = [[np.array(bar.extra)[np.array(bar.hand) == hand] for hand in (0, 1, 2)] for bar in bars]
    means = [sorted(np.median(extra) for extra in three) for three in hands]
    assert np.mean([high - low for low, _, high in means]) == pytest.approx(0.08, abs=0.01)
    # Half the range that holds two thirds: one hand's own spread, doses and groups included.
    spreads = [sorted(np.ptp(np.quantile(extra, [1 / 6, 5 / 6])) / 2 for extra in three) for three in hands]
    assert np.mean(spreads, axis=0) == pytest.approx([0.054, 0.064, 0.073], abs=0.004)


def test_truth_b_has_heavy_tails_and_a_curve():
    calm, wild = make(A, 5), make(B, 5)

    kurtosis = [np.mean((x / np.std(x)) ** 4) for x in (np.array(calm.extra), np.array(wild.extra))]
    assert kurtosis[1] > kurtosis[0] + 1
    steps = [wild.ln_off(0, k + 1) - wild.ln_off(0, k) for k in (-8, 0, 8)]
    assert max(steps) > 1.05 * min(steps)


def test_the_oracle_is_never_further_off_than_half_a_step():
    bar = make(A, 11)
    oracle, worst = Oracle(bar), 0.0
    for shot in range(0, len(bar.level), 50):
        oracle.before(shot)
        worst = max(worst, abs(bar.ln_off(shot, oracle.steps)))

    assert worst <= bar.slope / 2 + 1e-9 < TOLERANCE


@pytest.mark.nightly
@pytest.mark.parametrize("kind", ["A", "B"])
def test_two_hundred_bars(kind):
    bars = many_bars(kind, range(1000, 1200), jobs=2)
    print("\n".join([*table(bars), *goals(bars)]))

    for figure, better in ((sunk, -1), (landed, 1)):
        difference, half = better_than(bars, figure, "b")
        assert better * difference > half
    assert gap_closed(bars, sunk)[1] >= 0.7
    if kind == "A":
        assert mean_interval(bar["us"].false_alarms / DAYS for bar in bars)[0] < 0.5
        assert medians(bars) <= (4, 3)
        assert first_pulls(bars)[0] >= 0
        each, pooled = coverage(bars)
        assert 0.76 <= pooled <= 0.84
        assert np.mean([0.7 <= share <= 0.9 for share in each]) >= 0.9
