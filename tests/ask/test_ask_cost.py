"""The question `cost`, as a script or the dashboard asks it."""

import json

import pytest

from server.ask.cost import QUESTIONS
from server.ask.question import QuestionRefused
from tests.ask.fields import top

COST = QUESTIONS[0]
DRINK = {"dose_g": 18, "bag_price": 25, "bag_mass_g": 1000, "milk_g": 150, "milk_price_per_litre": 1.03}
USE = {"site": "Lantern Quay", "day": "2026-03-02", "item": "beans", "cause": "served", "mass_g": 18}


def test_a_drink_by_hand():
    answer = json.loads(json.dumps(COST.ask({**DRINK, "sunk_share": 0.1})))
    assert answer["beans"] == pytest.approx(0.45)
    assert answer["milk"] == pytest.approx(0.15)
    assert answer["per_drink"] == pytest.approx(0.45 / 0.9 + 0.15)
    assert answer["why"][0]["inputs"]["sunk_share"] == 0.1
    assert "weeks" not in answer


def test_a_week_of_uses_by_hand():
    uses = [
        {**USE, "mass_g": 1710, "count": 95, "price_per_kg": 25, "currency": "EUR"},
        {**USE, "cause": "sunk", "mass_g": 90, "count": 5, "price_per_kg": 25, "currency": "EUR"},
    ]
    answer = json.loads(json.dumps(COST.ask({"uses": uses})))
    [week] = answer["weeks"]
    assert (week["week"], week["served_shots"], week["sunk_share"]) == ("2026-W10", 95, 0.05)
    assert week["per_served_shot"] == pytest.approx(45 / 95)
    assert [cause["cause"] for cause in week["causes"]] == ["served", "sunk"]


def test_a_drink_and_a_week_may_be_asked_at_once():
    answer = COST.ask({**DRINK, "uses": [USE]})
    assert answer["per_drink"] > 0 and answer["weeks"][0]["unpriced_g"] == 18


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({}, "dose_g"),
        ({"dose_g": 18, "bag_mass_g": 1000}, "bag_price"),
        ({"dose_g": 18, "bag_price": 25}, "bag_mass_g"),
        ({**DRINK, "sunk_share": 0.6, "practice_share": 0.6}, "sunk_share"),
        ({**DRINK, "dose_g": 0}, "dose_g"),
        ({**DRINK, "rent": 1000}, "rent"),
        ({"uses": []}, "uses"),
        ({"uses": [{**USE, "cause": "lost"}]}, "uses"),
        ({"uses": [{**USE, "day": "2 March"}]}, "uses"),
    ],
)
def test_a_request_that_cannot_be_answered_names_its_field(body, field):
    with pytest.raises(QuestionRefused) as refused:
        COST.ask(body)
    assert top(refused.value.errors) == {field}
