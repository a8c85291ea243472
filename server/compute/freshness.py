"""Where a bag stands: resting, in its window or past it; how old by either clock; what will change, and when."""

import datetime as dt
from itertools import pairwise

from server.compute.course import Course, course_of
from server.compute.ranges import within
from server.compute.staling import STALING_SOURCE
from server.compute.why import Why

CALENDAR_DAYS = 60


def freshness(
    roasted_on: str | dt.date, now: str | dt.datetime, zone: str | dt.tzinfo = "UTC", **how
) -> dict:
    """Where a bag stands between resting and past its window, and when that will change.

    Parameters
    ----------
    roasted_on, now, zone, **how : as in `course_of`
        The same, with the same units and ranges.

    Returns
    -------
    dict
        `rest_days` and `stale_days` [days], `freshness` (`resting`, `in_window`, `past_window`),
        `window_from` and `window_until` (first and last date, None if never), `days_left` (from today to
        `window_until`; 0 on the last day, negative after it) [days], `assumed` [sentences].

    Raises
    ------
    BadInput
        As `course_of`.

    Notes
    -----
    Rest: local days since roast, those below 0 °C left out. Staling: local days times `staling_rate`.
    Window 7 to 21 days, 5 days open in a hopper, 10 re-sealed: common practice, no source. From now on the
    bag is taken to stay where it is.

    Examples
    --------
    >>> found = freshness("2026-03-01", "2026-03-10T08:00:00+00:00")
    >>> found["rest_days"], found["freshness"], found["window_from"], found["window_until"]
    (9.0, 'in_window', '2026-03-08', '2026-03-22')
    >>> frozen = [{"from": "2026-03-05T00:00:00Z", "temp_c": -18.0}]
    >>> freshness("2026-03-01", "2026-04-10T08:00:00+00:00", storage=frozen)["stale_days"]
    7.6
    """
    return figures_of(course_of(roasted_on, now, zone, **how))


def figures_of(course: Course) -> dict:
    """The figures of a course, as `freshness` returns them.

    Parameters
    ----------
    course : Course
        As `course_of` returns it.

    Returns
    -------
    dict
        As `freshness`.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> figures_of(course_of("2026-03-01", "2026-03-22T08:00:00Z"))["days_left"]
    0
    """
    closes = _iso(course.closes())
    return {
        # A microday of rounding: the sum of many spells shows no more than was put in.
        "rest_days": round(course.rest_days(course.today), 6),
        "stale_days": round(course.stale_days(course.today), 6),
        "freshness": course.state(course.today),
        "window_from": _iso(course.opens()),
        "window_until": closes,
        "days_left": int(course.closes()) - course.today if closes else None,
        "assumed": course.assumed,
    }


def calendar(
    roasted_on: str | dt.date,
    now: str | dt.datetime,
    zone: str | dt.tzinfo = "UTC",
    *,
    days: int = CALENDAR_DAYS,
    **how,
) -> dict:
    """The state of a bag on each of the next local days, today first, and the dates on which it changes.

    Parameters
    ----------
    roasted_on, now, zone, **how : as in `course_of`
        The same, with the same units and ranges.
    days : int
        How many days, 1 to 366. [days]

    Returns
    -------
    dict
        `days`, each with `on` (date) and `freshness`; `changes`, those of them on which the state differs
        from the day before.

    Raises
    ------
    BadInput
        As `course_of`.

    Notes
    -----
    Convention of this app, as `freshness`.

    Examples
    --------
    >>> ahead = calendar("2026-03-01", "2026-03-06T08:00:00+00:00", days=30)
    >>> ahead["changes"]
    [{'on': '2026-03-08', 'freshness': 'in_window'}, {'on': '2026-03-23', 'freshness': 'past_window'}]
    """
    return states_ahead(course_of(roasted_on, now, zone, **how), days)


def states_ahead(course: Course, days: int = CALENDAR_DAYS) -> dict:
    """The states of a course on each of the next local days, as `calendar` returns them.

    Parameters
    ----------
    course : Course
        As `course_of` returns it.
    days : int
        How many days, 1 to 366. [days]

    Returns
    -------
    dict
        As `calendar`.

    Raises
    ------
    BadInput
        When `days` is outside its range.

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> states_ahead(course_of("2026-03-01", "2026-03-10T08:00:00Z"), 2)["days"]
    [{'on': '2026-03-10', 'freshness': 'in_window'}, {'on': '2026-03-11', 'freshness': 'in_window'}]
    """
    within("days", days, 1, 366, "days")
    ahead = [
        {"on": _iso(day), "freshness": course.state(day)} for day in range(course.today, course.today + days)
    ]
    changes = [then for before, then in pairwise(ahead) if then["freshness"] != before["freshness"]]
    return {"days": ahead, "changes": changes}


def why_freshness(course: Course) -> list[Why]:
    """The reasons of both ages and of the state, as data.

    Parameters
    ----------
    course : Course
        As `course_of` returns it.

    Returns
    -------
    list of Why
        For `rest_days`, `stale_days` and `freshness`.

    Raises
    ------
    Nothing

    Notes
    -----
    Sources as in `freshness`.

    Examples
    --------
    >>> [why.figure for why in why_freshness(course_of("2026-03-01", "2026-03-10T08:00:00Z"))]
    ['rest_days', 'stale_days', 'freshness']
    """
    past = [spell for spell in course.unbroken if spell.start < course.today]
    days = {f"days at {spell.temp_c:g} °C": 0.0 for spell in past}
    for spell in past:
        days[f"days at {spell.temp_c:g} °C"] += min(spell.end, course.today) - spell.start
    rates = {f"rate at {spell.temp_c:g} °C": course.stales(spell.temp_c) for spell in past}
    window = course.window
    limits = {"rest_days": window.rest_days, "best_until_days": window.best_until_days}
    within_limits = "rest_days reached, stale_days within best_until_days"
    if course.opened_day is not None:
        limits |= {"open_days": window.open_days, "opened_on": _iso(course.opened_day)}
        within_limits += ", days since opening (freezer left out) within open_days"
    practice = "the roaster's figures, else common practice, no source"
    return [
        Why("rest_days", "local days since roast, those below 0 °C left out", days),
        Why("stale_days", "sum of days x rate", days | rates, STALING_SOURCE, tuple(course.assumed)),
        Why("freshness", f"in window: {within_limits}", limits, practice, window.assumed),
    ]


def _iso(day: float) -> str | None:
    """The date of a local day number; None for one that never comes, or is in no calendar."""
    return dt.date.fromordinal(int(day)).isoformat() if day <= dt.date.max.toordinal() else None
