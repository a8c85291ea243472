"""Staling by temperature: Cardelli & Labuza 2001, LWT 34:273-278, 15 to 23 % per 10 °C between 4 and 35 °C."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.constants import R

from server.compute.errors import BadInput
from server.compute.staling import GAS_CONSTANT_J_MOL_K, staling_assumptions, staling_rate

quick = settings(derandomize=True, max_examples=200, deadline=None)
model_range = st.floats(4.0, 35.0)


def test_the_gas_constant_is_the_one_of_the_si():
    assert pytest.approx(R, rel=1e-9) == GAS_CONSTANT_J_MOL_K


@pytest.mark.parametrize(
    ("activation_energy", "cooler", "warmer", "expected"),
    [
        (13.0, 20.0, 30.0, 1.192),
        (13.0, 4.0, 14.0, 1.217),
        (20.0, 20.0, 30.0, 1.311),
        (50.0, 20.0, 30.0, 1.967),
    ],
)
def test_ten_degrees_speed_it_up_by_the_arrhenius_factor(activation_energy, cooler, warmer, expected):
    factor = staling_rate(warmer, activation_energy) / staling_rate(cooler, activation_energy)
    assert factor == pytest.approx(expected, abs=1e-3)


@quick
@given(st.floats(4.0, 25.0))
def test_ten_degrees_lie_in_the_published_15_to_23_percent_wherever_the_model_holds(cooler):
    assert 1.15 <= staling_rate(cooler + 10.0) / staling_rate(cooler) <= 1.23


def test_a_fridge_against_a_room_at_22_degrees():
    assert staling_rate(4.0, reference_temp_c=22.0) == pytest.approx(0.709, abs=1e-3)


@quick
@given(st.floats(-40.0, 60.0), st.floats(-40.0, 60.0), st.floats(0.0, 0.7), model_range)
def test_warmer_never_stales_slower(one, other, frozen_rate, reference):
    low, high = (staling_rate(t, 13.0, reference, frozen_rate) for t in sorted((one, other)))
    assert 0.0 <= low <= high < math.inf


@quick
@given(st.floats(0.0, 150.0), model_range)
def test_the_rate_is_one_at_the_reference_whatever_the_energy(activation_energy, reference):
    assert staling_rate(reference, activation_energy, reference) == pytest.approx(1.0, abs=1e-12)


def test_below_4_degrees_the_rate_is_a_setting_and_says_so():
    assert staling_rate(3.99) == staling_rate(-18.0) == 0.1
    assert staling_rate(-18.0, frozen_rate=0.436) == 0.436
    assert "a setting" in staling_assumptions([-18.0])[0]


def test_above_35_degrees_the_extrapolation_is_flagged():
    assert staling_rate(40.0) > staling_rate(35.0)
    assert "extrapolated" in staling_assumptions([40.0])[-1]
    assert not any("extrapolated" in said for said in staling_assumptions([35.0]))


@pytest.mark.parametrize(
    ("field", "arguments"),
    [
        ("temp_c", (-41.0,)),
        ("temp_c", (math.nan,)),
        ("temp_c", (61.0,)),
        ("activation_energy_kj_mol", (20.0, -1.0)),
        ("activation_energy_kj_mol", (20.0, math.inf)),
        ("reference_temp_c", (20.0, 13.0, 3.0)),
        ("reference_temp_c", (20.0, 13.0, 36.0)),
        ("frozen_rate", (20.0, 13.0, 20.0, -0.1)),
        ("frozen_rate", (20.0, 13.0, 20.0, 1.1)),
    ],
)
def test_a_setting_out_of_range_is_refused_by_its_name(field, arguments):
    with pytest.raises(BadInput) as refused:
        staling_rate(*arguments)
    assert refused.value.field == field
