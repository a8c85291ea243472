"""The questions extraction, time_to_target and difference in JSON: identities, the `uncertainties` library, errors."""

import json

import pytest
from uncertainties import ufloat

from server.ask.question import QuestionRefused
from server.ask.registry import questions

SHOT = {"dose_g": 18, "yield_g": 36, "strength_pct": 9.5}


def ask(name, body):
    """What goes out has to be JSON, without NaN or infinity."""
    return json.loads(json.dumps(questions()[name].ask(body), allow_nan=False))


def refusal(name, body):
    with pytest.raises(QuestionRefused) as refused:
        questions()[name].ask(body)
    return refused.value.errors


def test_an_extraction_is_answered_with_its_uncertainty_and_interval():
    answer = ask("extraction", SHOT)
    library = ufloat(36, 0.1) * ufloat(9.5, 0.05) / ufloat(18, 0.1)
    assert (answer["ratio"], answer["extraction_pct"], answer["doubts"]) == (2.0, 19.0, [])
    assert answer["u_extraction_pct"] == pytest.approx(library.s, abs=1e-9)
    assert answer["interval_95"] == pytest.approx([19 - 1.96 * library.s, 19 + 1.96 * library.s], abs=1e-4)


def test_uncertainties_that_are_stated_are_used():
    answer = ask("extraction", {**SHOT, "u_dose_g": 0.01, "u_yield_g": 0.1, "u_strength_pct": 0.03})
    assert answer["u_extraction_pct"] == pytest.approx(0.0806, abs=1e-4)
    assert answer["assumed"] == []


def test_every_figure_of_an_extraction_can_be_opened():
    reasons = {
        why["figure"]: why for why in ask("extraction", {"dose_g": 18, "yield_g": 36, "brix_pct": 11})["why"]
    }
    assert set(reasons) == {"extraction_pct", "strength_pct", "u_extraction_pct"}
    assert reasons["extraction_pct"]["inputs"] == {
        "dose_g": 18.0,
        "strength_pct": pytest.approx(9.35),
        "yield_g": 36.0,
    }
    assert all(why["source"] and why["formula"] for why in reasons.values())


def test_a_fraction_for_a_percentage_is_computed_and_doubted_with_the_remedy():
    answer = ask("extraction", {**SHOT, "strength_pct": 0.095})
    assert answer["extraction_pct"] == pytest.approx(0.19)
    assert "enter 9.5" in answer["doubts"][0]


def test_immersion_is_asked_by_its_form():
    steeped = {
        "dose_g": 60,
        "brew_water_g": 1000,
        "strength_pct": 1.25,
        "method": "filter",
        "form": "immersion",
    }
    answer = ask("extraction", steeped)
    assert answer["extraction_pct"] == pytest.approx(21.0970464, abs=1e-6)
    assert answer["ratio_is"] == "brew water to dose"


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({**SHOT, "dose_g": -18}, "dose_g"),
        ({**SHOT, "dose_g": "18"}, "dose_g"),
        ({**SHOT, "dose_g": float("nan")}, "dose_g"),
        ({**SHOT, "yield_g": float("inf")}, "yield_g"),
        ({**SHOT, "yield_g": 4000}, "yield_g"),
        ({**SHOT, "strength_pct": 0}, "strength_pct"),
        ({**SHOT, "brix_pct": 11}, "strength_pct"),
        ({"dose_g": 18, "yield_g": 36}, "strength_pct"),
        ({"yield_g": 36, "strength_pct": 9.5}, "dose_g"),
        ({"dose_g": 18, "strength_pct": 9.5}, "yield_g"),
        ({**SHOT, "method": "moka"}, "method"),
        ({**SHOT, "u_dose_g": -1}, "u_dose_g"),
        ({**SHOT, "colour": "brown"}, "colour"),
    ],
)
def test_what_is_wrong_with_an_extraction_is_named(body, field):
    assert list(refusal("extraction", body)) == [field]


def test_a_time_to_target_is_asked_with_a_shot_or_with_its_fields():
    shot = {"time_s": 29, "yield_g": 38, "first_drop_s": 9}
    flat = ask("time_to_target", {**shot, "yield_target_g": 36})
    assert flat == ask("time_to_target", {"shot": shot, "yield_target_g": 36})
    assert flat["time_to_target_s"] == pytest.approx(29 - 2 / (1.2 * 38 / 20), abs=1e-9)
    assert flat["usable"] is True
    assert flat["why"][0]["inputs"]["first_drop_s"] == 9.0


def test_an_assumed_yield_widens_a_time_to_target_and_an_assumed_time_is_none():
    shot = {"time_s": 29, "yield_g": 38, "first_drop_s": 9, "yield_target_g": 36}
    weighed, assumed = ask("time_to_target", shot), ask("time_to_target", {**shot, "assumed": ["yield_g"]})
    assert assumed["u_s"] > 2 * weighed["u_s"]
    assert list(refusal("time_to_target", {**shot, "assumed": ["time_s"]})) == ["assumed"]


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"time_s": 29, "yield_g": 38}, "yield_target_g"),
        ({"yield_g": 38, "yield_target_g": 36}, "time_s"),
        ({"shot": {"time_s": 29}, "yield_target_g": 36}, "yield_g"),
        ({"time_s": 29, "yield_g": 38, "yield_target_g": 36, "first_drop_s": 29}, "first_drop_s"),
        ({"time_s": 29, "yield_g": 38, "yield_target_g": 36, "end_flow_factor": 9}, "end_flow_factor"),
    ],
)
def test_what_is_wrong_with_a_time_to_target_is_named(body, field):
    assert list(refusal("time_to_target", body)) == [field]


def test_two_readings_are_compared():
    answer = ask("difference", {"first": SHOT, "second": {**SHOT, "strength_pct": 9.3}})
    assert answer["figure"] == "extraction_pct"
    assert answer["difference"] == pytest.approx(0.4)
    assert answer["least_difference"] == pytest.approx(0.43, abs=0.005)
    assert answer["differs"] is False
    assert "can't be told apart" in answer["sentence"]
    assert "needed" not in answer


def test_a_bias_common_to_both_readings_cancels_unless_the_instruments_differ():
    both = {name: {**SHOT, "u_strength_gain": 0.05} for name in ("first", "second")}
    plain = ask("difference", {"first": SHOT, "second": SHOT})["u_difference"]
    assert ask("difference", both)["u_difference"] == pytest.approx(plain, abs=1e-12)
    assert ask("difference", {**both, "same_refractometer": False})["u_difference"] > 3 * plain


def test_a_tasting_is_answered_by_the_same_question():
    # Triangle, 5 of 6: P = (6·2 + 1)/3^6 = 13/729.
    answer = ask("difference", {"test": "triangle", "right": 5, "of": 6})
    assert answer["chance_by_luck"] == pytest.approx(13 / 729, abs=1e-12)
    assert (answer["differs"], answer["needed"]) == (True, 5)
    assert "caffeine" in answer["caution"]
    assert "first" not in answer


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({}, "first"),
        ({"first": SHOT}, "second"),
        ({"first": SHOT, "second": {"strength_pct": 9.3}}, "second.dose_g"),
        ({"first": SHOT, "second": {**SHOT, "strength_pct": 31}}, "second.strength_pct"),
        ({"test": "triangle", "right": 5}, "of"),
        ({"test": "triangle", "right": 7, "of": 6}, "right"),
        ({"test": "tetrad", "right": 5, "of": 6}, "test"),
        ({"test": "triangle", "right": 5, "of": 6, "first": SHOT}, "test"),
    ],
)
def test_what_is_wrong_with_a_difference_is_named(body, field):
    assert list(refusal("difference", body)) == [field]
