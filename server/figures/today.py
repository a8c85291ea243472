"""The working day so far, at each site and in all."""

import datetime as dt
from collections.abc import Iterable

from server.compute.statistics import median
from server.fields import parse_instant
from server.figures.gather import day_began, working_day
from server.figures.pulls import DAY, Pulled, on_recipe

# Where several sources count the same hours, the first of these is believed.
SOURCES = ("machine_counter", "till", "weighing", "guess")
USUAL_DAYS = 14  # a usual day is the median of those before today, this far back, that somebody counted


def today(sites: dict[str, dict], pulls: list[Pulled], tallies: list[dict], now: dt.datetime) -> list[dict]:
    """One line for each site and, where there are several, one for all of them with `site_id` null."""
    days = {site_id: working_day(now, site) for site_id, site in sites.items()}
    lines = [_at_site(site, days[site_id], pulls, tallies) for site_id, site in sites.items()]
    if len(lines) < 2:
        return lines
    theirs = [pull for pull in pulls if pull.day == days.get(pull.row["site_id"])]
    summed = {name: _sum(line[name] for line in lines) for name in ("tallied", "usual")}
    return [{"site_id": None, "day": None, **_counts(theirs), **summed}, *lines]


def tallied(rows: list[dict], began: dt.datetime, ended: dt.datetime) -> int | None:
    """Shots counted in [began, ended) by the most trusted source that counted any; None where nobody counted.

    A tally of a longer time gives the part that lies inside, as if its shots were spread evenly.
    """
    by_source: dict[str, float] = {}
    for row in rows:
        if row["shots"] is None:
            continue
        start, end = parse_instant(row["from"]), parse_instant(row["to"])
        inside = min(end, ended) - max(start, began)
        if inside > dt.timedelta(0):
            by_source[row["source"]] = by_source.get(row["source"], 0.0) + row["shots"] * (inside / (end - start))
    return next((round(by_source[source]) for source in SOURCES if source in by_source), None)


def _at_site(site: dict, day: dt.date, pulls: list[Pulled], tallies: list[dict]) -> dict:
    theirs = [pull for pull in pulls if pull.row["site_id"] == site["id"] and pull.day == day]
    counted = [row for row in tallies if row["site_id"] == site["id"]]
    by_day = [_tallied_on(day - n * DAY, site, counted) for n in range(USUAL_DAYS)]
    before = [shots for shots in by_day[1:] if shots is not None]
    usual = round(median(before)) if before else None
    return {"site_id": site["id"], "day": day.isoformat(), **_counts(theirs), "tallied": by_day[0], "usual": usual}


def _tallied_on(day: dt.date, site: dict, rows: list[dict]) -> int | None:
    return tallied(rows, day_began(day, site), day_began(day + DAY, site))


def _sum(values: Iterable[int | None]) -> int | None:
    known = [value for value in values if value is not None]
    return sum(known) if known else None


def _counts(pulls: list[Pulled]) -> dict:
    sunk = [pull for pull in pulls if pull.sunk]
    purposes = [pull.purpose for pull in pulls]
    return {
        "logged": len(pulls),
        "on_recipe": on_recipe(pulls),
        "sunk": len(sunk),
        "sunk_g": sum(pull.row["dose_g"] for pull in sunk),
        **{purpose: purposes.count(purpose) for purpose in ("dial_in", "practice", "warm_up")},
    }
