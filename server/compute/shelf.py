"""The figures of a bag on the shelf: how fresh, in what condition, how much is left, how long that lasts."""

import datetime as dt
import math
from collections.abc import Iterable

from server.compute.bag_history import History, history_of
from server.compute.course import Course, course_of
from server.compute.errors import BadInput
from server.compute.freshness import CALENDAR_DAYS, figures_of, states_ahead, why_freshness
from server.compute.local_time import instant, local_date, zone_of
from server.compute.ranges import within
from server.compute.why import Why

AGES = ("rest_days", "stale_days", "freshness", "window_from", "window_until", "days_left", "assumed")
TOO_FAR_DAYS = 3650  # a date ten years off says nothing about a bag of coffee
WINDOW_FIGURES = ("rest_days", "best_until_days", "open_days")


def bag_figures(
    bag: dict,
    bag_events: Iterable[dict] = (),
    *,
    now: str | dt.datetime,
    coffee: dict | None = None,
    zone: str = "UTC",
    logged_dose_g: float = 0.0,
    daily_use_g: float | None = None,
) -> dict:
    """A bag at a moment, as the shelf shows it.

    Parameters
    ----------
    bag : dict
        `roasted_on`, and where known `mass_g` [g].
    bag_events : iterable of dict
        What happened to it, as for `history_of`.
    now : str or datetime
        The moment, with its offset.
    coffee : dict, optional
        Its `rest_days`, `best_until_days`, `open_days` come before common practice. [days]
    zone : str
        The site's time zone.
    logged_dose_g : float
        Sum of the doses logged since `counted_from`, 0 to 1 000 000. [g]
    daily_use_g : float, optional
        What a day usually takes, 0 to 1 000 000; 0 never runs out. [g/day]

    Returns
    -------
    dict
        `rest_days`, `stale_days`, `freshness`, `window_from`, `window_until`, `days_left` as `freshness` [days];
        `condition`; `left_g` [g] with `left_how`; `runs_out_on` (date); `assumed` and `doubts` [sentences].
        None is what can't be known.

    Raises
    ------
    BadInput
        When a mass is outside its range, or `now`, the time of an event or the zone can't be read. A bag whose
        own dates contradict one another has no ages, and says so in `doubts`.

    Notes
    -----
    Convention of this app. A finished bag keeps the ages that it had when it was finished.

    Examples
    --------
    >>> bag = {"roasted_on": "2026-03-01", "mass_g": 1000.0}
    >>> found = bag_figures(bag, now="2026-03-10T08:00:00+00:00", logged_dose_g=180.0, daily_use_g=200.0)
    >>> found["freshness"], found["condition"], found["left_g"], found["runs_out_on"]
    ('in_window', 'sealed', 820.0, '2026-03-14')
    >>> found["left_how"]
    'mass of 1000 g less 180 g of logged doses; shots that nobody logged are not in it'
    """
    history = history_of(bag_events, instant("now", now))
    left_g, left_how = _left(bag, history, within("logged_dose_g", logged_dose_g, 0.0, 1e6, "g"))
    figures, doubts = dict.fromkeys(AGES), []
    try:
        figures = figures_of(_course(bag, history, coffee, now, zone))
    except BadInput as wrong:
        doubts.append(str(wrong))
    return {
        **figures,
        "condition": history.condition,
        "left_g": left_g,
        "left_how": left_how,
        "runs_out_on": _runs_out_on(left_g, daily_use_g, instant("now", now), zone),
        "assumed": [*(figures["assumed"] or []), *history.assumed],
        "doubts": doubts,
    }


def bag_calendar(
    bag: dict,
    bag_events: Iterable[dict] = (),
    *,
    now: str | dt.datetime,
    coffee: dict | None = None,
    zone: str = "UTC",
    days: int = CALENDAR_DAYS,
) -> dict:
    """A bag's state on each of the next local days, and the dates on which it changes.

    Parameters
    ----------
    bag, bag_events, now, coffee, zone : as in `bag_figures`
        The same.
    days : int
        How many, 1 to 366. [days]

    Returns
    -------
    dict
        `days` and `changes`, as `calendar`; both empty for a bag that is finished, or whose dates contradict
        one another.

    Raises
    ------
    BadInput
        When `now`, the time of an event, or the zone can't be read, or `days` is outside its range.

    Notes
    -----
    Convention of this app; the bag is taken to stay where it is.

    Examples
    --------
    >>> opened = [{"at": "2026-03-10T07:00:00Z", "what": "opened"}]
    >>> ahead = bag_calendar({"roasted_on": "2026-03-01"}, opened, now="2026-03-10T08:00:00Z")
    >>> ahead["changes"]
    [{'on': '2026-03-16', 'freshness': 'past_window'}]
    """
    history = history_of(bag_events, instant("now", now))
    try:
        course = _course(bag, history, coffee, now, zone)
    except BadInput:
        return {"days": [], "changes": []}
    if history.condition == "finished":
        return {"days": [], "changes": []}
    return states_ahead(course, days)


def bag_reasons(
    bag: dict,
    bag_events: Iterable[dict] = (),
    *,
    now: str | dt.datetime,
    coffee: dict | None = None,
    zone: str = "UTC",
) -> list[Why]:
    """Why a bag's ages and state are what they are, as data.

    Parameters
    ----------
    bag, bag_events, now, coffee, zone : as in `bag_figures`
        The same.

    Returns
    -------
    list of Why
        As `why_freshness`; none for a bag whose dates contradict one another.

    Raises
    ------
    BadInput
        When `now`, the time of an event, or the zone can't be read.

    Notes
    -----
    Sources as in `why_freshness`.

    Examples
    --------
    >>> [why.figure for why in bag_reasons({"roasted_on": "2026-03-01"}, now="2026-03-10T08:00:00Z")]
    ['rest_days', 'stale_days', 'freshness']
    """
    history = history_of(bag_events, instant("now", now))
    try:
        return why_freshness(_course(bag, history, coffee, now, zone))
    except BadInput:
        return []


def counted_from(bag_events: Iterable[dict], now: str | dt.datetime) -> dt.datetime | None:
    """From when on logged doses are taken off what the bag weighed.

    Parameters
    ----------
    bag_events : iterable of dict
        What happened to it, as for `history_of`.
    now : str or datetime
        The moment, with its offset.

    Returns
    -------
    datetime or None
        The last weighing; None for a bag that was never weighed: from its first dose on.

    Raises
    ------
    BadInput
        When a time can't be read.

    Notes
    -----
    Convention of this app. A split is no weighing: what it took is taken off as well.

    Examples
    --------
    >>> weighed = [{"at": "2026-03-10T07:00:00Z", "what": "weighed", "mass_g": 640.0}]
    >>> counted_from(weighed, "2026-03-11T08:00:00Z").isoformat()
    '2026-03-10T07:00:00+00:00'
    """
    return history_of(bag_events, instant("now", now)).weighed_at


def _course(bag: dict, history: History, coffee: dict | None, now: str | dt.datetime, zone: str) -> Course:
    return course_of(
        bag["roasted_on"],
        history.finished_at or now,
        zone,
        storage=history.storage,
        opened_at=history.opened_at,
        kept=history.kept,
        window={name: (coffee or {}).get(name) for name in WINDOW_FIGURES},
    )


def _left(bag: dict, history: History, logged_dose_g: float) -> tuple[float | None, str]:
    """What should still be in the bag, and how that was reckoned."""
    if history.finished_at:
        return 0.0, "finished"
    weighed = history.weighed_g is not None
    start_g = history.weighed_g if weighed else bag.get("mass_g")
    if start_g is None:
        return None, "never weighed: weigh the bag to know what is left"
    began = f"weighed at {start_g:g} g" if weighed else f"mass of {start_g:g} g"
    split = f" and {history.split_off_g:g} g split off" if history.split_off_g else ""
    how = f"{began} less {logged_dose_g:g} g of logged doses{split}; shots that nobody logged are not in it"
    left_g = start_g - logged_dose_g - history.split_off_g
    if left_g < 0.0:
        return 0.0, f"{how}; more was taken than it held: weigh it again"
    return left_g, how


def _runs_out_on(left_g: float | None, daily_use_g: float | None, now: dt.datetime, zone: str) -> str | None:
    if left_g is None or not daily_use_g:
        return None
    days = math.floor(left_g / within("daily_use_g", daily_use_g, 0.0, 1e6, "g/day"))
    if days > TOO_FAR_DAYS:
        return None
    return (local_date(now, zone_of(zone)) + dt.timedelta(days=days)).isoformat()
