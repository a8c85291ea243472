"""The question `milk`, as a script or a phone asks it."""

import json

import pytest
from iapws import IAPWS97

from server.ask.milk import QUESTIONS
from server.ask.question import QuestionRefused

MILK = QUESTIONS[0]
JUG = {"milk_g": 150, "milk": "whole", "start_c": 4, "target_c": 55, "steam_gauge_bar": 1.2}


def test_the_answer_is_the_balance_with_iapws97_enthalpies():
    steam = IAPWS97(P=0.101325 + 0.12, x=1).h
    water = IAPWS97(T=55 + 273.15, P=0.101325).h
    # 3.8884 kJ/kg K: whole milk from 4 to 55 °C by Choi and Okos (1986), worked by hand.
    steam_g = 150 * 3.8884 * 51 / (steam - water)
    answer = MILK.ask(JUG)
    assert answer["steam_g"] == pytest.approx(steam_g, rel=1e-3)
    assert answer["final_g"] == pytest.approx(150 + steam_g, rel=1e-3)
    assert answer["added_water_pct"] == pytest.approx(100 * steam_g / 150, rel=1e-3)
    assert answer["energy_kj"] == pytest.approx(29.746, abs=1e-3)


def test_the_answer_is_plain_json_with_its_reasons():
    answer = json.loads(json.dumps(MILK.ask(JUG), allow_nan=False))
    assert {why["figure"] for why in answer["why"]} == {"energy_kj", "steam_g"}
    assert answer["why"][0]["inputs"]["start_c"] == 4.0
    assert len(answer["cautions"]) == len(answer["caution_keys"])


def test_pressure_and_target_may_be_left_out():
    answer = MILK.ask({"milk_g": 150, "milk": "oat", "start_c": 4})
    assert answer["why"][0]["inputs"]["target_c"] == 58.0
    assert {"oats", "gluten"} <= set(answer["caution_keys"])


def test_milk_from_65_degrees_carries_its_caution():
    assert "hot" in MILK.ask({**JUG, "target_c": 65})["caution_keys"]
    assert "hot" not in MILK.ask({**JUG, "target_c": 64.9})["caution_keys"]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"milk": "cream"}, "milk"),
        ({"milk": 3}, "milk"),
        ({"milk_g": "150"}, "milk_g"),
        ({"milk_g": 0}, "milk_g"),
        ({"target_c": 4}, "target_c"),
        ({"target_c": 150}, "target_c"),
        ({"steam_gauge_bar": 9}, "steam_gauge_bar"),
        ({"jug": 300}, "jug"),
        ({"start_c": None}, "start_c"),
    ],
)
def test_a_request_that_cannot_be_answered_names_its_field(change, field):
    with pytest.raises(QuestionRefused) as refused:
        MILK.ask({**JUG, **change})
    assert list(refused.value.errors) == [field]
