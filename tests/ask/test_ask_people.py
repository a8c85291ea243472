"""The question `people`, as the lead's screen asks it."""

import json

import pytest

from server.ask.people import QUESTIONS
from server.ask.question import QuestionRefused
from tests.ask.fields import top

PEOPLE = QUESTIONS[0]
STEADY = [1.0, -1.0, 0.5, -0.5] * 8
TEAM = [
    {"person": "Ida", "values": STEADY},
    {"person": "Teo", "values": [10 + value for value in STEADY]},
    {"person": "Mara", "values": [20, 25, 30]},
]


def test_a_team_is_told_with_intervals_in_the_order_given():
    answer = json.loads(json.dumps(PEOPLE.ask({"people": TEAM}), allow_nan=False))
    assert [one["person"] for one in answer["people"]] == ["Ida", "Teo", "Mara"]
    assert [one["offset_says"] for one in answer["people"]] == ["below", "above", "too_early"]
    low, high = answer["people"][0]["offset_interval"]
    assert low < answer["people"][0]["offset"] < high
    assert answer["why"][0]["inputs"]["shots"] == 67


@pytest.mark.parametrize(
    ("team", "field"),
    [
        (TEAM[:1], "people"),
        ([TEAM[0], TEAM[0]], "people"),
        ([{"person": "Ida", "values": []}, TEAM[1]], "people"),
        ([{"person": "Ida", "values": ["late"]}, TEAM[1]], "people"),
        ([{"person": "Ida", "values": [1]}, {"person": "Teo", "values": [2]}], "values"),
    ],
)
def test_a_team_that_cannot_be_names_its_field(team, field):
    with pytest.raises(QuestionRefused) as refused:
        PEOPLE.ask({"people": team})
    assert top(refused.value.errors) == {field}
