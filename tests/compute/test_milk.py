"""Steam that condenses in milk, against the same balance with IAPWS-IF97 and CoolProp enthalpies."""

import math

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS97

from server.compute.errors import BadInput
from server.compute.milk import heat_given_kj_kg, steamed_milk
from server.compute.milk_cautions import CAUTIONS, milk_cautions
from server.compute.milk_kinds import MILKS

JUGS = st.fixed_dictionaries(
    {
        "milk_g": st.floats(10, 5000),
        "milk": st.sampled_from(list(MILKS)),
        "start_c": st.floats(0, 45),
        "target_c": st.floats(50, 80),
        "steam_gauge_bar": st.floats(0.2, 3.0),
        "steam_quality": st.floats(0.5, 1.0),
        "jug_g": st.floats(0, 3000),
        "altitude_m": st.floats(-430, 5500),
    }
)


# The balance for 150 g from 4 °C to 55 °C worked with IAPWS-IF97 enthalpies and a heat capacity given
# outright (3.93 whole, 3.97 skim), at three gauge pressures: 0.2 % is the algebra's tolerance.
@pytest.mark.parametrize(
    ("gauge_bar", "heat", "steam_g"),
    [
        (1.0, 3.93, 12.141),
        (1.0, 3.97, 12.265),
        (1.2, 3.93, 12.120),
        (1.2, 3.97, 12.243),
        (1.5, 3.93, 12.091),
        (1.5, 3.97, 12.215),
    ],
)
def test_steam_for_a_jug_is_that_of_the_worked_table(gauge_bar, heat, steam_g):
    assert 150 * heat * 51 / heat_given_kj_kg(gauge_bar, 55.0) == pytest.approx(steam_g, rel=1e-3)


@pytest.mark.parametrize(
    ("target_c", "quality", "steam_g"),
    [
        (60.0, 1.0, 13.421),
        (65.0, 1.0, 14.745),
        (55.0, 0.95, 12.680),
        (60.0, 0.95, 14.047),
        (65.0, 0.95, 15.439),
    ],
)
def test_hotter_milk_and_wetter_steam_are_those_of_the_worked_table(target_c, quality, steam_g):
    energy_kj = 150 * 3.93 * (target_c - 4) / 1000
    assert 1000 * energy_kj / heat_given_kj_kg(1.2, target_c, quality) == pytest.approx(steam_g, rel=1e-3)


@pytest.mark.parametrize("gauge_bar", [0.2, 0.6, 1.0, 1.2, 1.5, 2.0, 3.0])
@pytest.mark.parametrize("target_c", [50.0, 55.0, 60.0, 65.0, 70.0])
def test_heat_given_is_within_a_thousandth_of_iapws97_and_coolprop(gauge_bar, target_c):
    pressure_mpa = 0.101325 + gauge_bar / 10
    kelvin = target_c + 273.15
    by_iapws = IAPWS97(P=pressure_mpa, x=1).h - IAPWS97(T=kelvin, P=0.101325).h
    steam = PropsSI("H", "P", pressure_mpa * 1e6, "Q", 1, "Water")
    by_coolprop = (steam - PropsSI("H", "T", kelvin, "P", 101325, "Water")) / 1000
    assert heat_given_kj_kg(gauge_bar, target_c) == pytest.approx(by_iapws, rel=1e-3)
    assert heat_given_kj_kg(gauge_bar, target_c) == pytest.approx(by_coolprop, rel=1e-3)


def test_a_jug_of_whole_milk_by_hand():
    jug = steamed_milk(150.0, "whole", 4.0, 55.0, 1.2)
    assert jug.energy_kj == pytest.approx(150 * 3.8884 * 51 / 1000, rel=1e-4)
    assert jug.steam_g == pytest.approx(12.120 * 3.8884 / 3.93, rel=1e-3)
    assert jug.final_g == 150.0 + jug.steam_g
    assert jug.added_water_pct == pytest.approx(100 * jug.steam_g / 150.0)
    assert jug.water_in_drink_pct == pytest.approx(100 * jug.steam_g / jug.final_g)
    assert jug.why[0].inputs["milk_g"] == 150.0


def test_the_water_that_went_in_is_told_per_milk_and_per_drink_and_the_two_are_not_mixed_up():
    # 8.08 % of the milk and 7.48 % of the drink in the worked table (heat capacity 3.93).
    jug = steamed_milk(150.0, "whole", 4.0, 55.0, 1.2)
    assert jug.added_water_pct == pytest.approx(8.08 * 3.8884 / 3.93, abs=0.01)
    assert jug.water_in_drink_pct == pytest.approx(7.48 * 3.8884 / 3.93, abs=0.02)


def test_a_jug_on_the_scale_takes_steam_to_warm_and_is_in_the_mass_at_which_to_stop():
    bare = steamed_milk(150.0, "whole", 4.0, 55.0)
    with_jug = steamed_milk(150.0, "whole", 4.0, 55.0, jug_g=300.0)
    assert with_jug.energy_kj - bare.energy_kj == pytest.approx(300 * 0.5 * 51 / 1000)
    assert with_jug.stop_at_g == pytest.approx(with_jug.final_g + 300.0)
    assert any("jug" in text for why in bare.why for text in why.assumed)
    assert not any("jug" in text for why in with_jug.why for text in why.assumed)


def test_the_default_target_lies_between_55_and_60_degrees():
    jug = steamed_milk(150.0, "whole", 4.0)
    assert 55.0 <= jug.why[0].inputs["target_c"] <= 60.0
    assert "hot" not in jug.cautions and "scald" not in jug.cautions


@given(JUGS)
def test_every_jug_in_range_gets_finite_figures_that_add_up(jug):
    steamed = steamed_milk(**jug)
    figures = (
        steamed.steam_g,
        steamed.final_g,
        steamed.stop_at_g,
        steamed.energy_kj,
        *steamed.final_g_between,
    )
    assert all(math.isfinite(figure) and figure > 0 for figure in figures)
    assert steamed.final_g_between[0] < steamed.final_g < steamed.final_g_between[1]
    assert steamed.final_g == pytest.approx(jug["milk_g"] + steamed.steam_g)


@given(JUGS, st.floats(0.01, 5.0))
def test_a_hotter_target_and_a_colder_start_and_more_milk_each_take_more_steam(jug, more):
    steam_g = steamed_milk(**jug).steam_g
    assert steamed_milk(**{**jug, "target_c": jug["target_c"] + more / 5}).steam_g > steam_g
    assert steamed_milk(**{**jug, "start_c": jug["start_c"] + more / 5}).steam_g < steam_g
    assert steamed_milk(**{**jug, "milk_g": min(5000.0, jug["milk_g"] + more)}).steam_g >= steam_g


@given(JUGS, st.floats(0.01, 0.4))
def test_drier_steam_and_a_higher_gauge_each_take_less_of_it(jug, more):
    jug = {**jug, "steam_quality": 0.5 + jug["steam_quality"] / 10}
    steam_g = steamed_milk(**jug).steam_g
    assert steamed_milk(**{**jug, "steam_quality": jug["steam_quality"] + more}).steam_g < steam_g
    dry = {**jug, "steam_quality": 1.0, "steam_gauge_bar": min(2.9, jug["steam_gauge_bar"])}
    higher = {**dry, "steam_gauge_bar": dry["steam_gauge_bar"] + 0.1}
    assert steamed_milk(**higher).steam_g < steamed_milk(**dry).steam_g


@pytest.mark.parametrize(
    ("target_c", "scald", "hot"),
    [(59.9, False, False), (60.0, True, False), (64.9, True, False), (65.0, True, True), (80.0, True, True)],
)
def test_cautions_for_heat_begin_at_sixty_and_at_sixty_five_degrees(target_c, scald, hot):
    cautions = steamed_milk(150.0, "whole", 4.0, target_c).cautions
    assert ("scald" in cautions, "hot" in cautions) == (scald, hot)


@pytest.mark.parametrize("kind", MILKS.values(), ids=MILKS)
def test_every_jug_warns_of_steam_and_names_each_allergen(kind):
    keys = milk_cautions(kind, 55.0)
    assert keys[0] == "steam"
    assert set(kind.allergens) <= set(keys)
    assert all(CAUTIONS[key] for key in keys)


def test_no_caution_promises_safety():
    assert not any("safe" in text.lower() for text in CAUTIONS.values())


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"milk_g": 9.9}, "milk_g"),
        ({"milk_g": math.nan}, "milk_g"),
        ({"milk": "cream"}, "milk"),
        ({"start_c": -0.1}, "start_c"),
        ({"start_c": 60.1}, "start_c"),
        ({"target_c": 4.0}, "target_c"),
        ({"target_c": 95.1}, "target_c"),
        ({"target_c": 90.0, "altitude_m": 3500.0}, "target_c"),
        ({"steam_gauge_bar": 0.19}, "steam_gauge_bar"),
        ({"steam_gauge_bar": 3.01}, "steam_gauge_bar"),
        ({"steam_quality": 0.49}, "steam_quality"),
        ({"steam_quality": 1.01}, "steam_quality"),
        ({"jug_g": -1.0}, "jug_g"),
        ({"altitude_m": 9000.0}, "altitude_m"),
    ],
)
def test_a_jug_that_cannot_be_is_refused_by_the_name_of_the_field(change, field):
    with pytest.raises(BadInput) as refused:
        steamed_milk(**{"milk_g": 150.0, "milk": "whole", "start_c": 4.0, **change})
    assert refused.value.field == field
