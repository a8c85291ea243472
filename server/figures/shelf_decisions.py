"""What the shelf asks to be decided: what to take off, to open, to use first, to order."""

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Iterator

from server.compute.window import window_of
from server.figures.picture import Picture, decision
from server.figures.pulls import DAY

# Conventions of this app; common practice, no source.
AHEAD_DAYS = 14  # how far ahead a gap on the shelf is looked for
LATELY_DAYS = 14  # a coffee is in use if it was pulled for guests this lately,
IN_USE_SHOTS = 3  # this often
LONG_PAST_DAYS = 28  # so long past its window, a bag that nobody finished is rather forgotten than open
LEAVING_DAYS = 2  # a sealed bag with no more days than this is to be used first, or frozen


def past_window(picture: Picture) -> Iterator[dict]:
    """One by one while somebody may still pour them; those long past were most likely thrown away without a word."""
    past = _stocked(picture, "past_window")
    long_past = Counter(bag["site_id"] for bag in past if bag["days_left"] < -LONG_PAST_DAYS)
    for site_id, count in long_past.items():
        figure, reason = {"bags": count}, {"days": LONG_PAST_DAYS}
        yield decision(
            picture, "long_past_window", site_id, picture.days.get(site_id), "shelf", figure=figure, reason=reason
        )
    for bag in past:
        if bag["days_left"] < -LONG_PAST_DAYS:
            continue
        yield _bag_decision(
            picture, "past_window", bag, picture.days.get(bag["site_id"]), over=bag["condition"] == "open"
        )


def leaving_window(picture: Picture) -> Iterator[dict]:
    """A sealed bag about to leave its window: open it first, or freeze it."""
    for bag in _stocked(picture, "in_window"):
        if bag["condition"] == "sealed" and bag["days_left"] is not None and bag["days_left"] <= LEAVING_DAYS:
            yield _bag_decision(picture, "leaving_window", bag, dt.date.fromisoformat(bag["window_until"]))


def open_a_bag(picture: Picture) -> Iterator[dict]:
    """A coffee in use has no open bag in window, and a sealed one that is."""
    for site_id, coffee_id in _in_use(picture):
        ready = [bag for bag in _of(picture, site_id, coffee_id) if bag["freshness"] == "in_window"]
        sealed = [bag for bag in ready if bag["condition"] == "sealed"]
        if sealed and all(bag["condition"] != "open" for bag in ready):
            yield _bag_decision(picture, "open_a_bag", sealed[0], picture.days[site_id])


def nothing_in_window(picture: Picture) -> Iterator[dict]:
    for site_id, coffee_id in _in_use(picture):
        today, bags = picture.days[site_id], _of(picture, site_id, coffee_id)
        gaps = _runs(day for day in _days(today, AHEAD_DAYS) if not any(_covers(bag, day) for bag in bags))
        if not gaps:
            continue
        coffee = picture.coffees.get(coffee_id, {})
        rest_days = window_of({"rest_days": coffee.get("rest_days")}).rest_days
        # To be ready when the gap begins, a bag has to be roasted this long before.
        by = max(today, gaps[0][0] - dt.timedelta(days=rest_days))
        yield decision(
            picture,
            "nothing_in_window",
            site_id,
            by,
            "shelf",
            about=coffee.get("name"),
            over=gaps[0][0] == today,
            figure={"gaps": [[first.isoformat(), last.isoformat()] for first, last in gaps]},
            reason={"ahead_days": AHEAD_DAYS, "rest_days": rest_days},
        )


def _bag_decision(picture: Picture, what: str, bag: dict, by: dt.date | None, over: bool = False) -> dict:
    figure = {name: bag[name] for name in ("left_g", "days_left", "roasted_on")}
    reason = {"window_until": bag["window_until"], "condition": bag["condition"]}
    link, about = f"bag-{bag['id']}", bag["coffee"]
    return decision(picture, what, bag["site_id"], by, link, about=about, over=over, figure=figure, reason=reason)


def _stocked(picture: Picture, freshness: str) -> Iterable[dict]:
    """Bags in this state that are on the shelf, not in the freezer, and not known to be empty."""
    shelf = (bag for bag in picture.bags if bag["condition"] != "frozen" and bag["left_g"] != 0)
    return [bag for bag in shelf if bag["freshness"] == freshness]


def _of(picture: Picture, site_id: str, coffee_id: str) -> list[dict]:
    """A coffee's bags at a site (or at none), those that leave their window first at the top."""
    theirs = (bag for bag in picture.bags if bag["coffee_id"] == coffee_id and bag["left_g"] != 0)
    return [bag for bag in theirs if bag["site_id"] in (site_id, None)]


def _in_use(picture: Picture) -> list[tuple[str, str]]:
    """Each (site, coffee) that was pulled for guests often enough lately."""
    counts: Counter = Counter()
    for pull in picture.pulls:
        site_id = pull.row["site_id"]
        if site_id in picture.days and pull.coffee_id and pull.purpose == "service":
            counts[site_id, pull.coffee_id] += pull.day > picture.days[site_id] - dt.timedelta(days=LATELY_DAYS)
    return sorted(key for key, count in counts.items() if count >= IN_USE_SHOTS)


def _covers(bag: dict, day: dt.date) -> bool:
    """Whether a bag is in window on a day. One that never leaves it, being frozen, counts: it can be taken out."""
    if bag["window_from"] is None or day.isoformat() < bag["window_from"]:
        return False
    return bag["window_until"] is None or day.isoformat() <= bag["window_until"]


def _days(first: dt.date, count: int) -> Iterator[dt.date]:
    return (first + DAY * n for n in range(count))


def _runs(days: Iterable[dt.date]) -> list[list[dt.date]]:
    """Days in order, as [first, last] of each unbroken run."""
    runs: list[list[dt.date]] = []
    for day in days:
        if runs and day - runs[-1][1] == DAY:
            runs[-1][1] = day
        else:
            runs.append([day, day])
    return runs
