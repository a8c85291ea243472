"""Shares, medians and quantiles against statsmodels, SciPy and NumPy."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import median_abs_deviation
from statsmodels.stats.proportion import proportion_confint

from server.compute.errors import BadInput
from server.compute.statistics import median, quantile, robust_spread, wilson_interval

FINITE = st.floats(-1e9, 1e9)
LISTS = st.lists(FINITE, min_size=1, max_size=40)


@pytest.mark.parametrize("of", [1, 2, 7, 30, 400])
@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
def test_the_wilson_interval_is_that_of_statsmodels(of, confidence):
    for successes in range(of + 1):
        theirs = proportion_confint(successes, of, alpha=1 - confidence, method="wilson")
        assert wilson_interval(successes, of, confidence) == pytest.approx(theirs, abs=1e-12)


@given(st.integers(1, 10**9).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_the_interval_holds_the_share_and_stays_between_none_and_all(counts):
    successes, of = counts
    low, high = wilson_interval(successes, of)
    assert 0.0 <= low <= successes / of <= high <= 1.0
    assert low < high


def test_more_trials_with_the_same_share_make_the_interval_narrower():
    widths = [high - low for low, high in (wilson_interval(3 * n, 4 * n) for n in range(1, 50))]
    assert widths == sorted(widths, reverse=True)


@pytest.mark.parametrize(
    ("successes", "of", "confidence", "field"),
    [
        (0, 0, 0.95, "of"),
        (-1, 5, 0.95, "successes"),
        (6, 5, 0.95, "successes"),
        (1, 5, 1.0, "confidence"),
        (1, 5, 0.0, "confidence"),
        (1, 5, math.nan, "confidence"),
    ],
)
def test_a_share_that_cannot_be_is_refused_by_the_name_of_its_field(successes, of, confidence, field):
    with pytest.raises(BadInput) as refused:
        wilson_interval(successes, of, confidence)
    assert refused.value.field == field


@given(LISTS)
def test_the_median_is_that_of_numpy(values):
    assert median(values) == pytest.approx(float(np.median(values)), rel=1e-12)


@given(LISTS)
def test_the_robust_spread_is_that_of_scipy(values):
    theirs = median_abs_deviation(values, scale="normal")
    assert robust_spread(values) == pytest.approx(float(theirs), rel=1e-9, abs=1e-6)


@given(LISTS, st.floats(0, 1))
def test_a_quantile_is_that_of_numpy_and_lies_among_the_values(values, share):
    mine = quantile(values, share)
    assert mine == pytest.approx(float(np.quantile(values, share)), rel=1e-9, abs=1e-6)
    assert min(values) <= mine + 1e-6 and mine - 1e-6 <= max(values)


@pytest.mark.parametrize("figure", [median, robust_spread, lambda values: quantile(values, 0.5)])
@pytest.mark.parametrize("values", [[], [1.0, math.nan], [math.inf]])
def test_nothing_or_not_a_number_has_no_middle(figure, values):
    with pytest.raises(BadInput) as refused:
        figure(values)
    assert refused.value.field == "values"


@pytest.mark.parametrize("share", [-0.01, 1.01, math.nan])
def test_a_quantile_outside_none_to_all_is_refused(share):
    with pytest.raises(BadInput) as refused:
        quantile([1.0, 2.0], share)
    assert refused.value.field == "share"
