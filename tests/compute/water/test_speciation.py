"""Speciation against printed figures and a textbook anchor; what nature conserves; where it rises; what is refused."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.compute.errors import BadInput
from server.compute.water.equilibrium import Totals
from server.compute.water.ions import CALCITE_G_MOL
from server.compute.water.roots import falling_root, rising_root
from server.compute.water.saturation import SI_UNCERTAINTY, calcite_to_equilibrium_mg_l, saturation_at
from server.compute.water.speciation import as_sampled, closed, open_to_air, with_calcite
from tests.compute.water.waters import WATERS, random_water, solved

# Computed beforehand with PHREEQC (phreeqpython 1.6.2, phreeqc.dat): index and pH after closed heating, and
# signed precipitation potential in mg/L, at 25, 60, 93 and 125 °C.
PRINTED = {
    "soft": ([-1.320, -0.958, -0.556, -0.166], [7.40, 7.31, 7.32, 7.34], [-6.8, -6.8, -6.1, -2.5]),
    "medium": ([-0.066, 0.252, 0.605, 0.988], [7.60, 7.48, 7.46, 7.48], [-1.4, 7.2, 23.2, 44.3]),
    "hard": ([0.382, 0.706, 1.078, 1.493], [7.40, 7.29, 7.30, 7.37], [28.5, 61.1, 104.5, 147.5]),
    "alkaline": ([0.766, 1.029, 1.332, 1.699], [7.70, 7.54, 7.49, 7.53], [66.6, 104.5, 148.7, 184.1]),
}
TEMPERATURES = (25.0, 60.0, 93.0, 125.0)


@pytest.mark.parametrize("name", PRINTED)
def test_four_waters_have_their_printed_index_ph_and_potential(name):
    water = solved(WATERS[name])
    for temp_c, si, ph, potential in zip(TEMPERATURES, *PRINTED[name], strict=True):
        hot = closed(water.totals, temp_c)
        assert hot.si_calcite == pytest.approx(si, abs=0.01)
        assert hot.ph == pytest.approx(ph, abs=0.015)
        assert calcite_to_equilibrium_mg_l(water.totals, temp_c, 1.0) == pytest.approx(potential, abs=0.2)


# From the same source: CO2 escaped to 10^-3.4 atm, at 25 and 93 °C.
@pytest.mark.parametrize(
    ("name", "cold", "hot"),
    [("soft", -0.78, 0.30), ("medium", 0.77, 1.52), ("hard", 1.63, 2.10), ("alkaline", 1.84, 2.20)],
)
def test_where_co2_escapes_the_four_waters_have_their_printed_index(name, cold, hot):
    totals = solved(WATERS[name]).totals
    assert open_to_air(totals, 25.0, -3.4).si_calcite == pytest.approx(cold, abs=0.02)
    assert open_to_air(totals, 93.0, -3.4).si_calcite == pytest.approx(hot, abs=0.02)


def test_water_over_calcite_and_air_has_the_textbooks_ph_and_calcium():
    # pH 8.3 and 0.5 mmol/L: Stumm & Morgan, Aquatic Chemistry; Appelo & Postma, Geochemistry, Groundwater and
    # Pollution (both from memory, not verified); PHREEQC gives 8.275 and 0.496.
    water = with_calcite(Totals(), 25.0, -3.5)
    assert water.ph == pytest.approx(8.275, abs=0.05)
    assert water.totals.calcium * 1000 == pytest.approx(0.496, rel=0.03)
    assert water.si_calcite == pytest.approx(0.0, abs=1e-9)


SEEDS = st.integers(0, 10**6)
HOT = st.floats(0, 150)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(SEEDS, HOT)
def test_closed_heating_keeps_every_total(seed, temp_c):
    totals = solved(random_water(seed)).totals
    hot = closed(totals, temp_c)
    assert hot.totals.carbon == pytest.approx(totals.carbon, rel=1e-6)
    assert hot.totals.alkalinity == pytest.approx(totals.alkalinity, rel=1e-6)
    species = hot.molality
    calcium = sum(species[name] for name in ("Ca+2", "CaCO3", "CaHCO3+", "CaSO4", "CaOH+"))
    sulphate = sum(species[name] for name in ("SO4-2", "HSO4-", "CaSO4", "MgSO4", "NaSO4-", "KSO4-"))
    carbon = ("CO2", "HCO3-", "CO3-2", "CaCO3", "CaHCO3+", "MgCO3", "MgHCO3+", "NaCO3-", "NaHCO3")
    assert calcium == pytest.approx(totals.calcium, rel=1e-9)
    assert sulphate == pytest.approx(totals.sulphate, rel=1e-5)
    assert sum(species[name] for name in carbon) == pytest.approx(totals.carbon, rel=1e-6)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(SEEDS, HOT)
def test_laying_calcite_down_keeps_carbon_less_calcium_and_alkalinity_less_twice_calcium(seed, temp_c):
    before = solved(random_water(seed)).totals
    after = with_calcite(before, temp_c)
    moles = before.calcium - after.totals.calcium
    assert after.totals.carbon == pytest.approx(before.carbon - moles, rel=1e-5, abs=1e-9)
    assert after.totals.alkalinity == pytest.approx(before.alkalinity - 2 * moles, rel=1e-5, abs=1e-9)
    assert after.si_calcite == pytest.approx(0.0, abs=1e-6)
    assert (moles > 0) == (closed(before, temp_c).si_calcite > 0)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(SEEDS, HOT)
def test_cooled_back_the_water_is_what_it_was(seed, temp_c):
    sample = random_water(seed)
    there_and_back = closed(closed(solved(sample).totals, temp_c).totals, 25.0)
    assert there_and_back.ph == pytest.approx(sample.ph, abs=1e-5)


def indices(sample, temps_c):
    totals = solved(sample).totals
    return [closed(totals, temp_c).si_calcite for temp_c in temps_c]


@settings(max_examples=25, deadline=None, derandomize=True)
@given(SEEDS)
def test_the_index_rises_with_temperature_in_a_closed_vessel(seed):
    sample = random_water(seed)
    ordinary = indices(replace(sample, ph=min(sample.ph, 7.6)), range(10, 151, 20))
    hot = indices(sample, range(80, 151, 10))
    assert ordinary == sorted(ordinary)
    assert hot == sorted(hot)


def test_but_first_falls_where_little_alkalinity_holds_a_high_ph():
    # Such a water's pH drops fast as it warms. PHREEQC (phreeqc.dat): -2.47, -2.77, -2.82, -2.80, -2.65.
    poor = random_water(165)
    assert poor.bicarbonate_mg_l < 5 and poor.ph > 8
    found = indices(poor, (10.0, 50.0, 70.0, 90.0, 130.0))
    assert found == pytest.approx([-2.469, -2.773, -2.820, -2.803, -2.650], abs=0.02)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(SEEDS, st.sampled_from(("calcium_mg_l", "bicarbonate_mg_l", "ph")), st.floats(1.01, 1.04))
def test_the_index_rises_with_calcium_alkalinity_and_ph(seed, name, factor):
    sample = random_water(seed)
    more = replace(sample, **{name: getattr(sample, name) * factor})
    for temp_c in (25.0, 93.0):
        assert (
            closed(solved(more).totals, temp_c).si_calcite > closed(solved(sample).totals, temp_c).si_calcite
        )


@settings(max_examples=25, deadline=None, derandomize=True)
@given(SEEDS, HOT, st.floats(1, 10))
def test_co2_that_escapes_and_salts_that_stay_only_add_scale(seed, temp_c, factor):
    water = solved(random_water(seed))
    there = saturation_at(water.totals, temp_c, factor, 1.0)
    feed = saturation_at(water.totals, temp_c, 1.0, 1.0)
    assert there.precipitates_mg_l_caco3 >= factor * feed.precipitates_mg_l_caco3 - 1e-6
    assert there.most_mg_l_of_feed >= there.precipitates_mg_l_caco3 / factor
    bound = 1000 * CALCITE_G_MOL * min(water.totals.calcium, water.totals.alkalinity / 2)
    assert there.most_mg_l_of_feed <= bound


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.builds(
        Totals,
        calcium=st.floats(0, 0.02),
        magnesium=st.floats(0, 0.02),
        sodium=st.floats(0, 0.05),
        potassium=st.floats(0, 0.012),
        chloride=st.floats(0, 0.055),
        sulphate=st.floats(0, 0.02),
        alkalinity=st.floats(0, 0.03),
    ),
    st.floats(4, 11),
    st.floats(0, 100),
    HOT,
    st.floats(1, 10),
)
def test_no_water_in_range_ends_in_anything_but_numbers_or_a_named_refusal(totals, ph, cold_c, hot_c, factor):
    try:
        water = as_sampled(totals, ph, cold_c).totals
    except BadInput as refused:
        assert refused.field == "ph" and "alkalinity" in str(refused)
        return
    there = saturation_at(water, hot_c, factor, 1.0)
    figures = [there.ph, there.precipitates_mg_l_caco3, there.precipitates_if_co2_escapes_mg_l_caco3]
    figures += [si for si in (there.si, there.si_if_co2_escapes) if si is not None]
    assert all(math.isfinite(figure) for figure in figures)
    assert there.precipitates_mg_l_caco3 >= 0.0 and there.precipitates_if_co2_escapes_mg_l_caco3 >= 0.0


def test_without_calcium_there_is_no_index_of_calcite():
    water = as_sampled(Totals(sodium=1e-3, alkalinity=1e-3), 7.5, 25.0)
    assert water.si_calcite is None
    there = saturation_at(water.totals, 93.0, 1.0, 1.0)
    assert there.si is None and there.precipitates_mg_l_caco3 == 0.0


def test_pure_water_is_neutral():
    # pKw/2 at 25 °C: IAPWS R11-07.
    assert closed(Totals(), 25.0).ph == pytest.approx(6.997, abs=0.001)


def test_beyond_what_calcite_was_measured_at_the_answer_says_so():
    water = solved(WATERS["medium"]).totals
    assert any("measured to 90 °C" in told for told in saturation_at(water, 93.0, 1.0, 1.0).warnings)
    assert saturation_at(water, 90.0, 1.0, 1.0).warnings == ()


def test_water_too_salty_for_the_activity_law_says_so():
    brine = as_sampled(Totals(sodium=0.05, chloride=0.05, calcium=1e-3, alkalinity=2e-3), 7.5, 25.0).totals
    assert any("rough guide" in told for told in saturation_at(brine, 80.0, 5.0, 1.0).warnings)


def test_what_a_test_of_ph_leaves_open_is_inside_the_uncertainty_shown():
    # A paper or drop test of pH is read to 0.2 at best (common practice, no source).
    sample = WATERS["medium"]
    read = [closed(solved(replace(sample, ph=ph)).totals, 93.0).si_calcite for ph in (7.4, 7.6, 7.8)]
    assert 0.1 < max(abs(read[0] - read[1]), abs(read[2] - read[1])) <= SI_UNCERTAINTY


WATER = solved(WATERS["medium"]).totals


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: as_sampled(WATER, 3.9, 25.0), "ph"),
        (lambda: as_sampled(WATER, 11.1, 25.0), "ph"),
        (lambda: as_sampled(WATER, math.nan, 25.0), "ph"),
        (lambda: as_sampled(Totals(calcium=1e-3, chloride=2e-3, alkalinity=1e-5), 10.0, 25.0), "ph"),
        (lambda: closed(WATER, 150.1), "temp_c"),
        (lambda: closed(WATER, -1.0), "temp_c"),
        (lambda: open_to_air(WATER, 25.0, 0.5), "log_pco2"),
        (lambda: with_calcite(WATER, 25.0, -7.0), "log_pco2"),
        (lambda: saturation_at(WATER, 93.0, 0.9, 1.0), "concentration"),
        (lambda: saturation_at(WATER, 93.0, 10.1, 1.0), "concentration"),
        (lambda: saturation_at(WATER, 151.0, 1.0, 1.0), "temp_c"),
        (lambda: calcite_to_equilibrium_mg_l(WATER, 93.0, 0.5), "water_kg_l"),
    ],
)
def test_what_is_out_of_range_is_refused_by_name(call, field):
    with pytest.raises(BadInput) as refused:
        call()
    assert refused.value.field == field


def test_a_curve_without_a_crossing_is_refused_and_not_guessed():
    with pytest.raises(BadInput, match="no balance"):
        falling_root(lambda x: 1.0 + x * x, 0.0, 1.0, 1e-9)
    with pytest.raises(BadInput, match="no balance"):
        rising_root(lambda x: (-1.0 / x, 1.0 / x**2), 1.0)


@given(st.floats(0.01, 100), st.floats(0.05, 0.95))
def test_a_crossing_is_found_wherever_it_is(size, at):
    assert falling_root(lambda x: at * size - x, 0.0, size, 1e-12 * size) == pytest.approx(
        at * size, rel=1e-9
    )
