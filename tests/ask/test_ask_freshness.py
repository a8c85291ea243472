"""The question freshness in JSON. Window: common practice, no source; staling: Cardelli & Labuza 2001."""

import json

import pytest

from server.ask.question import QuestionRefused
from server.ask.registry import questions
from tests.ask.fields import top

BAG = {"roasted_on": "2026-03-01", "now": "2026-03-10T08:00:00+00:00"}


def ask(body):
    return json.loads(json.dumps(questions()["freshness"].ask(body), allow_nan=False))


def test_a_bag_has_both_ages_its_window_and_what_will_change():
    answer = ask(BAG)
    assert (answer["rest_days"], answer["stale_days"], answer["freshness"]) == (9.0, 9.0, "in_window")
    assert (answer["window_from"], answer["window_until"], answer["days_left"]) == (
        "2026-03-08",
        "2026-03-22",
        12,
    )
    assert answer["changes"] == [{"on": "2026-03-23", "freshness": "past_window"}]
    assert "kept at 20 °C where no storage is given" in answer["assumed"]


def test_settings_and_storage_are_used():
    warm = {"storage": [{"from": "2026-03-01T00:00:00Z", "to": None, "temp_c": 30}]}
    assert ask({**BAG, **warm})["stale_days"] == pytest.approx(9 * 1.192, abs=0.01)
    assert ask({**BAG, **warm, "activation_energy_kj_mol": 50})["stale_days"] == pytest.approx(
        9 * 1.967, abs=0.01
    )
    assert ask({**BAG, **warm, "reference_temp_c": 30})["stale_days"] == 9.0
    frozen = {"storage": [{"from": "2026-03-01T00:00:00Z", "temp_c": -18}], "frozen_rate": 0.5}
    assert (ask({**BAG, **frozen})["stale_days"], ask({**BAG, **frozen})["rest_days"]) == (4.5, 0.0)


def test_an_open_bag_closes_sooner():
    opened = {**BAG, "opened_at": "2026-03-09T10:00:00Z"}
    assert ask(opened)["window_until"] == "2026-03-14"
    assert ask({**opened, "kept": "resealed"})["window_until"] == "2026-03-19"
    assert ask({**opened, "window": {"open_days": 2}})["days_left"] == 1


def test_days_are_those_of_the_zone_or_else_of_the_offset():
    late = {"roasted_on": "2026-03-01", "now": "2026-03-07T23:30:00+00:00"}
    assert ask(late)["rest_days"] == 6.0
    assert ask({**late, "now": "2026-03-08T10:30:00+11:00"})["rest_days"] == 7.0
    assert ask({**late, "time_zone": "Australia/Sydney"})["rest_days"] == 7.0


def test_every_figure_can_be_opened():
    reasons = {why["figure"]: why for why in ask({**BAG, "opened_at": "2026-03-09T10:00:00Z"})["why"]}
    assert reasons["rest_days"]["inputs"] == {"days at 20 °C": 9.0}
    assert "LWT 34 (2001)" in reasons["stale_days"]["source"]
    assert reasons["freshness"]["inputs"]["opened_on"] == "2026-03-09"


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"now": BAG["now"]}, "roasted_on"),
        ({**BAG, "roasted_on": "2026-02-30"}, "roasted_on"),
        ({**BAG, "roasted_on": "2087-01-01"}, "roasted_on"),
        ({**BAG, "now": "2026-03-10"}, "now"),
        ({**BAG, "now": "9999-12-31T23:59:59Z"}, "now"),
        ({**BAG, "time_zone": "Lantern/Quay"}, "time_zone"),
        ({**BAG, "storage": [{"from": BAG["now"], "temp_c": 90}]}, "storage"),
        ({**BAG, "storage": [{"from": BAG["now"], "to": "2026-03-01T00:00:00Z", "temp_c": 9}]}, "storage"),
        ({**BAG, "window": {"rest_days": 30, "best_until_days": 20}}, "best_until_days"),
        ({**BAG, "opened_at": "2026-02-01T00:00:00Z"}, "opened_at"),
        ({**BAG, "frozen_rate": 3}, "frozen_rate"),
        ({**BAG, "kept": "bowl"}, "kept"),
        ({**BAG, "score": 90}, "score"),
    ],
)
def test_what_is_wrong_is_named(body, field):
    with pytest.raises(QuestionRefused) as refused:
        questions()["freshness"].ask(body)
    assert top(refused.value.errors) == {field}
