"""How often the default signals cry wolf: the table against an exact chain and published run lengths, and the promise
that is made with it, on charts whose limits were estimated and whose shots are correlated."""

import numpy as np
import pytest

from server.compute.grind.drift import drift
from server.compute.grind.run_length import ESTIMATED, KNOWN, LIMITS, ewma_limit, individuals_dof, run_length
from tests.compute.grind.make_run_lengths import estimated, known

NO_LOOK = 50.0


@pytest.mark.parametrize(
    ("weight", "limit", "shift", "published"),
    # Lucas and Saccucci 1990 (500 and 10.3 to 11.1) and Montgomery (465), from memory; recomputed to two figures more.
    [
        (0.1, 2.814, 0, 499.4),
        (0.2, 2.962, 0, 499.6),
        (0.25, 2.998, 0, 499.8),
        (0.3, 3.0, 0, 465.5),
        (0.2, 2.962, 1, 10.54),
    ],
)
def test_the_chain_gives_the_published_run_lengths(weight, limit, shift, published):
    assert known(limit, look=NO_LOOK, weight=weight, shift=shift) == pytest.approx(published, rel=0.005)


def test_the_table_for_known_limits_is_the_chains():
    assert [known(limit) for limit in LIMITS] == pytest.approx(KNOWN, rel=0.002)


@pytest.mark.parametrize("baseline_n", [12, 30])
def test_the_table_for_estimated_limits_is_what_simulation_gives(baseline_n):
    again = estimated(baseline_n, limits=(2.0, 2.6), charts=3000, shots=300, seed=60)

    assert again == pytest.approx([run_length(limit, baseline_n) for limit in (2.0, 2.6)], rel=0.08)


def test_a_moving_range_is_worth_the_degrees_of_freedom_that_are_claimed():
    ranges = np.abs(np.diff(np.random.default_rng(5).standard_normal((20_000, 21)), axis=1)).mean(axis=1)

    assert 0.5 / (ranges.std() / ranges.mean()) ** 2 == pytest.approx(individuals_dof(21), abs=1.0)


@pytest.mark.parametrize("baseline_n", [None, *ESTIMATED])
def test_the_limit_keeps_the_run_that_was_asked_for(baseline_n):
    for shots in (50.0, 60.0, 120.0, 300.0):
        limit = ewma_limit(shots, baseline_n)
        assert limit == 4.0 or run_length(limit, baseline_n) == pytest.approx(shots, rel=1e-9) or limit == LIMITS[0]


def false_alarms_a_day(phi, charts, baseline_n=30, shots_per_day=20, days=5, seed=8):
    """Alarms a day per chart: limits from the chart's own first shots, an alarm counted once until the EWMA is back."""
    alarms = []
    for chart in range(charts):
        rng = np.random.default_rng([seed, chart])
        x = rng.standard_normal(baseline_n + days * shots_per_day)
        for i in range(1, x.size):
            x[i] = phi * x[i - 1] + np.sqrt(1 - phi * phi) * x[i]
        signals = drift(28.0 * np.exp(0.06 * x), baseline_n=baseline_n, shots_per_day=shots_per_day)["signals"]
        at = sorted({signal["index"] for signal in signals if signal["index"] >= baseline_n})
        starts = [i for i, before in zip(at, [-9, *at], strict=False) if i - before > 5]
        alarms.append(len(starts) / days)
    return float(np.mean(alarms)), float(1.96 * np.std(alarms) / np.sqrt(charts))


@pytest.mark.parametrize("phi", [0.0, 0.2, 0.4])
def test_a_false_alarm_comes_less_than_once_in_two_days_with_estimated_limits_and_correlated_shots(phi):
    rate, half = false_alarms_a_day(phi, charts=150)

    assert rate + half < 0.5


def test_without_the_correction_for_correlation_the_promise_would_not_hold(monkeypatch):
    """Paired with the test above, on the same shots: what it checks is what the correction does."""
    corrected, _ = false_alarms_a_day(0.4, charts=150)
    monkeypatch.setattr("server.compute.grind.drift._autocorrelation", lambda first, centre: 0.0)

    assert false_alarms_a_day(0.4, charts=150)[0] > 1.3 * corrected
