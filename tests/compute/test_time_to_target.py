"""The carried time: a convention of this app, no source. Its uncertainty against the `uncertainties` library."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from server.compute.errors import BadInput
from server.compute.time_to_target import time_to_target, why_time_to_target

quick = settings(derandomize=True, max_examples=200, deadline=None)


def test_a_shot_on_its_yield_keeps_its_time():
    found = time_to_target(28.0, 36.0, 36.0, 8.0)
    assert (found["time_to_target_s"], found["usable"], found["reason"]) == (28.0, True, None)


def test_the_gap_is_carried_at_the_flow_of_the_end():
    # q = 1.2 x 38/(29 - 9) = 2.28 g/s; 2 g less is 0.877 s less: by hand.
    assert time_to_target(29.0, 38.0, 36.0, 9.0)["time_to_target_s"] == pytest.approx(
        29.0 - 2.0 / 2.28, abs=1e-9
    )
    assert time_to_target(29.0, 34.0, 36.0, 9.0)["time_to_target_s"] > 29.0


@pytest.mark.parametrize(
    ("arguments", "u_yield_g", "u_first_drop_s"),
    [
        ({"first_drop_s": 8.0}, 0.2, 0.5),
        ({"first_drop_usual_s": 8.0}, 0.2, 1.5),
        ({"first_drop_s": 8.0, "yield_assumed": True}, 2.0, 0.5),
    ],
)
def test_its_uncertainty_is_the_first_order_one(arguments, u_yield_g, u_first_drop_s):
    time_s, yield_g = ufloat(28.0, 0.3), ufloat(38.0, u_yield_g)
    library = time_s + (36.0 - yield_g) * (time_s - ufloat(8.0, u_first_drop_s)) / (
        ufloat(1.2, 0.2) * yield_g
    )
    found = time_to_target(28.0, 38.0, 36.0, **arguments)
    assert found["time_to_target_s"] == pytest.approx(library.n, abs=1e-9)
    assert found["u_s"] == pytest.approx(library.s, abs=1e-9)


def test_what_was_not_measured_widens_it_and_is_listed():
    marked = time_to_target(28.0, 38.0, 36.0, 8.0)
    usual = time_to_target(28.0, 38.0, 36.0, first_drop_usual_s=8.0)
    guessed = time_to_target(28.0, 38.0, 36.0)
    assumed = time_to_target(28.0, 38.0, 36.0, 8.0, yield_assumed=True)
    assert marked["u_s"] < usual["u_s"] < guessed["u_s"] < assumed["u_s"]
    assert marked["assumed"] == []
    assert "this grinder's usual 8 s" in usual["assumed"][0]
    assert "a quarter of the time" in guessed["assumed"][0]
    assert "not weighed" in assumed["assumed"][0]
    assert guessed["first_drop_s"] == 7.0


def test_a_usual_first_drop_later_than_the_end_is_no_use():
    assert "a quarter" in time_to_target(6.0, 36.0, 36.0, first_drop_usual_s=9.0)["assumed"][0]


@pytest.mark.parametrize(
    ("yield_g", "usable"), [(30.6, True), (30.59, False), (41.4, True), (41.41, False), (36.0, True)]
)
def test_beyond_15_percent_of_the_target_no_chart_may_use_it(yield_g, usable):
    found = time_to_target(28.0, yield_g, 36.0, 8.0)
    assert found["usable"] is usable
    assert (found["reason"] is None) is usable


def test_a_time_before_the_first_drop_is_no_time():
    assert time_to_target(28.0, 360.0, 36.0, 8.0, end_flow_factor=0.5)["time_to_target_s"] is None


@quick
@given(
    st.floats(5.0, 120.0),
    st.floats(10.0, 100.0),
    st.floats(0.86, 1.14),
    st.floats(0.0, 0.9),
    st.floats(0.5, 3.0),
)
def test_within_reach_it_is_finite_and_moves_with_the_target(time_s, target_g, part, drop_part, factor):
    yield_g, first_drop_s = target_g * part, drop_part * time_s
    found = time_to_target(time_s, yield_g, target_g, first_drop_s, end_flow_factor=factor)
    further = time_to_target(time_s, yield_g, target_g * 1.001, first_drop_s, end_flow_factor=factor)
    assert found["usable"] is True
    assert first_drop_s < found["time_to_target_s"] < further["time_to_target_s"] < math.inf
    assert 0.0 < found["u_s"] < math.inf


@pytest.mark.parametrize(
    ("field", "given"),
    [
        ("time_s", {"time_s": 0.0}),
        ("yield_g", {"yield_g": math.nan}),
        ("yield_target_g", {"yield_target_g": -36.0}),
        ("first_drop_s", {"first_drop_s": 28.0}),
        ("first_drop_usual_s", {"first_drop_usual_s": -1.0}),
        ("end_flow_factor", {"end_flow_factor": 0.0}),
        ("u_yield_assumed_g", {"yield_assumed": True, "u_yield_assumed_g": -1.0}),
        ("u_time_s", {"u_time_s": math.inf}),
    ],
)
def test_what_is_out_of_range_is_named(field, given):
    with pytest.raises(BadInput) as refused:
        time_to_target(**{"time_s": 28.0, "yield_g": 36.0, "yield_target_g": 36.0, **given})
    assert refused.value.field == field


def test_its_reasons_can_be_redone_by_hand():
    carried = time_to_target(28.0, 38.0, 36.0)
    i = why_time_to_target(28.0, 38.0, 36.0, 1.2, carried).inputs
    by_hand = i["time_s"] + (i["yield_target_g"] - i["yield_g"]) * (i["time_s"] - i["first_drop_s"]) / (
        i["end_flow_factor"] * i["yield_g"]
    )
    assert by_hand == pytest.approx(carried["time_to_target_s"], abs=1e-12)
