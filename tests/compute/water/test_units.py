"""Units of hardness and alkalinity, masses of salts: against `pint`, `periodictable` and published tables."""

import math

import periodictable
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.compute.errors import BadInput
from server.compute.water.ions import ATOMIC_MASS_G_MOL, MASS_G_MOL, molar_mass_g_mol
from server.compute.water.units import (
    ALKALINITY_UNITS,
    HARDNESS_UNITS,
    UNIT_LABELS,
    drops_mg_l_caco3,
    in_unit,
    mg_l_caco3,
)

UREG = pint.UnitRegistry()
FORMULAS = [
    "CaCO3",
    "CaO",
    "MgSO4.7H2O",
    "MgCl2.6H2O",
    "CaCl2.2H2O",
    "CaCl2",
    "CaSO4.2H2O",
    "NaHCO3",
    "KHCO3",
    "Ca(OH)2",
]


@pytest.mark.parametrize("formula", FORMULAS)
def test_a_formula_mass_is_that_of_periodictable(formula):
    theirs = periodictable.formula(
        formula.replace(".7H2O", "(H2O)7").replace(".6H2O", "(H2O)6").replace(".2H2O", "(H2O)2")
    )
    assert molar_mass_g_mol(formula) == pytest.approx(theirs.mass, rel=1e-5)


@pytest.mark.parametrize("element", ATOMIC_MASS_G_MOL)
def test_an_atomic_mass_is_that_of_periodictable(element):
    assert ATOMIC_MASS_G_MOL[element] == pytest.approx(getattr(periodictable, element).mass, rel=2e-5)


@pytest.mark.parametrize("formula", ["", "Epsom", "MgSO4·7H2O", "FeCl3", "mgso4", "MgSO4.", "(Ca", "7"])
def test_what_is_not_a_formula_of_these_elements_is_refused(formula):
    with pytest.raises(BadInput) as refused:
        molar_mass_g_mol(formula)
    assert refused.value.field == "salts"


def test_grains_per_gallon_are_those_of_pint():
    assert mg_l_caco3(1, "gpg") == pytest.approx(
        (1 * UREG.grain / UREG.US_liquid_gallon).to("mg/L").magnitude, rel=1e-9
    )
    assert mg_l_caco3(1, "clark") == pytest.approx(
        (1 * UREG.grain / UREG.imperial_gallon).to("mg/L").magnitude, rel=1e-9
    )


# General tables of water-hardness units print 17.85, 10, 14.25, 17.12 for one degree, and
# 1 mmol/L = 100.09 mg/L CaCO3 = 5.608 °dH = 10.01 °fH = 7.022 °e = 5.847 gpg.
@pytest.mark.parametrize(
    ("unit", "printed"), [("dh", 17.848), ("fh", 10.0), ("clark", 14.254), ("gpg", 17.118)]
)
def test_a_degree_is_what_the_tables_print(unit, printed):
    assert mg_l_caco3(1, unit) == pytest.approx(printed, abs=0.001)


@pytest.mark.parametrize(
    ("unit", "printed"),
    [("mg_l_caco3", 100.09), ("dh", 5.608), ("fh", 10.01), ("clark", 7.022), ("gpg", 5.847)],
)
def test_a_millimole_of_hardness_is_what_the_tables_print(unit, printed):
    assert in_unit(mg_l_caco3(1, "mmol_l"), unit) == pytest.approx(printed, abs=0.01)


def test_calcium_and_magnesium_weigh_as_standard_methods_2340_b_has_it():
    # 2.497 Ca + 4.118 Mg: Standard Methods for the Examination of Water and Wastewater, 2340 B.
    per_mg = {ion: mg_l_caco3(1 / MASS_G_MOL[ion], "mmol_l") for ion in ("calcium", "magnesium")}
    assert per_mg["calcium"] == pytest.approx(2.497, abs=0.001)
    assert per_mg["magnesium"] == pytest.approx(4.118, abs=0.001)


def test_bicarbonate_as_alkalinity_is_the_equivalent_of_half_a_calcium_carbonate():
    caco3, hco3 = (periodictable.formula(f).mass for f in ("CaCO3", "HCO3"))
    assert mg_l_caco3(100, "mg_l_hco3", of="alkalinity") == pytest.approx(100 * caco3 / 2 / hco3, rel=1e-5)


def test_a_millimole_of_alkalinity_is_half_a_millimole_of_hardness():
    assert mg_l_caco3(1, "mmol_l", of="alkalinity") * 2 == pytest.approx(mg_l_caco3(1, "mmol_l"))
    assert mg_l_caco3(1, "meq_l", of="alkalinity") == mg_l_caco3(1, "meq_l")


EVERY_UNIT = [("hardness", u) for u in HARDNESS_UNITS] + [("alkalinity", u) for u in ALKALINITY_UNITS]


@given(st.floats(0, 1e4), st.sampled_from(EVERY_UNIT))
def test_every_unit_goes_there_and_back(value, of_unit):
    of, unit = of_unit
    assert in_unit(mg_l_caco3(value, unit, of), unit, of) == pytest.approx(value, rel=1e-12)


def test_every_unit_has_a_label_to_show():
    assert set(UNIT_LABELS) == {*HARDNESS_UNITS, *ALKALINITY_UNITS}


def test_drops_count_by_the_leaflets_factor():
    assert drops_mg_l_caco3(8, 1.0, "dh") == mg_l_caco3(8, "dh")
    assert drops_mg_l_caco3(4, 10.0, "mg_l_caco3", of="alkalinity") == 40.0


@pytest.mark.parametrize(
    "drops, per_drop", [(-1, 1), (201, 1), (math.nan, 1), (5, 0), (5, -1), (5, math.inf)]
)
def test_drops_or_a_factor_that_cannot_be_are_refused(drops, per_drop):
    with pytest.raises(BadInput, match=r"drops|per_drop") as refused:
        drops_mg_l_caco3(drops, per_drop, "dh")
    assert refused.value.field == "hardness"


@pytest.mark.parametrize("value", [-0.1, math.nan, math.inf, "8"])
def test_a_value_that_cannot_be_is_refused(value):
    with pytest.raises(BadInput, match="at least 0"):
        mg_l_caco3(value, "dh")


def test_a_unit_that_is_not_of_this_property_is_refused_with_the_list():
    with pytest.raises(BadInput, match="mg_l_caco3, dh"):
        mg_l_caco3(5, "mg_l_hco3", of="hardness")
    with pytest.raises(BadInput):
        in_unit(5, "ppm", of="alkalinity")
