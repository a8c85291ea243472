"""What was measured, what follows from it, what has to be assumed, and whether the figures go together."""

import math
from dataclasses import replace

import periodictable
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.compute.errors import BadInput
from server.compute.water.analysis import complete
from server.compute.water.checks import (
    charge_balance_pct,
    charges_meq_l,
    conductivity_us_cm,
    dissolved_solids_mg_l,
    doubts,
    ions_mg_l,
)
from server.compute.water.sample import RANGES, Sample, alkalinity_of, cation_of, hardness_of, read_sample
from tests.compute.water.waters import WATERS, in_phreeqc

# The four waters, worked by hand: hardness and alkalinity [mg/L CaCO3], excess of cations [meq/L], dry
# residue [mg/L].
PRINTED = {
    "soft": (38.2, 28.7, 0.10, 59),
    "medium": (145.3, 106.6, 0.04, 194),
    "hard": (348.8, 237.9, 0.34, 429),
    "alkaline": (315.2, 393.7, 0.07, 540),
}


@pytest.mark.parametrize("name", PRINTED)
def test_the_four_waters_have_their_hardness_alkalinity_charges_and_residue(name):
    sample, (hardness, alkalinity, excess, residue) = WATERS[name], PRINTED[name]
    cations, anions = charges_meq_l(ions_mg_l(sample))
    assert hardness_of(sample) == pytest.approx(hardness, abs=0.06)
    assert alkalinity_of(sample) == pytest.approx(alkalinity, abs=0.06)
    assert cations - anions == pytest.approx(excess, abs=0.006)
    assert dissolved_solids_mg_l(sample)[0] == pytest.approx(residue, abs=0.6)


@pytest.mark.parametrize("name", PRINTED)
def test_conductivity_from_the_ions_is_near_that_of_phreeqc(name, phreeqc):
    theirs = in_phreeqc(phreeqc, WATERS[name]).sc
    assert conductivity_us_cm(ions_mg_l(WATERS[name])) == pytest.approx(theirs, rel=0.06)


def test_the_conductivity_standard_comes_out_as_on_its_bottle():
    # 0.01 mol/L KCl, 1413 µS/cm at 25 °C: the usual calibration standard (OIML R 56; from memory, not
    # verified).
    assert conductivity_us_cm({"potassium": 390.98, "chloride": 354.5}) == pytest.approx(1413, rel=0.005)


def test_drying_loses_half_the_bicarbonate_and_a_little_more():
    # 2 HCO3- -> CO3-2 + H2O + CO2 keeps 60.01 of 122.03 g.
    kept = periodictable.formula("CO3").mass / (2 * periodictable.formula("HCO3").mass)
    with_it, without = (
        replace(WATERS["medium"], bicarbonate_mg_l=100.0),
        replace(WATERS["medium"], bicarbonate_mg_l=0.0),
    )
    lost = dissolved_solids_mg_l(with_it)[0] - dissolved_solids_mg_l(without)[0]
    assert lost == pytest.approx(100.0 * kept, rel=1e-4)


def test_what_was_not_measured_stays_unknown():
    only_calcium = Sample(calcium_mg_l=40.0)
    assert hardness_of(only_calcium) is None
    assert cation_of(only_calcium, "magnesium") is None
    assert alkalinity_of(only_calcium) is None
    assert charge_balance_pct(replace(WATERS["medium"], chloride_mg_l=None)) is None
    assert dissolved_solids_mg_l(only_calcium) is None


def test_hardness_and_one_cation_give_the_other():
    sample = Sample(hardness_mg_l_caco3=145.32, calcium_mg_l=45.0)
    assert cation_of(sample, "magnesium") == pytest.approx(8.0, abs=0.01)
    assert cation_of(Sample(hardness_mg_l_caco3=145.32, magnesium_mg_l=8.0), "calcium") == pytest.approx(
        45, abs=0.01
    )


def test_a_kit_a_label_and_a_lab_read_the_same_water_alike():
    kit = read_sample({"hardness": {"drops": 8, "per_drop": 1.0, "unit": "dh"}})
    lab = read_sample({"hardness": {"value": 8 * 17.848, "unit": "mg_l_caco3"}})
    assert hardness_of(kit) == pytest.approx(hardness_of(lab), abs=0.01)
    label = read_sample(
        {"bicarbonate_mg_l": 130.0, "sampled_at": "2026-03-01T08:00:00+01:00", "note": "label"}
    )
    acid = read_sample({"alkalinity": {"value": 2.1305, "unit": "mmol_l"}})
    assert alkalinity_of(label) == pytest.approx(alkalinity_of(acid), abs=0.02)


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"hardness": {"unit": "dh"}}, "hardness"),
        ({"hardness": {"drops": 5, "unit": "dh"}}, "hardness"),
        ({"hardness": {"value": 5, "unit": "ppm"}}, "hardness"),
        ({"hardness": {"value": 200, "unit": "dh"}}, "hardness"),
        ({"alkalinity": {"value": -1, "unit": "dh"}}, "alkalinity"),
        ({"ph": 3.0}, "ph"),
        ({"ph": math.nan}, "ph"),
        ({"calcium_mg_l": -1.0}, "calcium_mg_l"),
        ({"chloride_mg_l": 1e6}, "chloride_mg_l"),
    ],
)
def test_a_figure_that_cannot_be_is_refused_by_its_field(fields, field):
    with pytest.raises(BadInput) as refused:
        read_sample(fields)
    assert refused.value.field == field


def test_a_kit_alone_is_completed_and_every_assumption_listed():
    found = complete(Sample(hardness_mg_l_caco3=100.0, alkalinity_mg_l_caco3=80.0))
    said = " ".join(found.assumed)
    for word in ("75%", "calcium", "Chloride", "close the charges", "sodium", "pH 7.5", "25 °C"):
        assert word in said
    cations, anions = charges_meq_l(found.ions)
    assert cations == pytest.approx(anions, rel=1e-9)


def test_too_much_alkalinity_for_the_hardness_is_closed_with_sodium():
    found = complete(Sample(hardness_mg_l_caco3=10.0, alkalinity_mg_l_caco3=100.0, ph=8.0))
    assert found.ions["sodium"] == pytest.approx(90 / 50.043 * 22.99, rel=1e-3)
    assert any(told.startswith("Sodium") for told in found.assumed)


def test_a_full_analysis_is_used_as_it_is_and_not_balanced():
    found = complete(replace(WATERS["hard"], temp_c=25.0))
    assert found.assumed == ("Alkalinity is all bicarbonate, as the label has it.",)
    assert found.ions["chloride"] == 45 and found.ions["sodium"] == 25


@pytest.mark.parametrize(
    "sample",
    [
        Sample(),
        Sample(hardness_mg_l_caco3=100.0),
        Sample(alkalinity_mg_l_caco3=80.0),
        Sample(magnesium_mg_l=5),
    ],
)
def test_without_hardness_or_without_alkalinity_nothing_is_made_up(sample):
    assert complete(sample) is None


def test_a_share_of_calcium_above_all_is_refused():
    with pytest.raises(BadInput, match="calcium_share"):
        complete(Sample(hardness_mg_l_caco3=100.0, alkalinity_mg_l_caco3=80.0), 1.1)


def test_a_good_analysis_raises_no_doubt():
    good = replace(WATERS["medium"], conductivity_us_cm=364, dry_residue_mg_l=190)
    assert doubts(good) == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"chloride_mg_l": 80.0}, "more negative charge"),
        ({"sodium_mg_l": 60.0}, "more positive charge"),
        ({"conductivity_us_cm": 700}, "conductivity of about"),
        ({"dry_residue_mg_l": 400}, "dry residue of about"),
        ({"hardness_mg_l_caco3": 250.0}, "one of the three was misread"),
        ({"alkalinity_mg_l_caco3": 60.0}, "Alkalinity and bicarbonate"),
        ({"hardness_mg_l_caco3": 90.0, "magnesium_mg_l": None}, "more than the hardness"),
    ],
)
def test_figures_that_contradict_each_other_raise_a_doubt(change, words):
    assert any(words in doubt for doubt in doubts(replace(WATERS["medium"], **change)))


FIGURES = {name: st.none() | st.floats(low, high) for name, (low, high, _) in RANGES.items()}


@given(st.builds(Sample, **FIGURES))
def test_no_sample_in_range_gives_anything_but_finite_figures(sample):
    figures = [
        hardness_of(sample),
        alkalinity_of(sample),
        charge_balance_pct(sample),
        *ions_mg_l(sample).values(),
    ]
    solids = dissolved_solids_mg_l(sample)
    assert all(math.isfinite(figure) for figure in figures if figure is not None)
    assert solids is None or (math.isfinite(solids[0]) and solids[0] >= 0.0)
    assert all(isinstance(doubt, str) for doubt in doubts(sample))
