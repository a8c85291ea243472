"""Numbers, dates, times and durations as people write them; what could mean two things is never guessed."""

import datetime as dt
from zoneinfo import ZoneInfo

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.exchange.units import UnknownUnit, convert, water_unit
from server.exchange.values import (
    Style,
    Unreadable,
    is_blank,
    local_instant,
    read_clock,
    read_date,
    read_duration_s,
    read_number,
)

LISBON = ZoneInfo("Europe/Lisbon")


def style(*numbers: str, dates: tuple = (), **given) -> Style:
    """What a file with these cells has shown."""
    seen = Style(**given)
    for cell in numbers:
        seen.see_number(cell)
    for cell in dates:
        seen.see_date(cell)
    return seen


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("18,5", 18.5),
        ("18.5", 18.5),
        ("18", 18.0),
        ("-3", -3.0),
        ("\u22123,5", -3.5),  # the minus sign of Unicode
        (",5", 0.5),
        ("0,850", 0.85),
        ("1234,567", 1234.567),
        ("1.234,5", 1234.5),
        ("1,234.5", 1234.5),
        ("1.234.567", 1234567.0),
        ("1 234,5", 1234.5),
        ("1\u00a0234,5", 1234.5),  # a no-break space, as French sheets have it
        ("1'234.5", 1234.5),  # as Swiss sheets have it
    ],
)
def test_a_number_whose_shape_is_beyond_doubt_is_read_whatever_the_file(cell, value):
    for seen in (style(), style("36,2"), style("36.2")):
        assert read_number(cell, seen) == (value, "")


def test_a_comma_before_three_digits_is_settled_by_the_other_cells_of_the_file():
    assert read_number("1,234", style("36,2")) == (1.234, "")
    assert read_number("1,234", style("36.2")) == (1234.0, "")
    assert read_number("1.234", style("36.2")) == (1.234, "")
    assert read_number("1.234", style("36,2")) == (1234.0, "")


@pytest.mark.parametrize(
    "seen", [style(), style("36,2", "36.2")], ids=["no other cell tells", "they disagree"]
)
def test_a_comma_before_three_digits_that_nothing_settles_is_refused_with_both_readings(seen):
    with pytest.raises(Unreadable, match=r"1\.234 or 1234"):
        read_number("1,234", seen)


@pytest.mark.parametrize(
    "cell", ["", "abc", "NaN", "inf", "1e3", "1.2.3", "18;5", "12 5", "1,23,4", "0x10", "١٨", "=18"]
)
def test_what_is_no_number_is_refused_or_left_with_a_unit_that_nobody_knows(cell):
    try:
        value, unit = read_number(cell, style())
    except Unreadable:
        return
    assert unit
    with pytest.raises(UnknownUnit):
        convert(value, unit, "g")


@given(st.floats(0, 99_999, allow_nan=False).map(lambda value: round(value, 2)))
def test_two_decimals_read_the_same_with_a_comma_and_a_point(value):
    text = f"{value:.2f}"

    assert read_number(text, Style()) == read_number(text.replace(".", ","), Style()) == (value, "")


@given(
    st.integers(0, 10**9),
    st.integers(0, 99),
    st.sampled_from([(".", ","), (",", "."), (" ", ","), ("'", ".")]),
)
def test_thousands_in_groups_read_as_the_number_that_python_formats(whole, cents, marks):
    thousands, decimal = marks
    text = f"{whole:,}".replace(",", thousands) + f"{decimal}{cents:02d}"

    assert read_number(text, Style())[0] == pytest.approx(whole + cents / 100, rel=1e-12)


@pytest.mark.parametrize(
    ("cell", "date"),
    [
        ("2026-03-01", "2026-03-01"),
        ("2026/3/1", "2026-03-01"),
        ("01.03.2026", "2026-03-01"),
        ("1. 3. 2026", "2026-03-01"),
        ("1.3.26", "2026-03-01"),
        ("13/2/2026", "2026-02-13"),
        ("2/13/2026", "2026-02-13"),
        ("3/3/2026", "2026-03-03"),
        ("29.02.2028", "2028-02-29"),
    ],
)
def test_a_date_that_can_be_only_one_day_is_read(cell, date):
    assert read_date(cell, Style()).isoformat() == date


def test_a_date_with_slashes_is_settled_by_the_other_dates_of_the_file():
    assert read_date("1/3/2026", style(dates=("25/2/2026",))) == dt.date(2026, 3, 1)
    assert read_date("1/3/2026", style(dates=("2/25/2026",))) == dt.date(2026, 1, 3)


def test_a_date_with_slashes_is_settled_by_whoever_says_what_comes_first():
    assert read_date("1/3/2026", Style(order_given="day")) == dt.date(2026, 3, 1)
    assert read_date("1/3/2026", Style(order_given="month")) == dt.date(2026, 1, 3)


@pytest.mark.parametrize(
    "dates", [(), ("25/2/2026", "2/25/2026")], ids=["no other date tells", "they disagree"]
)
def test_a_date_with_slashes_that_nothing_settles_is_refused_with_both_readings(dates):
    with pytest.raises(Unreadable, match="day 1 of month 3 or day 3 of month 1"):
        read_date("1/3/2026", style(dates=dates))


@pytest.mark.parametrize(
    "cell", ["31.02.2026", "2026-13-01", "29.02.2026", "0.1.2026", "32/1/2026", "yesterday", "", "20260301"]
)
def test_what_is_on_no_calendar_is_refused(cell):
    with pytest.raises(Unreadable):
        read_date(cell, Style())


@given(st.dates(dt.date(2000, 1, 1), dt.date(2099, 12, 31)))
def test_every_date_reads_the_same_in_iso_and_in_dotted_style(date):
    assert read_date(date.isoformat(), Style()) == read_date(f"{date:%d.%m.%Y}", Style()) == date


@pytest.mark.parametrize(
    ("cell", "clock"),
    [
        ("8:05", "08:05:00"),
        ("08:05:30", "08:05:30"),
        ("8.05", "08:05:00"),
        ("8h05", "08:05:00"),
        ("8:05 Uhr", "08:05:00"),
        ("12:10 am", "00:10:00"),
        ("12:10 pm", "12:10:00"),
        ("1:10PM", "13:10:00"),
        ("00:00", "00:00:00"),
    ],
)
def test_a_time_of_day_is_read(cell, clock):
    assert read_clock(cell).isoformat() == clock


@pytest.mark.parametrize("cell", ["25:10", "8:60", "13:00 pm", "0:10 am", "noon", "8", ""])
def test_what_is_no_time_of_day_is_refused(cell):
    with pytest.raises(Unreadable):
        read_clock(cell)


@pytest.mark.parametrize(
    ("cell", "seconds"),
    [("28", 28), ("28,4", 28.4), ("0:28", 28), ("00:28", 28), ("1:05", 65), ("0:28,4", 28.4), ("3:30", 210)],
)
def test_a_duration_is_read_in_seconds_or_in_minutes_and_seconds(cell, seconds):
    assert read_duration_s(cell, Style())[0] == pytest.approx(seconds)


def test_a_duration_carries_its_unit():
    assert read_duration_s("28 s", Style()) == (28.0, "s")
    assert read_duration_s('28"', Style()) == (28.0, "s")


@pytest.mark.parametrize("cell", ["00:28:00", "0:75", "half a minute"])
def test_a_duration_that_could_be_hours_or_has_too_many_seconds_is_refused(cell):
    with pytest.raises(Unreadable, match="write"):
        read_duration_s(cell, Style())


def test_a_local_time_has_the_offset_of_its_own_day():
    # Zone data of the standard library: Lisbon is at UTC in winter and an hour ahead in summer.
    assert local_instant(dt.date(2026, 2, 1), dt.time(8, 5), LISBON) == "2026-02-01T08:05:00+00:00"
    assert local_instant(dt.date(2026, 7, 1), dt.time(8, 5), LISBON) == "2026-07-01T08:05:00+01:00"


def test_a_local_time_that_the_clocks_skipped_is_refused():
    # Clocks in Lisbon went from 01:00 to 02:00 on 29 March 2026 (last Sunday of March, Directive 2000/84/EC).
    with pytest.raises(Unreadable, match="skipped"):
        local_instant(dt.date(2026, 3, 29), dt.time(1, 30), LISBON)


@pytest.mark.parametrize("cell", ["", " ", "-", "–", "n/a", "N/A", "k.A.", "?"])
def test_a_dash_or_a_word_for_nothing_is_a_blank(cell):
    assert is_blank(cell)


def test_nought_is_no_blank():
    assert not is_blank("0")


@pytest.mark.parametrize(
    ("theirs", "ours", "pint_from", "pint_to"),
    [
        ("kg", "g", "kilogram", "gram"),
        ("oz", "g", "ounce", "gram"),
        ("min", "s", "minute", "second"),
        ("psi", "bar", "psi", "bar"),
        ("kPa", "bar", "kilopascal", "bar"),
        ("°F", "°C", "degF", "degC"),
        ("mS/cm", "µS/cm", "millisiemens/centimeter", "microsiemens/centimeter"),
    ],
)
def test_a_unit_converts_as_a_general_unit_library_says(theirs, ours, pint_from, pint_to):
    expected = pint.UnitRegistry().Quantity(12.5, pint_from).to(pint_to).magnitude

    assert convert(12.5, theirs, ours) == pytest.approx(expected, rel=1e-9)


def test_a_volume_is_no_yield():
    with pytest.raises(UnknownUnit, match="never a volume"):
        convert(36, "ml", "g")


@pytest.mark.parametrize(
    ("written", "unit"),
    [
        ("°dH", "dh"),
        ("º dH".replace(" ", ""), "dh"),
        ("mg/L CaCO₃", "mg_l_caco3"),
        ("°fH", "fh"),
        ("gpg", "gpg"),
    ],
)
def test_a_unit_of_hardness_is_known_as_kits_write_it(written, unit):
    assert water_unit("hardness", written) == unit


def test_a_hardness_without_a_unit_says_nothing():
    with pytest.raises(UnknownUnit, match="needs its unit"):
        water_unit("hardness", "")


def test_a_unit_of_alkalinity_is_no_unit_of_hardness():
    with pytest.raises(UnknownUnit):
        water_unit("hardness", "mg/l HCO3")
