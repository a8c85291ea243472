"""Equilibrium constants, water's dielectric constant and density: against their sources and IAPWS's equations."""

import iapws._iapws as iapws_release
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from server.compute.errors import BadInput
from server.compute.water.activity import IONS, activity_coefficients, debye_hueckel, dielectric_constant
from server.compute.water.constants import REACTIONS, log_k, water_density_kg_l

# Plummer & Busenberg, Geochim. Cosmochim. Acta 46 (1982) 1011, their expressions evaluated: pK1, pK2, pKs
# calcite. 125 °C is beyond the 0 to 90 °C that calcite was measured at.
PLUMMER_BUSENBERG = [
    (5, 6.516, 10.554, 8.394),
    (10, 6.463, 10.488, 8.410),
    (15, 6.419, 10.428, 8.430),
    (20, 6.382, 10.376, 8.453),
    (25, 6.352, 10.329, 8.480),
    (30, 6.328, 10.288, 8.510),
    (40, 6.297, 10.222, 8.580),
    (50, 6.286, 10.174, 8.663),
    (60, 6.290, 10.144, 8.759),
    (70, 6.308, 10.128, 8.868),
    (80, 6.338, 10.126, 8.989),
    (90, 6.378, 10.135, 9.122),
    (93, 6.392, 10.140, 9.164),
    (125, 6.580, 10.247, 9.678),
]
TEMPERATURES = [5, 25, 60, 93, 125, 150]


@pytest.mark.parametrize(("temp_c", "pk1", "pk2", "pks"), PLUMMER_BUSENBERG)
def test_carbonic_acid_and_calcite_are_plummer_and_busenbergs(temp_c, pk1, pk2, pks):
    assert -log_k("carbonic_1", temp_c) == pytest.approx(pk1, abs=0.001)
    assert -log_k("carbonic_2", temp_c) == pytest.approx(pk2, abs=0.001)
    assert -log_k("calcite", temp_c) == pytest.approx(pks, abs=0.001)


# Their abstract gives -8.480 ± 0.020 for calcite at 25 °C; the others are in their table of constants.
@pytest.mark.parametrize(
    ("reaction", "printed"), [("calcite", -8.480), ("co2_gas", -1.468), ("CaHCO3+", 1.106), ("CaCO3", 3.224)]
)
def test_the_constants_at_25_degrees_are_the_printed_ones(reaction, printed):
    assert log_k(reaction, 25.0) == pytest.approx(printed, abs=0.001)


@pytest.mark.parametrize("temp_c", TEMPERATURES)
def test_water_splits_as_iapws_r11_07_says(temp_c):
    theirs = iapws_release._Kw(1000 * water_density_kg_l(temp_c), temp_c + 273.15)
    assert -log_k("water", temp_c) == pytest.approx(theirs, abs=1e-6)


@pytest.mark.parametrize("temp_c", TEMPERATURES)
def test_the_dielectric_constant_agrees_with_iapws_r8_97(temp_c):
    theirs = iapws_release._Dielectric(1000 * water_density_kg_l(temp_c), temp_c + 273.15)
    assert dielectric_constant(temp_c) == pytest.approx(
        theirs, rel=0.004
    )  # the two equations' own difference


@pytest.mark.parametrize("temp_c", TEMPERATURES)
def test_the_density_agrees_with_coolprop(temp_c):
    theirs = PropsSI("D", "T", temp_c + 273.15, "Q", 0, "Water") / 1000
    assert water_density_kg_l(temp_c) == pytest.approx(theirs, rel=1e-4)


# Standard Methods for the Examination of Water and Wastewater, 2330 B, table 2330:I rests on an older
# dielectric constant: 0.511 at 25 °C, and by its expression 0.5485 at 60 and 0.5960 at 93 °C.
@pytest.mark.parametrize(("temp_c", "theirs"), [(5, 0.4944), (25, 0.5108), (60, 0.5485), (93, 0.5960)])
def test_the_debye_hueckel_slope_is_near_that_of_standard_methods(temp_c, theirs):
    assert debye_hueckel(temp_c)[0] == pytest.approx(theirs, rel=0.012)


@given(st.floats(0, 0.1), st.floats(0, 150))
def test_every_ion_falls_short_of_its_molality_and_doubly_charged_ones_more(strength, temp_c):
    found = activity_coefficients(strength, *debye_hueckel(temp_c))
    assert found["neutral"] >= 1.0
    assert all(0.0 < found[ion] <= 1.0 for ion in IONS)
    assert found["Ca+2"] <= found["Na+"] and found["SO4-2"] <= found["Cl-"]


@pytest.mark.parametrize("reaction", REACTIONS)
@pytest.mark.parametrize("temp_c", [-0.1, 150.1, float("nan")])
def test_a_constant_is_not_carried_beyond_its_range(reaction, temp_c):
    with pytest.raises(BadInput) as refused:
        log_k(reaction, temp_c)
    assert refused.value.field == "temp_c"


def test_a_reaction_that_is_not_there_is_refused():
    with pytest.raises(BadInput, match="calcite"):
        log_k("limescale", 25.0)
