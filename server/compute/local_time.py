"""The site's own days: ages count in local dates, whatever the clocks did in between."""

import datetime as dt
import re
import zoneinfo

from server.compute.errors import BadInput

MIDNIGHT = dt.time()
DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
FIRST_YEAR, LAST_YEAR = 1970, 2200


def zone_of(name: str) -> zoneinfo.ZoneInfo:
    """A time zone by its name.

    Parameters
    ----------
    name : str
        IANA name, such as `Europe/Lisbon`.

    Returns
    -------
    ZoneInfo
        From the standard library, with the zone data it finds.

    Raises
    ------
    BadInput
        When there is no such zone.

    Notes
    -----
    Source: the IANA time zone database.

    Examples
    --------
    >>> zone_of("Europe/Lisbon").key
    'Europe/Lisbon'
    """
    try:
        return zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, TypeError, OSError) as unknown:
        raise BadInput("time_zone", "is no known time zone: enter one such as Europe/Lisbon") from unknown


def instant(field: str, value: str | dt.datetime) -> dt.datetime:
    """A moment in time, from RFC 3339 text or a datetime that knows its offset.

    Parameters
    ----------
    field : str
        Name of the field that it came in.
    value : str or datetime
        The moment, with its offset from UTC.

    Returns
    -------
    datetime
        Aware.

    Raises
    ------
    BadInput
        When it can't be read, has no offset, or lies outside the years 1970 to 2200.

    Notes
    -----
    Source: RFC 3339, Date and time on the internet: timestamps.

    Examples
    --------
    >>> instant("at", "1996-12-19T16:39:57-08:00").astimezone(dt.UTC).isoformat()
    '1996-12-20T00:39:57+00:00'
    """
    try:
        found = value if isinstance(value, dt.datetime) else dt.datetime.fromisoformat(value.upper())
    except (ValueError, AttributeError) as unread:
        raise BadInput(field, "must be a time such as 2026-03-01T08:15:00+01:00") from unread
    if found.utcoffset() is None:
        raise BadInput(field, "needs its offset from UTC, such as 2026-03-01T08:15:00+01:00")
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise BadInput(field, f"must lie between {FIRST_YEAR} and {LAST_YEAR}: check the year")
    return found


def calendar_date(field: str, value: str | dt.date) -> dt.date:
    """A date without a time, from text or a date.

    Parameters
    ----------
    field : str
        Name of the field that it came in.
    value : str or date
        The date, written YYYY-MM-DD.

    Returns
    -------
    date
        The same.

    Raises
    ------
    BadInput
        When it can't be read as a date.

    Notes
    -----
    Source: RFC 3339, `full-date`.

    Examples
    --------
    >>> calendar_date("roasted_on", "2026-03-01")
    datetime.date(2026, 3, 1)
    """
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return value
    try:
        if not DATE.fullmatch(value):  # fromisoformat also reads week dates and dates without hyphens
            raise ValueError
        return dt.date.fromisoformat(value)
    except (ValueError, TypeError) as unread:
        raise BadInput(field, "must be a date such as 2026-03-01") from unread


def local_date(moment: dt.datetime, zone: dt.tzinfo) -> dt.date:
    """The date that the site's wall calendar shows at a moment.

    Parameters
    ----------
    moment : datetime
        Aware.
    zone : tzinfo
        The site's.

    Returns
    -------
    date
        Local date.

    Raises
    ------
    Nothing

    Notes
    -----
    Definition. The day that a site *counts by* may start at 04:00; ages go by midnight.

    Examples
    --------
    >>> local_date(instant("at", "2026-03-01T23:30:00+00:00"), zone_of("Europe/Paris"))
    datetime.date(2026, 3, 2)
    """
    return moment.astimezone(zone).date()


def day_number(moment: dt.datetime, zone: dt.tzinfo) -> float:
    """Local days since 1 January of year 1 was day 1, with the share of the day that has passed.

    Parameters
    ----------
    moment : datetime
        Aware.
    zone : tzinfo
        The site's.

    Returns
    -------
    float
        Whole part: the local date's ordinal; fraction: time since local midnight over that day's own
        length, which is 23, 24 or 25 h. [local days]

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app: so a day is a day on the wall calendar, also when the clocks change.

    Examples
    --------
    >>> paris = zone_of("Europe/Paris")
    >>> before = instant("at", "2026-03-28T12:00:00+01:00")
    >>> after = instant("at", "2026-03-30T12:00:00+02:00")
    >>> day_number(after, paris) - day_number(before, paris)
    2.0
    """
    date = local_date(moment, zone)
    start, end = _midnight(date, zone), _midnight(date + dt.timedelta(days=1), zone)
    return date.toordinal() + (moment - start) / (end - start)


def _midnight(date: dt.date, zone: dt.tzinfo) -> dt.datetime:
    # In UTC, since the difference of two times in one zone counts wall-clock hours.
    return dt.datetime.combine(date, MIDNIGHT, zone).astimezone(dt.UTC)
