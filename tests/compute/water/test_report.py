"""The whole answer for one water: what is known, what is missing, what was assumed, and why."""

import json
import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.compute.errors import BadInput
from server.compute.water.report import PLACES, water_report
from server.compute.water.sample import RANGES, Sample
from tests.compute.water.waters import WATERS

KIT = Sample(hardness_mg_l_caco3=145.0, alkalinity_mg_l_caco3=107.0, ph=7.6)

# "SCA target" water: calcium 27.2, alkalinity 40, sodium 10, magnesium 5, chloride to balance, pH 7.0.
# PHREEQC (phreeqc.dat): -1.25, -0.41 and +0.08 at 25, 93 and 125 °C: even it is at the edge of scale in a
# steam boiler.
TARGET = Sample(
    calcium_mg_l=27.2,
    alkalinity_mg_l_caco3=40.0,
    sodium_mg_l=10.0,
    magnesium_mg_l=5.0,
    sulphate_mg_l=0.0,
    ph=7.0,
)


def test_even_the_standards_target_water_is_at_the_edge_of_scale_in_a_steam_boiler():
    found = water_report(TARGET)["si_calcite"]
    assert found["group"] == pytest.approx(-0.41, abs=0.02)
    assert found["steam"] == pytest.approx(0.08, abs=0.02)
    assert water_report(TARGET, group_temp_c=25.0)["si_calcite"]["group"] == pytest.approx(-1.25, abs=0.01)
    assert found["steam_concentrated"] > 1.0


@pytest.mark.parametrize(
    ("name", "group", "steam"),
    [("soft", -0.556, -0.166), ("medium", 0.605, 0.988), ("hard", 1.078, 1.493), ("alkaline", 1.332, 1.699)],
)
def test_the_four_waters_have_phreeqcs_index_at_group_and_steam(name, group, steam):
    found = water_report(WATERS[name])["si_calcite"]
    assert found["group"] == pytest.approx(group, abs=0.01)
    assert found["steam"] == pytest.approx(steam, abs=0.02)


def test_scale_is_at_most_what_a_litre_of_feed_can_give_times_the_litres():
    report = water_report(WATERS["medium"], litres_per_week=300.0)
    most = report["scale_g_per_week_at_most"]
    for out in (report["precipitates_mg_l_caco3"], report["precipitates_if_co2_escapes_mg_l_caco3"]):
        assert (
            most >= out["group"] * 0.3
            and most >= out["steam"] * 0.3
            and most >= out["steam_concentrated"] / 5 * 0.3
        )
    assert most <= 0.3 * report["alkalinity_mg_l_caco3"]
    doubled = water_report(WATERS["medium"], litres_per_week=600.0)["scale_g_per_week_at_most"]
    assert doubled == pytest.approx(2 * most)


def test_without_litres_there_is_no_scale_per_week():
    assert water_report(WATERS["medium"])["scale_g_per_week_at_most"] is None


def test_both_ends_of_the_concentration_are_told():
    report = water_report(KIT, steam_concentration=(2.0, 4.0))
    si = report["si_calcite"]
    assert si["steam"] < si["steam_concentrated_low"] < si["steam_concentrated"]
    assert not any("concentrates salts" in told for told in report["assumed"])


def test_the_index_is_shown_with_its_uncertainty_and_why():
    report = water_report(KIT)
    assert report["si_uncertainty"] == 0.3
    assert "90 °C" in report["si_uncertainty_because"] and "CO2" in report["si_uncertainty_because"]


def test_the_shortcut_stands_beside_by_name_and_is_higher():
    report = water_report(WATERS["medium"])
    shortcut = report["langelier_shortcut"]
    assert shortcut["group"] == pytest.approx(0.93, abs=0.01)
    assert shortcut["group"] > report["si_calcite"]["group"] + 0.2
    assert "not used" in shortcut["says"]


def test_what_a_kit_did_not_measure_stays_missing_while_the_index_is_told():
    report = water_report(KIT)
    assert report["calcium_mg_l"] is None and report["magnesium_mg_l"] is None
    assert report["charge_balance_pct"] is None
    assert report["si_calcite"]["group"] == pytest.approx(0.61, abs=0.05)
    assert report["used"]["calcium_mg_l"] == pytest.approx(43.5, abs=0.1)
    assert any("75%" in told for told in report["assumed"])
    assert report["fit"]["calcium_hardness_mg_l_caco3"]["verdict"] == "unknown"
    assert report["fit"]["hardness_mg_l_caco3"]["verdict"] == "within"


def test_with_nothing_measured_everything_is_missing_and_it_says_what_is_needed():
    report = water_report(Sample(), litres_per_week=100.0)
    assert report["si_calcite"] == dict.fromkeys(PLACES)
    assert report["scale_g_per_week_at_most"] is None and report["used"] is None
    assert any("needs a hardness" in doubt for doubt in report["doubts"])
    assert {entry["verdict"] for entry in report["fit"].values()} == {"unknown"}


def test_a_ph_and_an_alkalinity_that_contradict_each_other_leave_the_index_missing_with_a_doubt():
    report = water_report(replace(KIT, alkalinity_mg_l_caco3=1.0, ph=10.0))
    assert report["si_calcite"]["group"] is None
    assert report["hardness_mg_l_caco3"] == 145.0
    assert any("more alkalinity" in doubt for doubt in report["doubts"])


def test_each_figure_can_be_opened():
    report = water_report(WATERS["medium"], litres_per_week=300.0)
    why = {entry["figure"]: entry for entry in report["why"]}
    assert set(why) == {
        "hardness_mg_l_caco3",
        "alkalinity_mg_l_caco3",
        "si_calcite",
        "precipitates_mg_l_caco3",
        "scale_g_per_week_at_most",
    }
    assert why["hardness_mg_l_caco3"]["inputs"] == {"calcium_mg_l": 45, "magnesium_mg_l": 8}
    assert "Plummer & Busenberg" in why["si_calcite"]["source"]
    assert why["si_calcite"]["inputs"]["group_temp_c"] == 93.0
    assert any("90 °C" in told for told in why["si_calcite"]["assumed"])
    fed = [
        value for name, value in why["scale_g_per_week_at_most"]["inputs"].items() if name.endswith("of_feed")
    ]
    assert max(fed) * 300.0 / 1000.0 == pytest.approx(report["scale_g_per_week_at_most"])


def test_the_makers_limits_are_judged_by_name():
    report = water_report(
        WATERS["hard"], maker_limits={"hardness_max_mg_l_caco3": 100.0, "chloride_max_mg_l": 30.0}
    )
    assert report["maker"]["hardness_mg_l_caco3"]["verdict"] == "above"
    assert report["corrosion"]["chloride"]["verdict"] == "above"


def test_the_answer_carries_its_cautions():
    said = " ".join(water_report(KIT)["cautions"])
    assert "guide" in said and "maker" in said and "pressure" in said
    assert "safe" not in said


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        ({"group_temp_c": 151.0}, "group_temp_c"),
        ({"steam_temp_c": -1.0}, "steam_temp_c"),
        ({"steam_concentration": (5.0, 1.0)}, "steam_concentration"),
        ({"steam_concentration": (0.5, 5.0)}, "steam_concentration"),
        ({"litres_per_week": -1.0}, "litres_per_week"),
        ({"ranges": {"taste": {"low": 1.0}}}, "ranges"),
        ({"maker_limits": {"colour_max": 1.0}}, "maker_limits"),
    ],
)
def test_a_setting_that_cannot_be_is_refused_by_name(arguments, field):
    with pytest.raises(BadInput) as refused:
        water_report(KIT, **arguments)
    assert refused.value.field == field


FIGURES = {name: st.none() | st.floats(low, high) for name, (low, high, _) in RANGES.items()}


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.builds(Sample, **FIGURES), st.floats(60, 110), st.floats(100, 150))
def test_any_sample_in_range_gets_an_answer_that_json_can_carry(sample, group_temp_c, steam_temp_c):
    report = water_report(sample, group_temp_c, steam_temp_c, litres_per_week=100.0)
    json.dumps(report, allow_nan=False)
    for si in report["si_calcite"].values():
        assert si is None or math.isfinite(si)
