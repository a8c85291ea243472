"""Altitude, air pressure and boiling point against published atmosphere figures and IAPWS-IF97."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS97

from server.compute.atmosphere import air_pressure_kpa, boiling_point_c
from server.compute.errors import BadInput

# Pressure: the ICAO 1993 and the U.S. 1976 standard atmospheres, as computed by the general libraries
# ambiance 1.3.1 and fluids 1.3.1, which agree to 0.1 Pa. Boiling point: IAPWS-IF97 at that pressure,
# CoolProp equal to 0.001 °C.
TABLE = [
    (0, 101325.0, 99.974),
    (500, 95461.3, 98.313),
    (1000, 89876.3, 96.649),
    (1500, 84559.7, 94.984),
    (2000, 79501.4, 93.317),
    (2500, 74691.7, 91.648),
    (3000, 70121.1, 89.977),
    (4000, 61660.4, 86.628),
]


@pytest.mark.parametrize(("altitude_m", "pressure_pa", "boiling_c"), TABLE)
def test_air_pressure_and_boiling_point_are_the_published_ones(altitude_m, pressure_pa, boiling_c):
    assert air_pressure_kpa(altitude_m) * 1000 == pytest.approx(pressure_pa, abs=0.11)
    assert boiling_point_c(altitude_m) == pytest.approx(boiling_c, abs=0.002)


@pytest.mark.parametrize("altitude_m", range(-400, 5501, 100))
def test_the_boiling_point_is_within_a_hundredth_of_a_degree_of_iapws97(altitude_m):
    theirs = IAPWS97(P=air_pressure_kpa(altitude_m) / 1000, x=0).T - 273.15
    assert boiling_point_c(altitude_m) == pytest.approx(theirs, abs=0.01)


def test_metres_on_a_map_are_not_put_into_the_formula_as_they_are():
    # The formula wants geopotential metres; without the conversion the figure at 4000 m is 61640.2 Pa.
    assert abs(air_pressure_kpa(4000.0) * 1000 - 61640.2) > 15


@given(st.floats(-430, 5499), st.floats(0.1, 1.0))
def test_water_boils_cooler_the_higher_the_bar(altitude_m, climb_m):
    assert boiling_point_c(altitude_m + climb_m) < boiling_point_c(altitude_m)


@pytest.mark.parametrize("altitude_m", [-431.0, 5501.0, math.nan, math.inf])
def test_an_altitude_without_a_town_is_refused(altitude_m):
    with pytest.raises(BadInput) as refused:
        boiling_point_c(altitude_m)
    assert refused.value.field == "altitude_m"
