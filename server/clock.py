"""The only place that asks what time it is; tests hand in another."""

import datetime as dt
from collections.abc import Callable

Clock = Callable[[], dt.datetime]


def now() -> dt.datetime:
    """This instant, in UTC."""
    return dt.datetime.now(dt.UTC)


def to_ms(instant: dt.datetime) -> int:
    """Milliseconds since 1970, rounded down.

    >>> to_ms(dt.datetime(2022, 2, 22, 19, 22, 22, tzinfo=dt.UTC))
    1645557742000
    """
    return (instant - dt.datetime(1970, 1, 1, tzinfo=dt.UTC)) // dt.timedelta(milliseconds=1)


def from_ms(ms: int) -> dt.datetime:
    return dt.datetime(1970, 1, 1, tzinfo=dt.UTC) + dt.timedelta(milliseconds=ms)


def as_text(instant: dt.datetime) -> str:
    """RFC 3339 in UTC, to the millisecond."""
    return instant.astimezone(dt.UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
