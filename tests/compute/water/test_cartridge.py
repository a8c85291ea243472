"""Cartridges: equivalents against capacity, the day it is spent, and what makes no sense."""

import datetime as dt

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.compute.errors import BadInput
from server.compute.water.cartridge import capacity_litres, cartridge_life, cartridge_plan, load_mg_l_caco3
from server.compute.water.sample import Sample

DAY = dt.date(2026, 3, 1)


def test_a_litre_of_resin_at_1_2_equivalents_treats_300_litres_of_200_mg_water():
    # 1.2 eq x 50.043 g/eq over 0.2 g/L, by hand.
    assert (
        capacity_litres(1.2, "eq", 200.0)
        == pytest.approx(1.2 * 50.043 / 0.2, rel=1e-4)
        == pytest.approx(300.3, abs=0.1)
    )


def test_32000_grains_are_2074_grams_of_caco3():
    in_grams = (32000 * pint.UnitRegistry().grain).to("g").magnitude
    assert in_grams == pytest.approx(2073.6, abs=0.1)
    assert capacity_litres(32000, "grain", 200.0) == pytest.approx(in_grams / 0.2, rel=1e-9)


def test_litres_at_a_hardness_in_degrees_are_litres_at_that_hardness():
    assert capacity_litres(10000, "l_dh", 178.48) == pytest.approx(1000, rel=1e-4)
    assert capacity_litres(10000, "l_fh", 100.0) == pytest.approx(1000, rel=1e-12)
    assert capacity_litres(750, "l", None) == 750


def test_a_decarbonising_cartridge_takes_the_lesser_of_hardness_and_alkalinity():
    assert load_mg_l_caco3(200.0, 120.0, "carbonate_hardness") == 120.0
    assert load_mg_l_caco3(100.0, 120.0, "carbonate_hardness") == 100.0
    assert load_mg_l_caco3(200.0, None, "hardness", bypass_share=0.25) == 150.0


def test_the_day_it_is_spent_counts_whole_days_from_now():
    assert cartridge_life(300.0, 150.0, 50.0, DAY).spent_on == dt.date(2026, 3, 4)
    assert cartridge_life(300.0, 150.1, 50.0, DAY).spent_on == dt.date(2026, 3, 3)
    assert cartridge_life(300.0, 300.0, 50.0, DAY).spent_on == DAY


def test_without_use_or_a_date_there_is_no_day():
    assert cartridge_life(300.0, 150.0).spent_on is None
    assert cartridge_life(300.0, 150.0, 50.0).days_left == 3
    assert cartridge_life(1e9, 0.0, 1.0, DAY).spent_on is None


def test_an_overdue_cartridge_has_nothing_left_and_says_so():
    plan = cartridge_plan(300.0, "l", None, 360.0, 30.0, DAY)
    assert plan["litres_left"] == 0.0 and plan["share_used"] == pytest.approx(1.2)
    assert plan["spent_on"] == DAY and "overdue by 60 L" in plan["doubts"][0]


def test_what_was_taken_for_granted_is_listed():
    plan = cartridge_plan(1.2, "eq", Sample(hardness_mg_l_caco3=200.0), 10.0)
    assert len(plan["assumed"]) == 2
    told = cartridge_plan(
        1.2, "eq", Sample(hardness_mg_l_caco3=200.0), 10.0, removes="hardness", bypass_share=0.0
    )
    assert told["assumed"] == []


@given(st.floats(1, 1000), st.floats(1, 1000), st.floats(0, 5000), st.floats(0.1, 1000))
def test_used_and_left_make_the_whole_and_softer_water_lasts_longer(grams, load, used, per_day):
    total = capacity_litres(grams, "g_caco3", load)
    life = cartridge_life(total, used, per_day, DAY)
    assert life.litres_left == pytest.approx(max(0.0, total - used))
    assert life.share_used * total == pytest.approx(used)
    assert capacity_litres(grams, "g_caco3", load / 2) > total


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: capacity_litres(0, "eq", 200.0), "capacity"),
        (lambda: capacity_litres(float("nan"), "eq", 200.0), "capacity"),
        (lambda: capacity_litres(1, "bucket", 200.0), "capacity"),
        (lambda: capacity_litres(1, "eq", None), "water"),
        (lambda: load_mg_l_caco3(None, None, "hardness"), "water"),
        (lambda: load_mg_l_caco3(200.0, None, "carbonate_hardness"), "water"),
        (lambda: load_mg_l_caco3(0.0, 0.0, "hardness"), "water"),
        (lambda: load_mg_l_caco3(200.0, 100.0, "chlorine"), "removes"),
        (lambda: load_mg_l_caco3(200.0, 100.0, "hardness", 1.0), "bypass_share"),
        (lambda: load_mg_l_caco3(-1.0, 100.0, "hardness"), "hardness"),
        (lambda: cartridge_life(0.0, 1.0), "capacity"),
        (lambda: cartridge_life(300.0, -1.0), "litres_used"),
        (lambda: cartridge_life(300.0, 1.0, 0.0), "litres_per_day"),
    ],
)
def test_nonsense_is_refused_by_name(call, field):
    with pytest.raises(BadInput) as refused:
        call()
    assert refused.value.field == field
