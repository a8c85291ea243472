"""Uncertainty of an extraction against the `uncertainties` library, and by the rules of JCGM 100:2008 (GUM)."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm
from uncertainties import correlated_values, ufloat

from server.compute.errors import BadInput
from server.compute.extraction import extraction_pct, immersion_extraction_pct
from server.compute.uncertainty import (
    COVERAGE_95,
    difference,
    extraction_shares,
    interval_95,
    standard_uncertainty,
)

quick = settings(derandomize=True, max_examples=100, deadline=None)

# dose, its u; yield, its u; strength, its u; the combined u by hand, printed to five decimals
CASES = {
    "2a": (18.0, 0.1, 36.0, 0.1, 9.50, 0.05, 0.15469),
    "2b": (20.0, 0.1, 40.0, 0.1, 9.00, 0.10, 0.22389),
    "2c": (18.0, 0.01, 36.0, 0.1, 9.50, 0.03, 0.08060),
    "2d": (60.0, 0.1, 880.0, 1.0, 1.35, 0.03, 0.44181),
}
ROUND_OFF = 0.05 / math.sqrt(3.0)  # JCGM 100:2008, 4.3.7: limits ±0.05 with any value between as likely


def shares_of(dose_g, u_dose_g, yield_g, u_yield_g, strength_pct, u_strength_pct, **more):
    extraction = extraction_pct(dose_g, yield_g, strength_pct)
    return extraction_shares(
        extraction, dose_g, yield_g, strength_pct, u_dose_g, u_yield_g, u_strength_pct, **more
    )


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_reading_errors_add_up_as_the_library_adds_them(case):
    dose_g, u_dose_g, yield_g, u_yield_g, strength_pct, u_strength_pct, by_hand = case
    library = ufloat(yield_g, u_yield_g) * ufloat(strength_pct, u_strength_pct) / ufloat(dose_g, u_dose_g)
    u = standard_uncertainty(shares_of(*case[:6]))
    assert u == pytest.approx(library.s, abs=1e-10)
    assert u == pytest.approx(by_hand, abs=1e-4)


def test_each_cause_has_its_own_share():
    shares = shares_of(*CASES["2a"][:6])
    assert {cause: round(abs(share), 5) for cause, share in shares.items()} == {
        "dose": 0.10556,
        "liquid": 0.05278,
        "strength": 0.1,
    }


def test_limits_of_rounding_count_as_a_rectangle():
    u = standard_uncertainty(shares_of(18.0, ROUND_OFF, 36.0, ROUND_OFF, 9.5, ROUND_OFF))
    assert u == pytest.approx(0.06704, abs=1e-4)


def test_the_gain_of_one_scale_cancels_within_an_extraction():
    gain = ufloat(1.0, 0.002)
    library = (36.0 * gain) * 9.5 / (18.0 * gain)
    u = standard_uncertainty(shares_of(18.0, 0.0, 36.0, 0.0, 9.5, 0.0, biases={"scale_gain": 0.002}))
    assert library.s == pytest.approx(0.0, abs=1e-12)
    assert u == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("bias", "u", "apply"),
    [
        ("scale_offset_g", 0.2, lambda e: (36.0 + e) * 9.5 / (18.0 + e)),
        ("strength_gain", 0.01, lambda e: 36.0 * 9.5 * (1.0 + e) / 18.0),
        ("strength_offset_pct", 0.1, lambda e: 36.0 * (9.5 + e) / 18.0),
    ],
)
def test_each_bias_acts_as_one_error_common_to_all_it_touches(bias, u, apply):
    library = apply(ufloat(0.0, u))
    ours = standard_uncertainty(shares_of(18.0, 0.0, 36.0, 0.0, 9.5, 0.0, biases={bias: u}))
    assert ours == pytest.approx(library.s, abs=1e-10)


def test_immersion_propagates_its_own_form():
    water, dose, strength = ufloat(1000.0, 1.0), ufloat(60.0, 0.1), ufloat(0.0125, 0.0003)
    library = water / dose * strength / (1.0 - strength) * 100.0
    extraction = immersion_extraction_pct(60.0, 1000.0, 1.25)
    shares = extraction_shares(extraction, 60.0, 1000.0, 1.25, 0.1, 1.0, 0.03, form="immersion")
    assert standard_uncertainty(shares) == pytest.approx(library.s, abs=1e-10)


def test_a_million_draws_agree_with_the_linear_law():
    # JCGM 101:2008, Monte Carlo of case 2a with 10^6 draws, worked once outside this project: u 0.15464.
    u = standard_uncertainty(shares_of(*CASES["2a"][:6]))
    assert u == pytest.approx(0.15464, abs=0.002)
    assert interval_95(19.0, u) == pytest.approx((18.700, 19.306), abs=0.01)


def test_the_95_percent_interval_is_the_normal_one():
    assert pytest.approx(norm.ppf(0.975), abs=1e-9) == COVERAGE_95


def test_two_shots_with_a_tenth_of_a_gram_and_a_twentieth_of_a_percent_blur_within_0_43_points():
    one = {f"{cause} 1": share for cause, share in shares_of(*CASES["2a"][:6]).items()}
    other = {f"{cause} 2": share for cause, share in shares_of(*CASES["2a"][:6]).items()}
    assert standard_uncertainty(difference(one, other)) * COVERAGE_95 == pytest.approx(0.43, abs=0.005)


def test_a_common_cause_cancels_as_full_correlation_does_in_the_library():
    first, second = correlated_values([19.0, 18.0], [[0.04, 0.04], [0.04, 0.04]])
    ours = standard_uncertainty(difference({"strength_gain": 0.2}, {"strength_gain": 0.2}))
    assert (first - second).s == pytest.approx(0.0, abs=1e-8)
    assert ours == pytest.approx(0.0, abs=1e-12)


@quick
@given(
    st.floats(0.1, 250.0),
    st.floats(0.1, 3000.0),
    st.floats(0.001, 30.0),
    st.floats(0.0, 10.0),
    st.floats(0.0, 10.0),
)
def test_less_sure_readings_never_make_a_surer_extraction(dose_g, yield_g, strength_pct, one, other):
    surer, looser = sorted((one, other))
    low, high = (
        standard_uncertainty(shares_of(dose_g, u, yield_g, u, strength_pct, u)) for u in (surer, looser)
    )
    assert 0.0 <= low <= high < math.inf


@pytest.mark.parametrize("wrong", [-0.1, math.nan, math.inf])
def test_an_uncertainty_out_of_range_is_refused_by_its_name(wrong):
    for field, spoiled in (("u_dose_g", 1), ("u_yield_g", 3), ("u_strength_pct", 5)):
        case = list(CASES["2a"][:6])
        case[spoiled] = wrong
        with pytest.raises(BadInput) as refused:
            shares_of(*case)
        assert refused.value.field == field
    with pytest.raises(BadInput, match="scale_gain"):
        shares_of(*CASES["2a"][:6], biases={"scale_gain": wrong})
    with pytest.raises(BadInput, match="must be one of"):
        shares_of(*CASES["2a"][:6], biases={"wind": 0.1})
    if wrong != math.inf:
        with pytest.raises(BadInput):
            interval_95(19.0, wrong)
