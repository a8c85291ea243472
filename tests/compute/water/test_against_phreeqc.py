"""Saturation, precipitation and pH of a seeded grid of waters against PHREEQC (phreeqc.dat).

Parkhurst & Appelo 2013, doi:10.3133/tm6A43. Wanted: index within 0.05 at 25, 60 and 93 °C, 0.10 at 125 °C;
what comes out within 2 mg/L or 3 %. Run with `-s` to read the quantiles of the errors.
"""

import pytest

from server.compute.water.ions import CALCITE_G_MOL
from server.compute.water.saturation import calcite_to_equilibrium_mg_l
from server.compute.water.speciation import closed, open_to_air
from tests.compute.water.waters import in_phreeqc, random_water, solved

SEEDS = range(72)
INDEX_WITHIN = {25: 0.05, 60: 0.05, 93: 0.05, 125: 0.10}
MOLES_OF_WATER = 1000 / 18.0153


def heated(solution, temp_c):
    hot = solution.copy()
    hot.change_temperature(temp_c)
    return hot


def concentrated(solution, factor):
    """The same salts in less water."""
    strong = solution.copy()
    strong.add("H2O", -MOLES_OF_WATER * (1 - 1 / factor), "mol")
    return strong


def came_out_mg_per_kg(solution):
    """CaCO3 that PHREEQC lets out of a kg until calcite's index is 0; it may not dissolve any ([0] in place)."""
    calcium = solution.total("Ca", "mmol")
    solution.equalize(["Calcite"], [0], [0])
    return (calcium - solution.total("Ca", "mmol")) * CALCITE_G_MOL


def tell(name, errors):
    """Print the quantiles of some errors; give the largest."""
    sizes = sorted(abs(error) for error in errors)
    at = {
        f"{share:.0%}": sizes[min(len(sizes) - 1, int(share * len(sizes)))] for share in (0.5, 0.9, 0.99, 1.0)
    }
    print(f"{name}: n={len(sizes)} " + " ".join(f"{label} {value:.4f}" for label, value in at.items()))
    return sizes[-1]


def precipitation_error(mine, theirs):
    """As a share of what is allowed: 2 mg/L or 3 %, whichever is more."""
    return (mine - theirs) / max(2.0, 0.03 * theirs)


@pytest.fixture(scope="module")
def grid(phreeqc):
    samples = [random_water(seed) for seed in SEEDS]
    return [(solved(sample), in_phreeqc(phreeqc, sample)) for sample in samples]


def test_the_grid_runs_from_soft_to_very_hard_and_from_hungry_to_scaling(grid):
    hardness = [100.09e3 * (water.totals.calcium + water.totals.magnesium) for water, _ in grid]
    index = [closed(water.totals, 25.0).si_calcite for water, _ in grid]
    assert len(grid) >= 60
    assert min(hardness) < 20 and max(hardness) > 500
    assert min(index) < -2 and max(index) > 0.5


@pytest.mark.parametrize("temp_c", INDEX_WITHIN)
def test_the_index_after_closed_heating_is_that_of_phreeqc(grid, temp_c):
    pairs = [(closed(water.totals, temp_c), heated(theirs, temp_c)) for water, theirs in grid]
    worst = tell(f"SI at {temp_c} °C", [mine.si_calcite - theirs.si("Calcite") for mine, theirs in pairs])
    worst_ph = tell(f"pH at {temp_c} °C", [mine.ph - theirs.pH for mine, theirs in pairs])
    assert worst <= INDEX_WITHIN[temp_c]
    assert worst_ph <= 0.03


@pytest.mark.parametrize("temp_c", INDEX_WITHIN)
def test_what_comes_out_is_what_phreeqc_lets_out(grid, temp_c):
    pairs = []
    for water, theirs in grid:
        mine = max(0.0, calcite_to_equilibrium_mg_l(water.totals, temp_c, 1.0))
        pairs.append((mine, came_out_mg_per_kg(heated(theirs, temp_c))))
    tell(f"CaCO3 out at {temp_c} °C, mg/kg", [mine - theirs for mine, theirs in pairs])
    assert tell("... as a share of what is allowed", [precipitation_error(*pair) for pair in pairs]) <= 1.0
    assert sum(theirs > 5.0 for _, theirs in pairs) >= 10


def test_five_times_concentrated_in_a_steam_boiler_it_still_agrees(grid):
    index, out = [], []
    for water, theirs in grid:
        strong = heated(concentrated(theirs, 5.0), 125.0)
        totals = water.totals.times(5.0)
        index.append(closed(totals, 125.0).si_calcite - strong.si("Calcite"))
        mine = max(0.0, calcite_to_equilibrium_mg_l(totals, 125.0, 1.0))
        # What is left after the removal of water is a fifth of a kg, and PHREEQC counts moles in all of it.
        out.append(precipitation_error(mine, 5 * came_out_mg_per_kg(strong)))
    assert tell("SI at 125 °C, salts x 5", index) <= 0.10
    assert tell("CaCO3 out at 125 °C, salts x 5, share of what is allowed", out) <= 1.0


@pytest.mark.parametrize("temp_c", [25, 93])
def test_where_co2_escapes_the_index_is_that_of_phreeqc(grid, temp_c):
    errors = []
    for water, theirs in grid:
        vented = heated(theirs, temp_c)
        vented.equalize(["CO2(g)"], [-3.4], [10])
        errors.append(open_to_air(water.totals, temp_c, -3.4).si_calcite - vented.si("Calcite"))
    assert tell(f"SI at {temp_c} °C, CO2 gone to 10^-3.4 atm", errors) <= 0.05
