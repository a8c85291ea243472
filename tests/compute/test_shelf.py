"""A bag's figures from its record and its events. No outside reference: conventions of this app."""

import datetime as dt
import itertools

import pytest

from server.compute.bag_history import history_of, inherited
from server.compute.errors import BadInput
from server.compute.shelf import bag_calendar, bag_figures, counted_from

BAG = {"roasted_on": "2026-03-01", "mass_g": 1000.0}


def at(day, hour=8):
    return f"2026-03-{day:02d}T{hour:02d}:00:00+00:00"


def event(day, what, **more):
    return {"at": at(day), "what": what, **more}


@pytest.mark.parametrize(
    ("events", "condition"),
    [
        ([], "sealed"),
        ([event(9, "opened")], "open"),
        ([event(9, "opened"), event(9, "resealed")], "open"),
        ([event(3, "frozen")], "frozen"),
        ([event(3, "frozen"), event(5, "thawed")], "sealed"),
        ([event(3, "opened"), event(4, "frozen"), event(5, "thawed")], "open"),
        ([event(3, "moved", temp_c=-20.0)], "frozen"),
        ([event(3, "frozen"), event(5, "moved", temp_c=18.0)], "sealed"),
        ([event(3, "moved")], "sealed"),
        ([event(3, "opened"), event(9, "finished")], "finished"),
        ([event(11, "finished")], "sealed"),  # after the moment that is asked about
    ],
)
def test_the_condition_is_what_happened_last(events, condition):
    assert bag_figures(BAG, events, now=at(10))["condition"] == condition


def test_the_order_in_which_events_arrive_does_not_matter():
    events = [event(3, "frozen"), event(6, "thawed"), event(7, "opened"), event(8, "weighed", mass_g=700.0)]
    told = [bag_figures(BAG, order, now=at(10)) for order in itertools.permutations(events)]
    assert all(figures == told[0] for figures in told)


def test_a_spell_in_the_freezer_is_no_rest():
    events = [event(3, "frozen", temp_c=-20.0), event(13, "thawed")]
    found = bag_figures(BAG, events, now=at(20))
    assert found["rest_days"] == pytest.approx(19.0 - 10.0, abs=1e-6)
    assert found["stale_days"] == pytest.approx(9.0 + 10.0 * 0.1, abs=1e-6)
    assert not any("-18" in text for text in found["assumed"])


def test_a_freezer_without_a_temperature_is_assumed_and_says_so():
    assert (
        "freezer taken as -18 °C: no temperature was given"
        in bag_figures(BAG, [event(3, "frozen")], now=at(9))["assumed"]
    )


def test_opened_in_a_hopper_keeps_five_days_and_resealed_ten():
    opened = [event(10, "opened")]
    assert bag_figures(BAG, opened, now=at(11))["window_until"] == "2026-03-15"
    assert bag_figures(BAG, [*opened, event(10, "resealed")], now=at(11))["window_until"] == "2026-03-20"
    again = [*opened, {"at": at(10, 9), "what": "resealed"}, event(12, "opened")]
    assert bag_figures(BAG, again, now=at(12))["window_until"] == "2026-03-15"


def test_the_coffees_figures_are_used_and_a_missing_one_is_not():
    coffee = {"name": "Tarn Hollow", "rest_days": 10, "best_until_days": None}
    found = bag_figures(BAG, coffee=coffee, now=at(10))
    assert (found["window_from"], found["window_until"]) == ("2026-03-11", "2026-03-22")


def test_what_is_left_is_the_last_weighing_less_what_was_taken_since():
    weighed = [event(9, "weighed", mass_g=640.0), event(10, "split", mass_g=250.0, into_bag_id="b")]
    found = bag_figures(BAG, weighed, now=at(11), logged_dose_g=90.0, daily_use_g=100.0)
    assert found["left_g"] == pytest.approx(300.0)
    assert "weighed at 640 g less 90 g of logged doses and 250 g split off" in found["left_how"]
    assert found["runs_out_on"] == "2026-03-14"
    assert counted_from(weighed, at(11)) == dt.datetime(2026, 3, 9, 8, tzinfo=dt.UTC)
    assert counted_from([], at(11)) is None


def test_every_split_since_the_last_weighing_is_taken_off_and_none_before_it():
    split = [event(day, "split", mass_g=100.0, into_bag_id=f"b{day}") for day in (8, 10, 11)]
    assert bag_figures(BAG, split, now=at(12))["left_g"] == 700.0
    assert bag_figures(BAG, [*split, event(9, "weighed", mass_g=640.0)], now=at(12))["left_g"] == 440.0


def test_a_bag_that_nobody_weighed_has_no_mass_left_to_tell():
    found = bag_figures({"roasted_on": "2026-03-01"}, now=at(9), logged_dose_g=90.0, daily_use_g=100.0)
    assert (found["left_g"], found["runs_out_on"]) == (None, None)
    assert "weigh the bag" in found["left_how"]


def test_more_taken_than_there_was_asks_for_a_weighing():
    found = bag_figures(BAG, now=at(9), logged_dose_g=1200.0, daily_use_g=0.0)
    assert (found["left_g"], found["runs_out_on"]) == (0.0, None)
    assert "weigh it again" in found["left_how"]


def test_a_finished_bag_keeps_the_ages_it_had():
    events = [event(8, "opened"), event(12, "finished")]
    found = bag_figures(BAG, events, now=at(30))
    assert (found["rest_days"], found["freshness"], found["left_g"]) == (11.0, "in_window", 0.0)
    assert bag_calendar(BAG, events, now=at(30)) == {"days": [], "changes": []}


def test_dates_that_contradict_one_another_are_a_doubt_not_a_failure():
    found = bag_figures({"roasted_on": "2026-04-01"}, now=at(9))
    assert (found["freshness"], found["rest_days"]) == (None, None)
    assert found["doubts"] == ["roasted_on: lies after the date asked about: check the date"]
    assert bag_calendar({"roasted_on": "2026-04-01"}, now=at(9))["days"] == []


def test_the_calendar_of_a_bag_knows_its_events():
    ahead = bag_calendar(BAG, [event(4, "opened")], now=at(5), coffee={"open_days": 6}, days=30)
    assert ahead["changes"] == [
        {"on": "2026-03-08", "freshness": "in_window"},
        {"on": "2026-03-11", "freshness": "past_window"},
    ]


def test_a_bag_split_off_has_been_where_its_parent_was():
    parent = [
        event(3, "frozen"),
        event(5, "weighed", mass_g=900.0),
        event(9, "split", mass_g=250.0, into_bag_id="child"),
        event(10, "thawed"),
    ]
    assert inherited(parent, "child") == [parent[0]]
    assert inherited(parent, "stranger") == []
    child = bag_figures({"roasted_on": "2026-03-01", "mass_g": 250.0}, inherited(parent, "child"), now=at(12))
    assert (child["condition"], child["rest_days"], child["left_g"]) == (
        "frozen",
        pytest.approx(2 + 1 / 3),
        250.0,
    )


@pytest.mark.parametrize(
    ("field", "given"),
    [
        ("now", {"now": "today"}),
        ("logged_dose_g", {"logged_dose_g": -1.0}),
        ("logged_dose_g", {"logged_dose_g": float("nan")}),
        ("daily_use_g", {"daily_use_g": -5.0}),
    ],
)
def test_what_cannot_be_used_is_refused_by_its_name(field, given):
    with pytest.raises(BadInput) as refused:
        bag_figures(BAG, **{"now": at(9), **given})
    assert refused.value.field == field


def test_an_event_without_a_readable_time_is_refused():
    with pytest.raises(BadInput, match="at: must be a time"):
        history_of([{"at": "noon", "what": "opened"}], at(9))
