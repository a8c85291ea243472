"""Steam and water against IAPWS-IF97 (published verification values, the iapws package) and CoolProp."""

import math

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS97

from server.compute.errors import BadInput
from server.compute.steam import (
    saturation_pressure_kpa,
    saturation_temp_c,
    steam_enthalpy_kj_kg,
    water_enthalpy_kj_kg,
)

WAND_GAUGE_BAR = [0.2 + 0.1 * step for step in range(29)]


def absolute_kpa(gauge_bar):
    return 101.325 + 100.0 * gauge_bar


# IAPWS R7-97(2012), tables 35 and 36: the saturation line of region 4. Our equation is another of the same
# body's. IAPWS-95, which both are fitted to, is itself 0.0076 K off IF97 at 1 MPa: hence 0.01 K and 0.02 %.
@pytest.mark.parametrize(("temp_k", "pressure_mpa"), [(300.0, 0.00353658941)])
def test_saturation_pressure_agrees_with_the_published_verification_value(temp_k, pressure_mpa):
    assert saturation_pressure_kpa(temp_k - 273.15) == pytest.approx(1000 * pressure_mpa, rel=2e-4)


@pytest.mark.parametrize(("pressure_mpa", "temp_k"), [(0.1, 372.755919), (1.0, 453.035632)])
def test_saturation_temperature_agrees_with_the_published_verification_values(pressure_mpa, temp_k):
    assert saturation_temp_c(1000 * pressure_mpa) == pytest.approx(temp_k - 273.15, abs=0.01)


@pytest.mark.parametrize("gauge_bar", WAND_GAUGE_BAR)
@pytest.mark.parametrize("quality", [0.0, 0.9, 1.0])
def test_steam_enthalpy_is_within_a_thousandth_of_iapws97_and_coolprop(gauge_bar, quality):
    pressure = absolute_kpa(gauge_bar)
    mine = steam_enthalpy_kj_kg(pressure, quality)
    assert mine == pytest.approx(IAPWS97(P=pressure / 1000, x=quality).h, rel=1e-3)
    assert mine == pytest.approx(PropsSI("H", "P", pressure * 1000, "Q", quality, "Water") / 1000, rel=1e-3)


@pytest.mark.parametrize("gauge_bar", WAND_GAUGE_BAR)
def test_boiler_temperature_is_within_a_hundredth_of_a_degree_of_iapws97(gauge_bar):
    pressure = absolute_kpa(gauge_bar)
    assert saturation_temp_c(pressure) == pytest.approx(IAPWS97(P=pressure / 1000, x=1).T - 273.15, abs=0.01)


@pytest.mark.parametrize("temp_c", range(3, 99, 5))
def test_water_enthalpy_is_within_a_thousandth_of_iapws97_and_coolprop(temp_c):
    mine = water_enthalpy_kj_kg(temp_c)
    kelvin = temp_c + 273.15
    assert mine == pytest.approx(IAPWS97(T=kelvin, P=0.101325).h, rel=1e-3)
    assert mine == pytest.approx(PropsSI("H", "T", kelvin, "P", 101325, "Water") / 1000, rel=1e-3)


@given(st.floats(0.2, 200.0))
def test_pressure_and_temperature_of_the_saturation_line_undo_each_other(temp_c):
    assert saturation_temp_c(saturation_pressure_kpa(temp_c)) == pytest.approx(temp_c, abs=1e-9)


@given(st.floats(0.62, 1600.0), st.floats(0.0, 1.0))
def test_steam_always_holds_more_heat_the_drier_it_is(pressure_kpa, quality):
    mine = steam_enthalpy_kj_kg(pressure_kpa, quality)
    assert math.isfinite(mine)
    assert steam_enthalpy_kj_kg(pressure_kpa, 0.0) <= mine <= steam_enthalpy_kj_kg(pressure_kpa, 1.0)


@given(st.floats(0.01, 98.0), st.floats(0.01, 1.0))
def test_warmer_water_holds_more_heat(temp_c, rise):
    assert water_enthalpy_kj_kg(temp_c + rise) > water_enthalpy_kj_kg(temp_c)


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: saturation_pressure_kpa(0.0), "temp_c"),
        (lambda: saturation_pressure_kpa(200.1), "temp_c"),
        (lambda: saturation_pressure_kpa(math.nan), "temp_c"),
        (lambda: saturation_temp_c(0.61), "pressure_kpa"),
        (lambda: saturation_temp_c(1601.0), "pressure_kpa"),
        (lambda: steam_enthalpy_kj_kg(200.0, 1.01), "quality"),
        (lambda: steam_enthalpy_kj_kg(math.inf), "pressure_kpa"),
        (lambda: water_enthalpy_kj_kg(-1.0), "temp_c"),
        (lambda: water_enthalpy_kj_kg(100.5), "pressure_kpa"),
    ],
)
def test_water_and_steam_that_cannot_be_are_refused_by_the_name_of_the_field(call, field):
    with pytest.raises(BadInput) as refused:
        call()
    assert refused.value.field == field
