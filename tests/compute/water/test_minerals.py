"""Salts by hydrate, against `periodictable`, tables and PHREEQC's totals; what can't be reached is refused."""

import periodictable
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.compute.errors import BadInput
from server.compute.water.checks import charges_meq_l
from server.compute.water.ions import CALCITE_G_MOL, EQUIVALENT_CACO3_G, MASS_G_MOL
from server.compute.water.minerals import SALTS, dissolved_mg_l, mineral_plan, recipe
from server.compute.water.sample import Sample

# mg/L CaCO3 that 100 mg/L of a salt gives, hardness and alkalinity: from formula masses (periodictable).
PER_100_MG = {
    "MgSO4.7H2O": (40.608, 0),
    "MgCl2.6H2O": (49.232, 0),
    "CaCl2.2H2O": (68.082, 0),
    "CaCl2": (90.185, 0),
    "CaSO4.2H2O": (58.134, 0),
    "NaHCO3": (0, 59.571),
    "KHCO3": (0, 49.986),
}


@pytest.mark.parametrize("salt", PER_100_MG)
def test_a_salt_gives_the_hardness_and_alkalinity_of_the_tables(salt):
    ions = dissolved_mg_l(salt, 100.0)
    hardness = sum(ions.get(name, 0) / MASS_G_MOL[name] for name in ("calcium", "magnesium")) * CALCITE_G_MOL
    alkalinity = ions.get("bicarbonate", 0) / MASS_G_MOL["bicarbonate"] * EQUIVALENT_CACO3_G
    assert (hardness, alkalinity) == pytest.approx(PER_100_MG[salt], rel=1e-4)


@pytest.mark.parametrize("salt", SALTS)
def test_a_salts_ions_weigh_what_periodictable_says_and_are_neutral(salt):
    formula = salt.replace(".7H2O", "(H2O)7").replace(".6H2O", "(H2O)6").replace(".2H2O", "(H2O)2")
    water = periodictable.formula(formula).atoms.get(periodictable.H, 0) if "H2O" in salt else 0
    ions = dissolved_mg_l(salt, periodictable.formula(formula).mass)
    assert sum(ions.values()) == pytest.approx(
        periodictable.formula(formula).mass - water / 2 * periodictable.formula("H2O").mass, rel=1e-4
    )
    cations, anions = charges_meq_l(ions)
    assert cations == pytest.approx(anions, rel=1e-9)


def test_the_hydrate_matters_by_a_third_and_by_a_half():
    by_salt = {salt: recipe(100.0, 0.0, 0.0, 1.0, [salt])[0][salt] for salt in ("CaCl2", "CaCl2.2H2O")}
    assert by_salt["CaCl2.2H2O"] / by_salt["CaCl2"] == pytest.approx(1.325, abs=0.001)
    by_salt = {salt: recipe(100.0, 0.0, 1.0, 1.0, [salt])[0][salt] for salt in ("MgSO4", "MgSO4.7H2O")}
    assert by_salt["MgSO4.7H2O"] / by_salt["MgSO4"] == pytest.approx(2.048, abs=0.001)


def test_eighty_of_hardness_takes_197_mg_of_epsom_salt_a_litre():
    grams, ions = recipe(80.0, 0.0, 1.0, 10.0, ["MgSO4.7H2O"])
    assert grams["MgSO4.7H2O"] == pytest.approx(1.970, abs=0.001)
    assert ions["magnesium"] == pytest.approx(19.43, abs=0.01)


def test_phreeqc_finds_in_the_finished_water_what_was_wanted(phreeqc):
    grams, _ = recipe(90.0, 45.0, 0.6, 5.0, ["MgSO4.7H2O", "CaCl2.2H2O", "NaHCO3", "KHCO3"])
    moles = {  # per kg of water, by periodictable's formula masses and not by ours
        salt: grams[salt] / 5.0 / periodictable.formula(formula).mass * 1000
        for salt, formula in (
            ("MgSO4.7H2O", "MgSO4(H2O)7"),
            ("CaCl2.2H2O", "CaCl2(H2O)2"),
            ("NaHCO3", "NaHCO3"),
            ("KHCO3", "KHCO3"),
        )
    }
    water = phreeqc.add_solution_simple(
        {
            "MgSO4": moles["MgSO4.7H2O"],
            "CaCl2": moles["CaCl2.2H2O"],
            "NaHCO3": moles["NaHCO3"],
            "KHCO3": moles["KHCO3"],
        },
        temperature=25,
    )
    magnesium, calcium = (water.total(element, "mmol") * 100.087 for element in ("Mg", "Ca"))
    assert magnesium + calcium == pytest.approx(90.0, rel=5e-4)
    assert magnesium / (magnesium + calcium) == pytest.approx(0.6, rel=5e-4)
    assert water.total_element("C", "mmol") * 50.043 == pytest.approx(45.0, rel=5e-4)


JARS = ["MgSO4.7H2O", "MgCl2.6H2O", "CaCl2.2H2O", "CaSO4.2H2O", "NaHCO3", "KHCO3"]


@given(st.floats(0, 300), st.floats(0, 200), st.floats(0, 1), st.floats(0.5, 1000))
def test_the_finished_water_is_the_target_and_grams_go_with_the_litres(hardness, alkalinity, share, litres):
    plan = mineral_plan(hardness, alkalinity, share, litres, JARS)
    assert plan["hardness_mg_l_caco3"] == pytest.approx(hardness, abs=0.021)
    assert plan["alkalinity_mg_l_caco3"] == pytest.approx(alkalinity, abs=0.011)
    assert all(mass >= 0.0 for mass in plan["grams"].values())
    for name, mass in plan["grams"].items():
        assert mass == pytest.approx(plan["mg_per_litre"][name] * litres / 1000)
    cations, anions = charges_meq_l({name.removesuffix("_mg_l"): mg for name, mg in plan["ions"].items()})
    assert cations == pytest.approx(anions, rel=1e-9, abs=1e-9)


def test_the_water_one_starts_from_counts():
    start = Sample(calcium_mg_l=8.0, magnesium_mg_l=0.0, alkalinity_mg_l_caco3=20.0, sodium_mg_l=3.0)
    grams, ions = recipe(100.0, 50.0, 0.6, 1.0, ["MgSO4.7H2O", "CaCl2.2H2O", "NaHCO3"], start)
    alone, _ = recipe(100.0, 50.0, 0.6, 1.0, ["MgSO4.7H2O", "CaCl2.2H2O", "NaHCO3"])
    assert grams["CaCl2.2H2O"] == pytest.approx(alone["CaCl2.2H2O"] * (40 - 8 * 2.4973) / 40, rel=1e-3)
    assert grams["NaHCO3"] == pytest.approx(alone["NaHCO3"] * 0.6, rel=1e-6)
    assert ions["sodium"] == pytest.approx(3.0 + grams["NaHCO3"] * 1000 * 22.99 / 84.006, rel=1e-4)


def test_without_a_share_the_one_kind_of_hard_salt_decides():
    start = Sample(hardness_mg_l_caco3=8.0, alkalinity_mg_l_caco3=8.0)
    _, ions = recipe(80.0, 40.0, None, 1.0, ["MgSO4.7H2O", "NaHCO3"], start)
    assert ions["calcium"] == pytest.approx(6.0 / 2.4973, rel=1e-3)  # what was there: three quarters of 8
    assert (ions["magnesium"] * 4.1179 + ions["calcium"] * 2.4973) == pytest.approx(80.0, rel=1e-3)
    assert recipe(50.0, 0.0, None, 1.0, ["CaCl2"])[1]["magnesium"] == 0.0


@pytest.mark.parametrize(
    ("arguments", "field", "words"),
    [
        ((80, 40, 0.5, 1, ["MgSO4.7H2O", "NaHCO3"]), "salts", "none of these gives calcium"),
        ((80, 40, 1.0, 1, ["MgSO4.7H2O"]), "salts", "none of these gives alkalinity"),
        ((80, 40, None, 1, ["MgSO4.7H2O", "CaCl2", "NaHCO3"]), "magnesium_share", "give both"),
        ((80, 40, 1.0, 1, ["Epsom"]), "salts", "must be one of"),
        ((80, 40, 1.0, 1, ["MgSO4.5H2O"]), "salts", "must be one of"),
        ((80, 40, 1.2, 1, ["MgSO4.7H2O"]), "magnesium_share", "from 0 to 1"),
        ((80, 40, 1.0, 0, ["MgSO4.7H2O"]), "litres", "from"),
        ((-1, 40, 1.0, 1, ["MgSO4.7H2O"]), "hardness_mg_l_caco3", "from 0"),
        ((80, 4000, 1.0, 1, ["MgSO4.7H2O"]), "alkalinity_mg_l_caco3", "from 0"),
        (
            (80, 10, 1.0, 1, ["MgSO4.7H2O"], Sample(calcium_mg_l=0, alkalinity_mg_l_caco3=30)),
            "target",
            "more alkalinity",
        ),
        (
            (80, 40, 1.0, 1, ["MgSO4.7H2O"], Sample(calcium_mg_l=9, alkalinity_mg_l_caco3=30)),
            "target",
            "more calcium",
        ),
        ((80, 40, 1.0, 1, ["MgSO4.7H2O"], Sample(alkalinity_mg_l_caco3=30)), "start", "needs a hardness"),
    ],
)
def test_a_target_that_these_jars_cannot_reach_is_refused_with_the_reason(arguments, field, words):
    with pytest.raises(BadInput, match=words) as refused:
        recipe(*arguments)
    assert refused.value.field == field


def test_too_little_to_weigh_is_doubted():
    assert "too little to weigh" in mineral_plan(80.0, 40.0, 1.0, 1.0, ["MgSO4.7H2O", "NaHCO3"])["doubts"][0]
    assert mineral_plan(80.0, 40.0, 1.0, 20.0, ["MgSO4.7H2O", "NaHCO3"])["doubts"] == []
