"""Reads what people write in cells: numbers with a comma or a point, dates in several styles, times, durations.

Nothing is guessed. What could mean two things is settled by the other cells of the same file; where they don't settle
it either, the cell is refused with both readings named.
"""

import datetime as dt
import re
from dataclasses import dataclass
from zoneinfo import ZoneInfo

BLANK = {"", "-", "–", "—", "n/a", "na", "none", "k.a.", "k. a.", "?", "."}
_SPACES = " \u00a0\u2009\u202f"
NUMBER = re.compile(rf"([+-]?)\s*(\d[\d.,'’{_SPACES}]*\d|\d|[.,]\d+)\s*(\D.*)?", re.ASCII)
GROUPED = re.compile(rf"\d{{1,3}}(?:['’{_SPACES}]\d{{3}})*(?:[.,]\d+)*|\d+(?:[.,]\d+)*|[.,]\d+", re.ASCII)
ISO_DATE = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})", re.ASCII)
DOTTED_DATE = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})", re.ASCII)
SLASHED_DATE = re.compile(r"(\d{1,2})([/-])(\d{1,2})\2(\d{4}|\d{2})", re.ASCII)
CLOCK = re.compile(
    r"(\d{1,2})[:.h](\d{2})(?:[:.](\d{2})(?:[.,]\d+)?)?\s*(am|pm|a\.m\.|p\.m\.|uhr|h)?", re.I | re.ASCII
)
MINUTES = re.compile(r"(\d{1,2}):(\d{2})(?:[.,](\d{1,3}))?", re.ASCII)
WITH_HOURS = re.compile(r"\d{1,2}:\d{2}:\d{2}", re.ASCII)


class Unreadable(ValueError):
    """A cell that can't be read; the text says why and what to do."""


@dataclass
class Style:
    """What the cells of one file have shown so far of how it writes numbers and dates."""

    decimal_comma: bool = False
    decimal_point: bool = False
    day_first: bool = False
    month_first: bool = False
    order_given: str | None = None  # "day" or "month", where somebody said which comes first

    def see_number(self, cell: str) -> None:
        """Note which decimal mark a number uses, if that is beyond doubt."""
        digits = _digits(cell)
        mark = _certain_decimal(digits) if digits else None
        self.decimal_comma |= mark == ","
        self.decimal_point |= mark == "."

    def see_date(self, cell: str) -> None:
        """Note whether dates with slashes put the day or the month first, if one of them tells."""
        if found := SLASHED_DATE.match(cell.strip()):
            first, second = int(found[1]), int(found[3])
            self.day_first |= first > 12
            self.month_first |= second > 12

    @property
    def decimal(self) -> str | None:
        if self.decimal_comma == self.decimal_point:
            return None
        return "," if self.decimal_comma else "."

    @property
    def order(self) -> str | None:
        if self.order_given or self.day_first == self.month_first:
            return self.order_given
        return "day" if self.day_first else "month"


def is_blank(cell: str) -> bool:
    return cell.strip().lower() in BLANK


def read_number(cell: str, style: Style) -> tuple[float, str]:
    """A number and the unit written after it ("" if none). Raises Unreadable.

    >>> read_number("18,5 g", Style()), read_number("1.234,5", Style())
    ((18.5, 'g'), (1234.5, ''))
    """
    tidy = cell.strip().replace("−", "-")
    found = NUMBER.fullmatch(tidy)
    if not found or not (digits := _digits(tidy)):
        raise Unreadable(f"“{cell}” is not a number: write one such as 18.5")
    plain = _plain(digits, cell, style)
    return (-1 if found[1] == "-" else 1) * float(plain), (found[3] or "").strip()


def _digits(cell: str) -> str | None:
    """The digits of a number with their marks, spaces and apostrophes between thousands taken out."""
    found = NUMBER.fullmatch(cell.strip().replace("−", "-"))
    if not found or not GROUPED.fullmatch(found[2]):
        return None
    return re.sub(rf"['’{_SPACES}]", "", found[2])


def _certain_decimal(digits: str) -> str | None:
    """The decimal mark of a number, where its shape alone says which it is."""
    marks = [char for char in digits if char in ".,"]
    if len(set(marks)) == 2 and marks.count(marks[-1]) == 1:
        return marks[-1]
    if len(marks) != 1:
        return None
    whole, fraction = re.split("[.,]", digits)
    # 18,5 and 18,25 can only be decimals, and so can 0,850 and 1234,567; 1,234 could be either.
    return marks[0] if len(fraction) != 3 or len(whole) > 3 or whole.lstrip("0") == "" else None


def _plain(digits: str, cell: str, style: Style) -> str:
    """The same number as Python writes it."""
    marks = [char for char in digits if char in ".,"]
    if not marks:
        return digits
    decimal = _certain_decimal(digits)
    if decimal is None and len(marks) == 1:
        decimal = style.decimal
        if decimal is None:
            whole, fraction = re.split("[.,]", digits)
            both = f"{whole}.{fraction} or {whole}{fraction}"
            raise Unreadable(f"“{cell}” could be {both}: write it with another number of decimals, or none")
    thousands = {",": ".", ".": ",", None: marks[0]}[decimal]
    whole, _, fraction = digits.partition(decimal) if decimal else (digits, "", "")
    groups = whole.split(thousands)
    if len(groups) > 1 and (
        len(groups[0]) > 3 or not groups[0] or any(len(group) != 3 for group in groups[1:])
    ):
        raise Unreadable(f"“{cell}” is not a number: its commas and points don't fit")
    return f"{''.join(groups) or '0'}.{fraction or '0'}"


def read_date(cell: str, style: Style) -> dt.date:
    """A calendar date. Raises Unreadable.

    >>> read_date("01.03.2026", Style()).isoformat(), read_date("2026-03-01", Style()).isoformat()
    ('2026-03-01', '2026-03-01')
    """
    text = cell.strip()
    if found := ISO_DATE.fullmatch(text):
        year, month, day = int(found[1]), int(found[2]), int(found[3])
    elif found := DOTTED_DATE.fullmatch(text):
        day, month, year = int(found[1]), int(found[2]), _year(found[3])
    elif found := SLASHED_DATE.fullmatch(text):
        first, second, year = int(found[1]), int(found[3]), _year(found[4])
        day, month = (first, second) if _is_day_first(first, second, cell, style) else (second, first)
    else:
        raise Unreadable(f"“{cell}” is not a date: write it as 2026-03-01")
    try:
        return dt.date(year, month, day)
    except ValueError as wrong:
        raise Unreadable(f"“{cell}” is on no calendar: check day and month") from wrong


def _is_day_first(first: int, second: int, cell: str, style: Style) -> bool:
    if first > 12 or second > 12 or first == second:
        return second <= 12
    if style.order is None:
        raise Unreadable(
            f"“{cell}” could be day {first} of month {second} or day {second} of month {first}, and no other date of "
            "the file tells: say which comes first (--dates day or --dates month), or write 2026-03-01"
        )
    return style.order == "day"


def _year(text: str) -> int:
    return int(text) if len(text) == 4 else 2000 + int(text)


def read_clock(cell: str) -> dt.time:
    """A time of day. Raises Unreadable.

    >>> read_clock("8:05").isoformat(), read_clock("2.30 pm").isoformat()
    ('08:05:00', '14:30:00')
    """
    found = CLOCK.fullmatch(cell.strip())
    try:
        if not found:
            raise ValueError
        hour, half = int(found[1]), (found[4] or "").lower()[:1]
        if half in ("a", "p"):
            if not 1 <= hour <= 12:
                raise ValueError
            hour = hour % 12 + (12 if half == "p" else 0)
        return dt.time(hour, int(found[2]), int(found[3] or 0))
    except ValueError as wrong:
        raise Unreadable(f"“{cell}” is not a time of day: write it as 08:05") from wrong


def read_duration_s(cell: str, style: Style) -> tuple[float, str]:
    """Seconds, written as such or as minutes:seconds; and the unit written after them. Raises Unreadable.

    >>> read_duration_s("0:28", Style()), read_duration_s("28,4", Style())
    ((28.0, 's'), (28.4, ''))
    """
    text = cell.strip()
    if WITH_HOURS.fullmatch(text):  # what a spreadsheet makes of 0:28, and of 28 minutes as well
        raise Unreadable(f"“{cell}” could be minutes or hours: write seconds, such as 28")
    if found := MINUTES.fullmatch(text):
        if int(found[2]) > 59:
            raise Unreadable(f"“{cell}” has more than 59 seconds: write seconds, such as 28")
        return 60 * int(found[1]) + float(f"{int(found[2])}.{found[3] or 0}"), "s"
    return read_number(text.replace("″", "s").replace('"', "s"), style)


def local_instant(day: dt.date, clock: dt.time, zone: ZoneInfo) -> str:
    """A local time as RFC 3339 text with its offset. Raises Unreadable for one that the clocks skipped.

    An hour that comes twice, when clocks go back, is taken as its first time.
    """
    naive = dt.datetime.combine(day, clock)
    local = naive.replace(tzinfo=zone)
    if local.astimezone(dt.UTC).astimezone(zone).replace(tzinfo=None) != naive:
        raise Unreadable(f"{naive:%Y-%m-%d %H:%M} was skipped when clocks went forward: check the time")
    return local.isoformat()
