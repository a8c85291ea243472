"""One reading put together, and two compared: against the `uncertainties` library, where a common bias cancels."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from server.compute.errors import BadInput
from server.compute.measured import extraction_reading, strength_reading
from server.compute.readings import readings_differ

quick = settings(derandomize=True, max_examples=100, deadline=None)
SHOT = {"dose_g": 18.0, "yield_g": 36.0, "strength_pct": 9.5}
LIGHTER = {"dose_g": 18.0, "yield_g": 36.0, "strength_pct": 9.3}
BY_BRIX = {"dose_g": 18.0, "yield_g": 36.0, "brix_pct": 11.2}
SURE = {"u_dose_g": 0.0, "u_yield_g": 0.0, "u_strength_pct": 0.0}


def test_defaults_are_stated_whenever_they_are_used():
    assert extraction_reading(SHOT)["assumed"] == [
        "standard uncertainties by default: u_dose_g = 0.1, u_yield_g = 0.1, u_strength_pct = 0.05"
    ]
    assert extraction_reading({**SHOT, **SURE})["assumed"] == []
    filter_brew = {"dose_g": 60.0, "yield_g": 880.0, "strength_pct": 1.35, "method": "filter"}
    assert extraction_reading(filter_brew)["u_extraction_pct"] == pytest.approx(0.44181, abs=1e-4)


def test_the_brix_factor_makes_a_single_reading_less_sure():
    # u(factor) = 0.04/√3 from single fits of 0.83 to 0.91: an independent write-up of 2022, not peer-reviewed.
    read = extraction_reading(BY_BRIX)
    library = ufloat(36.0, 0.1) * (ufloat(0.85, 0.023) * 11.2 + ufloat(0.0, 0.05)) / ufloat(18.0, 0.1)
    assert read["extraction_pct"] == pytest.approx(library.n, abs=1e-9)
    assert read["u_extraction_pct"] == pytest.approx(library.s, abs=1e-9)
    assert "not peer-reviewed" in read["assumed"][0]
    assert "u_brix_factor = 0.023" in read["assumed"][1]


def test_a_stated_uncertainty_of_strength_covers_the_factor():
    read = extraction_reading({**BY_BRIX, "u_strength_pct": 0.05})
    assert read["u_extraction_pct"] == pytest.approx(0.1556, abs=1e-3)
    both = extraction_reading({**BY_BRIX, "u_strength_pct": 0.05, "u_brix_factor": 0.023})
    assert both["u_extraction_pct"] > 3 * read["u_extraction_pct"]


def test_two_like_shots_cannot_be_told_apart_within_0_43_points():
    compared = readings_differ(SHOT, LIGHTER)
    assert compared["difference"] == pytest.approx(0.4, abs=1e-9)
    assert compared["least_difference"] == pytest.approx(0.43, abs=0.005)
    assert compared["differs"] is False
    assert "can't be told apart" in compared["sentence"]


def test_a_larger_difference_is_said_to_be_one():
    compared = readings_differ(SHOT, {**SHOT, "strength_pct": 9.0})
    assert compared["differs"] is True
    assert "first has 1.00 points more extraction" in compared["sentence"]
    assert compared["chance_if_equal"] < 0.05


def test_the_factor_of_one_refractometer_cancels_and_of_two_does_not():
    again = {**BY_BRIX, "brix_pct": 11.0}
    same, other = readings_differ(BY_BRIX, again), readings_differ(BY_BRIX, again, same_refractometer=False)
    factor = ufloat(0.85, 0.023)

    def read(brix_pct, by):
        return ufloat(36.0, 0.1) * (by * brix_pct + ufloat(0.0, 0.05)) / ufloat(18.0, 0.1)

    assert same["u_difference"] == pytest.approx((read(11.2, factor) - read(11.0, factor)).s, abs=1e-9)
    apart = read(11.2, factor) - read(11.0, ufloat(0.85, 0.023))
    assert other["u_difference"] == pytest.approx(apart.s, abs=1e-9)
    assert other["u_difference"] > 3 * same["u_difference"]


@pytest.mark.parametrize(
    "bias", ["u_strength_gain", "u_strength_offset_pct", "u_scale_gain", "u_scale_offset_g"]
)
def test_a_bias_that_acts_alike_on_both_readings_cancels(bias):
    biased = {**SHOT, **SURE, bias: 0.1}
    compared = readings_differ(biased, biased)
    assert compared["u_difference"] == pytest.approx(0.0, abs=1e-12)
    assert compared["differs"] is False
    assert compared["chance_if_equal"] == 1.0


def test_an_offset_that_acts_unlike_cancels_only_in_part():
    one, other = (
        {**SHOT, **SURE, "u_scale_offset_g": 0.2},
        {**SHOT, **SURE, "yield_g": 45.0, "u_scale_offset_g": 0.2},
    )
    off = ufloat(0.0, 0.2)
    library = (36.0 + off) * 9.5 / (18.0 + off) - (45.0 + off) * 9.5 / (18.0 + off)
    assert readings_differ(one, other)["u_difference"] == pytest.approx(library.s, abs=1e-10)
    apart = readings_differ(one, other, same_scale=False)["u_difference"]
    assert apart > readings_differ(one, other)["u_difference"]


def test_strengths_alone_can_be_compared():
    compared = readings_differ({"strength_pct": 9.5}, {"strength_pct": 9.3})
    assert compared["figure"] == "strength_pct"
    assert compared["u_difference"] == pytest.approx(math.hypot(0.05, 0.05), abs=1e-12)


def test_readings_without_any_uncertainty_differ_by_whatever_is_between_them():
    compared = readings_differ({**SHOT, **SURE}, {**LIGHTER, **SURE})
    assert (compared["differs"], compared["chance_if_equal"]) == (True, 0.0)


def test_a_reading_that_cannot_be_used_is_named_with_its_place():
    with pytest.raises(BadInput) as refused:
        readings_differ(SHOT, {**SHOT, "strength_pct": 31.0})
    assert refused.value.field == "second.strength_pct"
    with pytest.raises(BadInput) as refused:
        readings_differ({"strength_pct": 9.5}, SHOT)
    assert refused.value.field == "first.dose_g"


@pytest.mark.parametrize(
    ("spoiled", "field"),
    [
        ({"strength_pct": None}, "strength_pct"),
        ({"brix_pct": 11.0}, "strength_pct"),
        ({"dose_g": None}, "dose_g"),
        ({"yield_g": None}, "yield_g"),
        ({"form": "immersion"}, "brew_water_g"),
        ({"method": "moka"}, "method"),
        ({"form": "cold"}, "form"),
        ({"u_scale_gain": -0.1}, "u_scale_gain"),
        ({"u_strength_pct": math.nan}, "u_strength_pct"),
        ({"strength_pct": None, "brix_pct": 0.0}, "brix_pct"),
        ({"strength_pct": None, "brix_pct": 11.0, "brix_factor": 0.0}, "brix_factor"),
        ({"strength_pct": None, "brix_pct": 39.0, "brix_factor": 1.1}, "brix_pct"),
        ({"strength_pct": None, "brix_pct": 11.0, "u_brix_factor": 1.0}, "u_brix_factor"),
    ],
)
def test_what_is_missing_or_out_of_range_is_named(spoiled, field):
    with pytest.raises(BadInput) as refused:
        extraction_reading({**SHOT, **spoiled})
    assert refused.value.field == field


def test_the_two_ratios_are_labelled():
    assert extraction_reading(SHOT)["ratio_is"] == "beverage to dose"
    steeped = {
        "dose_g": 60.0,
        "brew_water_g": 1000.0,
        "strength_pct": 1.25,
        "method": "filter",
        "form": "immersion",
    }
    read = extraction_reading(steeped)
    assert (read["ratio_is"], round(read["ratio"], 2)) == ("brew water to dose", 16.67)
    assert read["doubts"] == []
    assert "espresso is no immersion" in extraction_reading({**steeped, "method": "espresso"})["doubts"][0]


@quick
@given(
    st.floats(0.1, 250.0),
    st.floats(0.1, 3000.0),
    st.floats(0.001, 30.0),
    st.sampled_from(["espresso", "filter"]),
)
def test_every_reading_in_range_has_finite_figures(dose_g, yield_g, strength_pct, method):
    read = extraction_reading(
        {"dose_g": dose_g, "yield_g": yield_g, "strength_pct": strength_pct, "method": method}
    )
    numbers = [read[name] for name in ("ratio", "extraction_pct", "u_extraction_pct", "u_strength_pct")]
    assert all(map(math.isfinite, itertools.chain(numbers, read["interval_95"], read["shares"].values())))
    assert read["interval_95"][0] <= read["extraction_pct"] <= read["interval_95"][1]


def test_strength_read_as_such_needs_no_factor():
    read = strength_reading({"strength_pct": 9.5})
    assert (read["strength_pct"], read["u_strength_pct"], read["brix_gain"]) == (9.5, 0.05, 0.0)
