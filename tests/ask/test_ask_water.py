"""The questions `water`, `blend`, `minerals` and `cartridge`, as a script or a phone asks them."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.ask.question import QuestionRefused
from server.ask.registry import questions
from tests.ask.fields import top

ASK = questions()
TAP = {
    "sampled_at": "2026-03-01T08:00:00+01:00",
    "source": "tap",
    "calcium_mg_l": 110,
    "magnesium_mg_l": 18,
    "sodium_mg_l": 25,
    "potassium_mg_l": 3,
    "bicarbonate_mg_l": 290,
    "chloride_mg_l": 45,
    "sulphate_mg_l": 85,
    "ph": 7.4,
}
SOFTENED = {
    "hardness": {"value": 5, "unit": "mg_l_caco3"},
    "alkalinity": {"value": 6, "unit": "mg_l_caco3"},
    "ph": 6.3,
}
SALTS = ["MgSO4.7H2O", "CaCl2.2H2O", "NaHCO3"]


def ask(name, body):
    """The answer, having gone through JSON as on the wire: no NaN, no infinity, no odd type."""
    return json.loads(json.dumps(ASK[name].ask(json.loads(json.dumps(body))), allow_nan=False))


def test_water_answers_the_fields_that_scripts_rely_on():
    answer = ask("water", {**TAP, "litres_per_week": 200})
    assert answer["hardness_mg_l_caco3"] == pytest.approx(348.8, abs=0.1)
    assert answer["alkalinity_mg_l_caco3"] == pytest.approx(237.9, abs=0.1)
    assert (answer["calcium_mg_l"], answer["magnesium_mg_l"]) == (110, 18)
    assert answer["charge_balance_pct"] == pytest.approx(2.15, abs=0.01)
    # PHREEQC (phreeqc.dat), closed heating: +1.078 at 93 and +1.493 at 125 °C, 104.5 and 147.5 mg/kg come
    # out.
    for key, group, steam, within in (
        ("si_calcite", 1.078, 1.493, 0.01),
        ("precipitates_mg_l_caco3", 104.5, 147.5, 0.3),
    ):
        assert {"group", "steam", "steam_concentrated"} <= set(answer[key])
        assert answer[key]["group"] == pytest.approx(group, abs=within)
        assert answer[key]["steam"] == pytest.approx(steam, abs=within)
    assert 0.2 * 147.5 < answer["scale_g_per_week_at_most"] <= 0.2 * 237.9
    assert set(answer["fit"]["hardness_mg_l_caco3"]) == {"value", "low", "high", "verdict", "source"}
    assert answer["corrosion"]["chloride"]["verdict"] == "unknown"
    assert answer["assumed"] and answer["si_uncertainty"] == 0.3


def test_drops_of_a_kit_and_a_gauge_on_the_boiler_are_enough():
    kit = {
        "hardness": {"drops": 8, "per_drop": 1, "unit": "dh"},
        "alkalinity": {"drops": 6, "per_drop": 1, "unit": "dh"},
        "ph": 7.5,
    }
    answer = ask("water", {**kit, "steam_gauge_bar": 1.3})
    why = next(entry for entry in answer["why"] if entry["figure"] == "si_calcite")
    assert answer["hardness_mg_l_caco3"] == pytest.approx(142.8, abs=0.1)
    # IAPWS-IF97: 2.31325 bar absolute boils at 124.9 °C.
    assert why["inputs"]["steam_temp_c"] == pytest.approx(124.9, abs=0.1)
    assert answer["calcium_mg_l"] is None and answer["si_calcite"]["group"] is not None


def test_what_is_not_measured_comes_back_as_null_and_never_as_zero():
    answer = ask("water", {"ph": 7.0})
    for name in ("hardness_mg_l_caco3", "alkalinity_mg_l_caco3", "calcium_mg_l", "charge_balance_pct"):
        assert answer[name] is None
    assert set(answer["si_calcite"].values()) == {None}


def test_a_machines_limits_and_own_ranges_are_judged():
    limits = {"hardness_max_mg_l_caco3": 100, "chloride_max_mg_l": 30, "ph_min": None}
    answer = ask("water", {**TAP, "maker_limits": limits, "ranges": {"ph": {"low": 7.0}}})
    assert answer["corrosion"]["chloride"]["verdict"] == "above"
    assert answer["maker"]["hardness_mg_l_caco3"]["verdict"] == "above"
    assert answer["fit"]["ph"]["verdict"] == "within"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"ca": 40}, "ca"),
        ({"calcium_mg_l": "40"}, "calcium_mg_l"),
        ({"calcium_mg_l": -1}, "calcium_mg_l"),
        ({"ph": 3}, "ph"),
        ({"hardness": 8}, "hardness"),
        ({"hardness": {"value": 8}}, "hardness"),
        ({"hardness": {"value": 8, "unit": "ppm"}}, "hardness"),
        ({"hardness": {"unit": "dh"}}, "hardness"),
        ({"hardness": {"value": 2000, "unit": "dh"}}, "hardness"),
        ({"steam_concentration": [5, 1]}, "steam_concentration"),
        ({"steam_concentration": [1]}, "steam_concentration"),
        ({"steam_gauge_bar": 1, "steam_temp_c": 125}, "steam_gauge_bar"),
        ({"maker_limits": {"colour_max": 3}}, "maker_limits"),
        ({"ranges": {"taste": {"low": 3}}}, "ranges"),
        ({"ranges": {"ph": {"low": 8, "high": 6}}}, "ranges"),
    ],
)
def test_a_water_that_cannot_be_is_refused_by_its_field(change, field):
    with pytest.raises(QuestionRefused) as refused:
        ask("water", {**TAP, **change})
    assert top(refused.value.errors) == {field}


def test_a_blend_finds_its_share_and_reports_the_mix():
    answer = ask("blend", {"first": TAP, "second": SOFTENED, "target": {"hardness_mg_l_caco3": 68}})
    assert answer["share_first"] == pytest.approx((68 - 5) / (348.823 - 5), abs=1e-5)
    assert answer["hardness_mg_l_caco3"] == pytest.approx(68)
    assert answer["misses"] == []
    # Not the mean of 7.4 and 6.3 by share (6.50), nor of the two indices.
    assert answer["ph"] == pytest.approx(7.07, abs=0.02)
    ends = [ask("water", water)["si_calcite"]["group"] for water in (TAP, SOFTENED)]
    mean = answer["share_first"] * ends[0] + (1 - answer["share_first"]) * ends[1]
    assert answer["si_calcite"]["group"] - mean > 1.0


def test_a_blend_that_misses_says_why():
    answer = ask("blend", {"first": TAP, "second": SOFTENED, "target": {"hardness_mg_l_caco3": 500}})
    assert answer["share_first"] == 1.0
    assert "no mix reaches 500" in answer["misses"][0]


def test_a_share_may_be_given_in_place_of_a_target():
    answer = ask("blend", {"first": TAP, "second": SOFTENED, "share_first": 0.5})
    assert answer["hardness_mg_l_caco3"] == pytest.approx((348.823 + 5) / 2, abs=0.01)


def test_each_waters_own_doubts_stay_in_sight():
    odd = {**TAP, "sodium_mg_l": 200}
    answer = ask("blend", {"first": odd, "second": SOFTENED, "share_first": 0.5})
    assert any(doubt.startswith("First water: There is") for doubt in answer["doubts"])


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"first": TAP, "second": SOFTENED}, "target"),
        (
            {"first": TAP, "second": SOFTENED, "target": {"hardness_mg_l_caco3": 68}, "share_first": 0.5},
            "target",
        ),
        ({"first": TAP, "second": SOFTENED, "target": {"ph": 7}}, "target"),
        ({"first": TAP, "second": SOFTENED, "target": {"hardness_mg_l_caco3": "68"}}, "target"),
        ({"first": TAP, "second": SOFTENED, "target": {"sodium_mg_l": 5}}, "second"),
        ({"first": TAP, "second": {"hardness": {"value": 900, "unit": "dh"}}, "share_first": 0.5}, "second"),
        ({"first": TAP, "share_first": 0.5}, "second"),
        ({"first": TAP, "second": SOFTENED, "share_first": 1.5}, "share_first"),
    ],
)
def test_a_blend_that_cannot_be_asked_is_refused_by_its_field(body, field):
    with pytest.raises(QuestionRefused) as refused:
        ask("blend", body)
    assert top(refused.value.errors) == {field}


def test_minerals_weigh_out_a_target_and_show_the_finished_water():
    target = {"hardness_mg_l_caco3": 80, "alkalinity_mg_l_caco3": 40, "magnesium_share": 1}
    answer = ask("minerals", {"target": target, "litres": 10, "salts": SALTS})
    # Standard factors: 2.46254 mg of the heptahydrate and 1.67867 mg of NaHCO3 per mg/L as CaCO3.
    assert answer["grams"]["MgSO4.7H2O"] == pytest.approx(80 * 2.46254 / 100, rel=1e-4)
    assert answer["grams"]["NaHCO3"] == pytest.approx(40 * 1.67867 / 100, rel=1e-4)
    assert answer["grams"]["CaCl2.2H2O"] == 0
    assert answer["ions"]["sodium_mg_l"] == pytest.approx(40 * 0.4594, abs=0.01)
    assert answer["hardness_mg_l_caco3"] == pytest.approx(80) and answer[
        "alkalinity_mg_l_caco3"
    ] == pytest.approx(40)
    assert any("hydrate" in caution for caution in answer["cautions"])


def test_minerals_may_start_from_a_water_and_list_what_they_assumed_of_it():
    target = {"hardness_mg_l_caco3": 80, "alkalinity_mg_l_caco3": 40}
    answer = ask(
        "minerals", {"target": target, "litres": 10, "salts": ["MgSO4·7H2O", "NaHCO3"], "start": SOFTENED}
    )
    assert answer["hardness_mg_l_caco3"] == pytest.approx(80)
    assert any("75%" in told for told in answer["assumed"])


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"salts": []}, "salts"),
        ({"salts": ["table salt"]}, "salts"),
        ({"salts": ["MgSO4.7H2O"]}, "salts"),
        ({"litres": 0}, "litres"),
        ({"target": {"hardness_mg_l_caco3": 80}}, "target"),
        ({"target": {"hardness_mg_l_caco3": 80, "alkalinity_mg_l_caco3": 40}}, "magnesium_share"),
        ({"start": {"ph": 7}}, "start"),
        ({"start": {"ph": 1}}, "start"),
        ({"start": TAP}, "target"),
    ],
)
def test_minerals_that_cannot_be_are_refused_by_their_field(change, field):
    target = {"hardness_mg_l_caco3": 80, "alkalinity_mg_l_caco3": 40, "magnesium_share": 0.5}
    with pytest.raises(QuestionRefused) as refused:
        ask("minerals", {"target": target, "litres": 10, "salts": SALTS, **change})
    assert top(refused.value.errors) == {field}


CARTRIDGE = {"capacity": {"value": 10000, "unit": "l_dh"}, "water": TAP, "litres_used": 200}


def test_a_cartridge_tells_litres_left_and_the_day_it_is_spent():
    answer = ask("cartridge", {**CARTRIDGE, "litres_per_day": 40, "now": "2026-03-01"})
    # 10000 L °dH over 19.54 °dH: 511.7 L, of which 311.7 are left, seven days and a bit.
    assert answer["litres_total"] == pytest.approx(10000 / 19.544, rel=1e-3)
    assert answer["litres_left"] == pytest.approx(311.7, abs=0.2)
    assert answer["share_used"] == pytest.approx(200 / 511.7, abs=0.001)
    assert (answer["days_left"], answer["spent_on"]) == (7, "2026-03-08")
    assert len(answer["assumed"]) == 2


def test_a_cartridge_rated_in_litres_of_this_water_needs_no_analysis():
    answer = ask("cartridge", {"capacity": {"value": 1000, "unit": "l"}, "litres_used": 250})
    assert answer["litres_left"] == 750 and answer["spent_on"] is None and answer["load_mg_l_caco3"] is None


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"capacity": {"value": -1, "unit": "eq"}}, "capacity"),
        ({"capacity": {"value": 1, "unit": "bucket"}}, "capacity"),
        ({"litres_used": -5}, "litres_used"),
        ({"litres_per_day": 0}, "litres_per_day"),
        ({"now": "tomorrow"}, "now"),
        ({"removes": "taste"}, "removes"),
        ({"bypass_share": 1}, "bypass_share"),
        ({"water": {"ph": 7}}, "water"),
        ({"water": {"hardness": {"value": 0, "unit": "dh"}}}, "water"),
    ],
)
def test_a_cartridge_that_cannot_be_is_refused_by_its_field(change, field):
    with pytest.raises(QuestionRefused) as refused:
        ask("cartridge", {**CARTRIDGE, **change})
    assert top(refused.value.errors) == {field}


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    st.fixed_dictionaries(
        {},
        optional={
            "calcium_mg_l": st.floats(0, 800),
            "magnesium_mg_l": st.floats(0, 500),
            "sodium_mg_l": st.floats(0, 1200),
            "bicarbonate_mg_l": st.floats(0, 1800),
            "chloride_mg_l": st.floats(0, 2000),
            "sulphate_mg_l": st.floats(0, 2000),
            "ph": st.floats(4, 11),
            "temp_c": st.floats(0, 100),
        },
    )
)
def test_any_water_in_range_is_answered_in_plain_json(water):
    assert ask("water", {**water, "litres_per_week": 100})["cautions"]
