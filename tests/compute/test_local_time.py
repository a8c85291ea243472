"""Ages in the site's own days, against the standard library's zone data, over changes of the clock."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.compute.errors import BadInput
from server.compute.local_time import calendar_date, day_number, instant, local_date, zone_of

quick = settings(derandomize=True, max_examples=150, deadline=None)

# Both hemispheres; a change at midnight (Santiago, Azores, Cairo); half an hour (Lord Howe); two hours (Troll); none.
ZONES = [
    "Europe/Lisbon",
    "Europe/Berlin",
    "Atlantic/Azores",
    "Australia/Sydney",
    "Australia/Lord_Howe",
    "America/Santiago",
    "Africa/Cairo",
    "Antarctica/Troll",
    "America/New_York",
    "Asia/Kolkata",
    "UTC",
]
moments = st.datetimes(
    min_value=dt.datetime(2020, 1, 1), max_value=dt.datetime(2035, 1, 1), timezones=st.just(dt.UTC)
)


@quick
@given(moments, st.sampled_from(ZONES))
def test_a_local_date_is_the_one_that_the_library_shows(moment, name):
    assert local_date(moment, zone_of(name)) == moment.astimezone(ZoneInfo(name)).date()
    assert int(day_number(moment, zone_of(name))) == moment.astimezone(ZoneInfo(name)).date().toordinal()


@quick
@given(moments, st.timedeltas(dt.timedelta(seconds=1), dt.timedelta(days=3)), st.sampled_from(ZONES))
def test_a_later_moment_has_a_later_day_number(moment, later, name):
    assert day_number(moment, zone_of(name)) < day_number(moment + later, zone_of(name))


@pytest.mark.parametrize("name", ZONES)
def test_a_year_has_as_many_local_days_as_the_calendar_whatever_the_clocks_did(name):
    zone = ZoneInfo(name)
    for year in (2024, 2025, 2026):
        start, end = (dt.datetime(y, 1, 1, 12, tzinfo=zone) for y in (year, year + 1))
        days = (dt.date(year + 1, 1, 1) - dt.date(year, 1, 1)).days
        assert day_number(end, zone) - day_number(start, zone) == pytest.approx(days, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "before", "after", "hours"),
    [
        ("Europe/Berlin", "2026-03-28T12:00", "2026-03-29T12:00", 23),  # clocks forward
        ("Europe/Berlin", "2026-10-24T12:00", "2026-10-25T12:00", 25),  # clocks back
        ("Australia/Sydney", "2026-10-03T12:00", "2026-10-04T12:00", 23),
        ("Australia/Sydney", "2026-04-04T12:00", "2026-04-05T12:00", 25),
    ],
)
def test_noon_to_noon_is_one_day_though_the_clocks_change(name, before, after, hours):
    zone = ZoneInfo(name)
    noon, next_noon = (dt.datetime.fromisoformat(text).replace(tzinfo=zone) for text in (before, after))
    assert (next_noon.astimezone(dt.UTC) - noon.astimezone(dt.UTC)) == dt.timedelta(hours=hours)
    assert local_date(next_noon, zone) - local_date(noon, zone) == dt.timedelta(days=1)
    # A wall-clock noon sits 11 or 13 h into the changed day, so half an hour per day at most is lost or gained.
    assert day_number(next_noon, zone) - day_number(noon, zone) == pytest.approx(1.0, abs=0.5 / 23 + 1e-9)


@pytest.mark.parametrize(("day", "hours"), [("2026-03-29", 23), ("2026-06-01", 24), ("2026-10-25", 25)])
def test_the_share_of_a_day_goes_by_that_days_own_length(day, hours):
    zone, date = ZoneInfo("Europe/Berlin"), dt.date.fromisoformat(day)
    midnight = dt.datetime.combine(date, dt.time(), zone).astimezone(dt.UTC)
    for hour in (0, 1, 5, 22):
        moment = midnight + dt.timedelta(hours=hour)
        assert day_number(moment, zone) == pytest.approx(date.toordinal() + hour / hours, abs=1e-9)


def test_rfc_3339_times_are_read_with_their_offset():
    # RFC 3339, 5.8: the same instant in two offsets.
    assert instant("at", "1996-12-19T16:39:57-08:00") == instant("at", "1996-12-20T00:39:57Z")


@pytest.mark.parametrize(
    "wrong",
    ["yesterday", "2026-03-01T08:00:00", 5, None, "0001-01-01T00:00:00+00:00", "2300-01-01T00:00:00Z"],
)
def test_a_time_that_cannot_be_used_is_refused_by_its_name(wrong):
    with pytest.raises(BadInput) as refused:
        instant("opened_at", wrong)
    assert refused.value.field == "opened_at"


@pytest.mark.parametrize("wrong", ["2026-02-30", "2026-W01-1", "20260301", "", None, dt.datetime(2026, 3, 1)])
def test_a_date_that_cannot_be_used_is_refused_by_its_name(wrong):
    with pytest.raises(BadInput) as refused:
        calendar_date("roasted_on", wrong)
    assert refused.value.field == "roasted_on"


@pytest.mark.parametrize("wrong", ["Lantern/Quay", "", "../secret", "Europe", None])
def test_an_unknown_zone_is_refused_by_its_name(wrong):
    with pytest.raises(BadInput) as refused:
        zone_of(wrong)
    assert refused.value.field == "time_zone"
