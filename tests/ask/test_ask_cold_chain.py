"""The question `cold_chain`, as a script or a phone asks it."""

import json

import pytest

from server.ask.cold_chain import QUESTIONS
from server.ask.question import QuestionRefused
from tests.ask.fields import top

COLD_CHAIN = QUESTIONS[0]
OUT = {
    "jurisdiction": "us_4h",
    "now": "2026-03-01T10:00:00+01:00",
    "readings": [{"at": "2026-03-01T08:00:00+01:00", "temp_c": 4}],
    "moves": [{"at": "2026-03-01T08:00:00+01:00", "what": "out"}],
}


# FDA Food Code 3-501.19(B)(3): within 4 hours from removal.
def test_milk_taken_out_at_eight_is_discarded_by_noon_in_the_askers_own_time():
    answer = json.loads(json.dumps(COLD_CHAIN.ask(OUT)))
    assert answer["state"] == "on_the_clock"
    assert answer["discard_by"] == "2026-03-01T12:00:00+01:00"
    assert answer["minutes_left"] == 120
    assert "local food law" in answer["cautions"][0]


def test_the_deadline_is_told_in_the_offset_of_now_whatever_the_events_came_in():
    events = {
        "readings": [{"at": "2026-03-01T07:00:00Z", "temp_c": 4}],
        "moves": [{"at": "2026-03-01T09:00:00+02:00", "what": "out"}],
    }
    assert COLD_CHAIN.ask({**OUT, **events})["discard_by"] == "2026-03-01T12:00:00+01:00"


def test_milk_without_readings_or_moves_is_not_read():
    answer = COLD_CHAIN.ask({"jurisdiction": "england", "now": OUT["now"]})
    assert (answer["state"], answer["discard_by"], answer["minutes_left"]) == ("not_read", None, None)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"jurisdiction": "atlantis"}, "jurisdiction"),
        ({"now": "2026-03-01T10:00:00"}, "now"),
        ({"now": "2026-03-01T07:00:00+01:00"}, "readings"),
        ({"readings": [{"at": OUT["now"], "temp_c": 200}]}, "readings"),
        ({"readings": 4}, "readings"),
        ({"moves": [{"at": OUT["now"], "what": "gone"}]}, "moves"),
        ({"fridge": 4}, "fridge"),
    ],
)
def test_a_request_that_cannot_be_answered_names_its_field(change, field):
    with pytest.raises(QuestionRefused) as refused:
        COLD_CHAIN.ask({**OUT, **change})
    assert top(refused.value.errors) == {field}
