"""The questions `grind`, `advice` and `drift`, as a script or a phone asks them."""

import json
import math

import pytest

from server.ask.question import QuestionRefused
from server.ask.registry import questions
from server.compute.grind.words import ADVICE
from tests.ask.fields import top

RECIPE = {"dose_g": 18.0, "yield_g": 36.0, "time_s": 28.0, "time_s_tol": 3.0}
GRINDER = {"finer": "lower", "step": 0.1, "setting_now": 4.2}
CALM = [28.0, 27.2, 28.9, 28.4, 27.6, 28.1, 28.8, 27.5, 28.3, 27.9]


def shot(i, time_s, **other):
    at = f"2026-03-02T{8 + 5 * i // 60:02}:{5 * i % 60:02}:00+01:00"
    return {"pulled_at": at, "setting": 4.2, "dose_g": 18.0, "yield_g": 36.0, "time_s": time_s, "bag_id": "b"} | other


def ask(name, times_s, **other):
    shots = [shot(i, time_s) for i, time_s in enumerate(times_s)]
    asked = {"shots": shots, "recipe": RECIPE, "grinder": GRINDER, "now": "2026-03-02T10:00:00+01:00"} | other
    return json.loads(json.dumps(questions()[name].ask(asked), allow_nan=False))


def test_grind_holds_when_all_is_well_and_says_what_to_expect():
    answer = ask("grind", CALM)

    assert (answer["advice"], answer["size"], answer["setting"]) == ("hold", None, 4.2)
    assert answer["interval_80"][0] < answer["predicted_time_s"] < answer["interval_80"][1]
    assert answer["chance_then"] == answer["chance_now"] > 0.75


def test_grind_moves_when_pulls_have_drifted():
    answer = ask("grind", [*CALM, 32.0, 33.0, 32.4, 33.1, 32.2])

    assert answer["advice"] == "coarser"
    assert answer["setting"] == answer["size"]["to"] > 4.2
    assert answer["chance_then"] > answer["chance_now"] + 0.1
    assert answer["why"][0]["source"].startswith("M. West and J. Harrison")


def test_the_order_of_the_shots_sent_does_not_matter():
    times = [*CALM, 32.0, 33.0, 32.4]
    shots = [shot(i, time_s) for i, time_s in enumerate(times)]

    assert ask("grind", [], shots=shots[::-1]) == ask("grind", times)


def test_no_shots_at_all_is_too_early_to_say():
    assert ask("grind", [])["advice"] == "too early to say"


def test_whole_records_may_be_sent():
    record = shot(0, 28.0) | {"id": "x", "site_id": "s", "method": "espresso", "ratio": 2.0}

    assert (
        ask("grind", [], shots=[record], recipe=RECIPE | {"method": "espresso", "replaces": None})["advice"] in ADVICE
    )


def test_advice_puts_taste_before_time_and_is_not_provisional():
    drifted = [*CALM, 32.0, 33.0, 32.4, 33.1, 32.2]

    answer = ask("advice", drifted, taste={"right": True}, bag={"freshness": "in_window"}, water={"status": "ok"})

    assert (answer["advice"], answer["provisional"]) == ("move the target", False)
    assert ask("advice", drifted, bag={"freshness": "past_window"})["advice"] == "change bag"
    assert ask("advice", drifted, water={"status": "check"})["advice"] == "check water"
    assert ask("advice", drifted)["advice"] == "coarser"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"recipe": {"dose_g": 18.0, "yield_g": 36.0}}, "recipe"),
        ({"grinder": {"finer": "left"}}, "grinder"),
        ({"grinder": {"step": 0}}, "grinder"),
        ({"now": "2026-03-02"}, "now"),
        ({"shots": "many"}, "shots"),
        ({"shots": [shot(0, 28.0) | {"pulled_at": "yesterday"}]}, "shots"),
        ({"shots": [shot(0, math.nan)]}, "shots"),
        ({"shots": [shot(0, -28.0)]}, "shots"),
        ({"taste": {"acidity": 3}}, "taste"),
        ({"water": {"status": "wet"}}, "water"),
        ({"bag": {"freshness": "stale"}}, "bag"),
        ({"mood": "good"}, "mood"),
    ],
)
def test_a_request_that_cannot_be_answered_names_its_field(change, field):
    with pytest.raises(QuestionRefused) as refused:
        ask("advice", CALM, **change)
    assert field in top(refused.value.errors)


def chart(**asked):
    return json.loads(json.dumps(questions()["drift"].ask(asked), allow_nan=False))


def test_drift_answers_the_chart_of_the_nist_handbook():
    """NIST/SEMATECH e-Handbook 6.3.2.2, on ln time: e^(x/10) for x, so that the logarithm is the handbook's value."""
    values = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]

    answer = chart(times_s=[math.exp(x / 10) for x in values], baseline_n=10)

    found = [10 * math.log(answer[key]) for key in ("center_s", "upper_s", "lower_s")]
    assert found == pytest.approx([50.81, 55.8041, 45.8159], abs=5e-5)
    assert answer["signals"] == [] and answer["run_length"] >= 40


def test_drift_answers_rules_on_request_only():
    times = [28.0, 28.4, 27.7, 28.2, 27.9, 28.1, 27.8, 28.3, 28.5, 28.5, 28.5, 28.5, 28.5, 28.5, 28.5, 28.5]

    assert [s["rule"] for s in chart(times_s=times, baseline_n=8)["signals"] if s["rule"].startswith("west")] == []
    asked = chart(times_s=times, baseline_n=8, rules=["western_electric"])["signals"]
    assert {"index": 15, "rule": "western_electric_4", "says": "eight in a row on one side"} in asked


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"times_s": []}, "times_s"),
        ({"times_s": [28.0]}, "times_s"),
        ({"times_s": [28.0, 0.0]}, "times_s"),
        ({"times_s": [28.0] * 9}, "times_s"),
        ({"times_s": [28.0, 29.0] * 5, "baseline_n": 11}, "baseline_n"),
        ({"times_s": [28.0, 29.0] * 5, "baseline": {"center_s": 28.0}}, "baseline"),
        ({"times_s": [28.0, 29.0] * 5, "rules": ["hunch"]}, "rules"),
        ({}, "times_s"),
    ],
)
def test_a_chart_that_cannot_be_drawn_names_its_field(asked, field):
    with pytest.raises(QuestionRefused) as refused:
        chart(**asked)
    assert field in top(refused.value.errors)
