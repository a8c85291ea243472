"""The two clocks of a bag. Window 7 to 21 days, 5 open, 10 re-sealed: common practice, no source.

Staling by Cardelli & Labuza 2001, LWT 34:273-278; ages over a change of the clocks against the standard library.
"""

import datetime as dt
import math
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.constants import R

from server.compute.course import course_of
from server.compute.errors import BadInput
from server.compute.freshness import calendar, freshness
from server.compute.window import window_of

quick = settings(derandomize=True, max_examples=150, deadline=None)
ROASTED = "2026-03-01"


def at(day, hour=8):
    return f"2026-03-{day:02d}T{hour:02d}:00:00+00:00"


@pytest.mark.parametrize(
    ("day", "state", "days_left"),
    [
        (1, "resting", 21),
        (7, "resting", 15),
        (8, "in_window", 14),
        (22, "in_window", 0),
        (23, "past_window", -1),
    ],
)
def test_a_sealed_bag_rests_a_week_and_keeps_two(day, state, days_left):
    found = freshness(ROASTED, at(day))
    assert (found["freshness"], found["days_left"]) == (state, days_left)
    assert (found["window_from"], found["window_until"]) == ("2026-03-08", "2026-03-22")
    assert found["rest_days"] == found["stale_days"] == day - 1


def test_the_roasters_figures_come_first():
    found = freshness(ROASTED, at(8), window={"rest_days": 10, "best_until_days": 40})
    assert (found["freshness"], found["window_from"], found["window_until"]) == (
        "resting",
        "2026-03-11",
        "2026-04-10",
    )
    assert not any("common practice" in text for text in found["assumed"])


def test_opening_adds_its_own_shorter_limit():
    hopper = freshness(ROASTED, at(11), opened_at=at(10, 23))
    assert hopper["window_until"] == "2026-03-15"
    assert freshness(ROASTED, at(11), opened_at=at(10), kept="resealed")["window_until"] == "2026-03-20"
    late = freshness(ROASTED, at(21), opened_at=at(20))
    assert late["window_until"] == "2026-03-22"  # staling comes first


def test_a_passed_limit_outranks_a_rest_not_had():
    found = freshness(ROASTED, at(7), opened_at=at(1), window={"rest_days": 14})
    assert found["freshness"] == "past_window"
    assert found["window_until"] < found["window_from"]


def test_frozen_days_are_no_rest_and_stale_at_the_stated_rate():
    frozen = [{"from": at(5, 0), "to": at(25, 0), "temp_c": -18.0}]
    found = freshness(ROASTED, "2026-03-29T08:00:00+00:00", storage=frozen)
    assert found["rest_days"] == 8.0
    assert found["stale_days"] == pytest.approx(8.0 + 20.0 * 0.1, abs=1e-6)
    assert found["freshness"] == "in_window"
    assert any("a setting" in text for text in found["assumed"])


def test_a_bag_that_stays_frozen_never_finishes_resting():
    frozen = [{"from": at(3, 0), "temp_c": -18.0}]
    found = freshness(ROASTED, at(20), storage=frozen)
    assert (found["freshness"], found["window_from"]) == ("resting", None)
    never = freshness(ROASTED, at(20), storage=frozen, frozen_rate=0.0)
    assert (never["window_until"], never["days_left"]) == (None, None)


def test_an_open_bag_in_the_freezer_stays_within_its_open_days():
    frozen = [{"from": at(15, 0), "temp_c": -18.0}]
    found = freshness(ROASTED, at(30), storage=frozen, opened_at=at(10), frozen_rate=0.0)
    assert (found["freshness"], found["window_until"]) == ("in_window", None)


def test_a_bag_frozen_on_its_last_day_stays_in_window_where_nothing_stales():
    frozen = [{"from": at(22, 0), "temp_c": -18.0}]
    found = freshness(ROASTED, at(31), storage=frozen, frozen_rate=0.0)
    assert (found["stale_days"], found["freshness"], found["window_until"]) == (21.0, "in_window", None)


def test_a_cool_cupboard_stales_slower_and_a_fridge_still_rests():
    fridge = [{"from": at(1, 0), "temp_c": 5.0}]
    found = freshness(ROASTED, at(28), storage=fridge)
    per_day = math.exp(13_000.0 / R * (1 / 293.15 - 1 / 278.15))  # Arrhenius, 13 kJ/mol, 5 °C against 20 °C
    assert found["rest_days"] == 27.0
    assert found["stale_days"] == pytest.approx(27.0 * per_day, abs=1e-6)
    assert per_day == pytest.approx(0.75, abs=0.005)
    assert found["freshness"] == "in_window"
    cold = [{"from": at(1, 0), "temp_c": 2.0}]
    assert freshness(ROASTED, at(11), storage=cold)["rest_days"] == 10.0


def test_what_was_assumed_is_listed():
    assert freshness(ROASTED, at(10))["assumed"] == [
        "kept at 20 °C where no storage is given",
        "rest of 7 days: common practice, no source",
        "best until 21 days: common practice, no source",
    ]
    everything = freshness(
        ROASTED,
        at(10),
        storage=[{"from": "2026-02-28T00:00:00Z", "temp_c": 20.0}],
        window={"rest_days": 5, "best_until_days": 25, "open_days": 4},
        opened_at=at(9),
    )
    assert everything["assumed"] == []


@pytest.mark.parametrize(
    ("zone", "year"),
    [
        ("Europe/Lisbon", 2026),
        ("Europe/Berlin", 2024),
        ("Australia/Sydney", 2026),
        ("America/Santiago", 2025),
    ],
)
def test_ages_are_whole_local_days_over_every_change_of_the_clocks(zone, year):
    roasted = dt.date(year, 1, 1)
    for days in range(0, 366, 3):
        for hour, minute in ((0, 5), (12, 0), (23, 55)):
            local = dt.datetime.combine(
                roasted + dt.timedelta(days=days), dt.time(hour, minute), ZoneInfo(zone)
            )
            on = (
                local.astimezone(dt.UTC).astimezone(ZoneInfo(zone)).date()
            )  # a time that was skipped moves on
            found = freshness(roasted.isoformat(), local.astimezone(dt.UTC), zone)
            assert found["rest_days"] == (on - roasted).days


def test_a_week_in_the_freezer_is_a_week_over_a_change_of_the_clocks():
    berlin = ZoneInfo("Europe/Berlin")
    spell = [
        {
            "from": dt.datetime(2026, 3, 26, 0, 0, tzinfo=berlin),
            "to": dt.datetime(2026, 4, 2, 0, 0, tzinfo=berlin),
            "temp_c": -18.0,
        }
    ]
    found = freshness(
        "2026-03-20", dt.datetime(2026, 4, 10, 8, 0, tzinfo=berlin), "Europe/Berlin", storage=spell
    )
    assert found["rest_days"] == 21.0 - 7.0
    assert found["stale_days"] == pytest.approx(14.0 + 0.7, abs=1e-6)


def test_the_same_instant_is_another_age_at_another_site():
    late = "2026-03-07T23:30:00+00:00"
    assert freshness(ROASTED, late, "Europe/London")["freshness"] == "resting"
    assert freshness(ROASTED, late, "Australia/Sydney")["freshness"] == "in_window"


def test_the_calendar_shows_60_days_and_when_the_state_changes():
    ahead = calendar(ROASTED, at(5))
    assert len(ahead["days"]) == 60
    assert ahead["days"][0] == {"on": "2026-03-05", "freshness": "resting"}
    assert ahead["changes"] == [
        {"on": "2026-03-08", "freshness": "in_window"},
        {"on": "2026-03-23", "freshness": "past_window"},
    ]


spell_days = st.lists(st.integers(0, 60), min_size=0, max_size=6, unique=True).map(sorted)
temps = st.floats(-40.0, 60.0)


def storage_of(days, degrees):
    midnight = dt.datetime(2026, 3, 1, tzinfo=dt.UTC)
    return [
        {
            "from": midnight + dt.timedelta(days=start),
            "to": midnight + dt.timedelta(days=end),
            "temp_c": degrees[i % len(degrees)],
        }
        for i, (start, end) in enumerate(zip(days[::2], days[1::2], strict=False))
    ]


@quick
@given(
    spell_days, st.lists(temps, min_size=1, max_size=3), st.integers(0, 90), st.none() | st.integers(0, 90)
)
def test_the_calendar_says_today_what_each_day_will_say_itself(days, degrees, today, opened):
    storage = storage_of(days, degrees)
    now = dt.datetime(2026, 3, 1, 9, tzinfo=dt.UTC) + dt.timedelta(days=today)
    opened_at = None
    if opened is not None:
        opened_at = dt.datetime(2026, 3, 1, 9, tzinfo=dt.UTC) + dt.timedelta(days=min(opened, today))
    ahead = calendar(ROASTED, now, days=20, storage=storage, opened_at=opened_at)
    for offset in (0, 1, 7, 19):
        then = freshness(ROASTED, now + dt.timedelta(days=offset), storage=storage, opened_at=opened_at)
        on = (now + dt.timedelta(days=offset)).date().isoformat()
        assert ahead["days"][offset] == {"on": on, "freshness": then["freshness"]}


@quick
@given(spell_days, st.lists(temps, min_size=1, max_size=3), st.integers(0, 90), st.integers(0, 30))
def test_ages_only_grow_and_stay_finite(days, degrees, today, later):
    storage, start = storage_of(days, degrees), dt.datetime(2026, 3, 1, 9, tzinfo=dt.UTC)
    one = freshness(ROASTED, start + dt.timedelta(days=today), storage=storage)
    other = freshness(ROASTED, start + dt.timedelta(days=today + later), storage=storage)
    for age in ("rest_days", "stale_days"):
        assert 0.0 <= one[age] <= other[age] < math.inf
    assert one["rest_days"] <= today


@quick
@given(
    st.floats(0.0, 365.0),
    st.floats(1.0, 3650.0),
    st.floats(0.0, 365.0),
    st.integers(0, 400),
    st.integers(0, 400),
)
def test_the_state_agrees_with_the_ages_and_the_limits(rest_days, best_until_days, open_days, age, opened):
    if best_until_days < rest_days:
        return
    window = {"rest_days": rest_days, "best_until_days": best_until_days, "open_days": open_days}
    start = dt.datetime(2026, 3, 1, 9, tzinfo=dt.UTC)
    opened = min(opened, age)
    course = course_of(
        ROASTED, start + dt.timedelta(days=age), window=window, opened_at=start + dt.timedelta(days=opened)
    )
    past = age > best_until_days + 1e-6 or age - opened > open_days + 1e-6
    expected = "past_window" if past else "resting" if age < rest_days - 1e-6 else "in_window"
    edges = (best_until_days - age, open_days - (age - opened), rest_days - age)
    if min(map(abs, edges)) > 1e-6:
        assert course.state(course.today) == expected


def test_a_window_moves_with_the_one_figure_that_is_given():
    assert window_of({"rest_days": 30}).best_until_days == 44
    assert window_of({"best_until_days": 5}).rest_days == 5
    assert window_of(None).open_days == 5
    assert window_of(None, "resealed").open_days == 10


@pytest.mark.parametrize(
    ("field", "given"),
    [
        ("roasted_on", {"roasted_on": "2026-03-11"}),
        ("roasted_on", {"roasted_on": "the first of March"}),
        ("now", {"now": "2026-03-10"}),
        ("time_zone", {"zone": "Lantern/Quay"}),
        ("opened_at", {"opened_at": "2026-02-28T08:00:00Z"}),
        ("opened_at", {"opened_at": "2026-03-12T08:00:00Z"}),
        ("kept", {"kept": "bowl"}),
        ("best_until_days", {"window": {"rest_days": 20, "best_until_days": 10}}),
        ("rest_days", {"window": {"rest_days": -1}}),
        ("open_days", {"window": {"open_days": math.nan}}),
        ("storage", {"storage": [{"from": at(5), "to": at(4), "temp_c": 20.0}]}),
        (
            "storage",
            {"storage": [{"from": at(2), "to": at(5), "temp_c": 20.0}, {"from": at(4), "temp_c": 4.0}]},
        ),
        (
            "storage",
            {"storage": [{"from": at(2), "temp_c": 20.0}, {"from": at(4), "to": at(5), "temp_c": 4.0}]},
        ),
        ("storage", {"storage": [{"from": at(2), "temp_c": -60.0}]}),
        ("frozen_rate", {"frozen_rate": 2.0}),
        ("reference_temp_c", {"reference_temp_c": 40.0}),
        ("activation_energy_kj_mol", {"activation_energy_kj_mol": math.nan}),
    ],
)
def test_what_contradicts_itself_or_is_out_of_range_is_named(field, given):
    with pytest.raises(BadInput) as refused:
        freshness(**{"roasted_on": ROASTED, "now": at(10), **given})
    assert refused.value.field == field
