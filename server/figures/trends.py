"""What the weeks show: share on recipe, strength and extraction, waste by cause, hours of the day."""

import datetime as dt
from collections.abc import Callable, Iterable

from server.clock import as_text
from server.compute.measured import strength_reading
from server.figures.gather import at_of, working_day
from server.figures.pulls import Pulled, on_recipe

STRENGTHS_SHOWN = 60
CAUSES = ("sunk_g", "dial_in_g", "practice_g", "warm_up_g", "purge_g", "milk_g")


def week_of(day: dt.date) -> str:
    """The Monday that a day's week begins with."""
    return (day - dt.timedelta(days=day.weekday())).isoformat()


def share_on_recipe(pulls: list[Pulled]) -> list[dict]:
    """Share of the shots meant for guests that were on recipe, week by week, with its interval."""
    weeks = _by_week((pull.day, pull) for pull in pulls if pull.judged)
    return [{"week": week, **on_recipe(theirs)} for week, theirs in weeks.items()]


def strength_extraction(pulls: list[Pulled]) -> list[dict]:
    """The last shots that somebody measured, with their uncertainty."""
    measured = [pull for pull in pulls if pull.figures["extraction_pct"] is not None]
    return [_measured(pull) for pull in measured[-STRENGTHS_SHOWN:]]


def waste(
    pulls: list[Pulled], purges: list[dict], jugs: list[dict], site_of: Callable[[dict], dict | None]
) -> list[dict]:
    """Grams that nobody drank, by cause and week: dry coffee, and milk poured away. Only what was logged."""
    grams = [(pull.day, _cause(pull), pull.row["dose_g"]) for pull in pulls if _cause(pull)]
    grams += [(working_day(at_of(row), site_of(row)), "purge_g", row["purge_g"] or 0.0) for row in purges]
    grams += [(working_day(at_of(row), site_of(row)), "milk_g", row["poured_away_g"] or 0.0) for row in jugs]
    weeks = _by_week((day, (cause, gone_g)) for day, cause, gone_g in grams)
    return [
        {"week": week, **{cause: sum(gone_g for why, gone_g in of_week if why == cause) for cause in CAUSES}}
        for week, of_week in weeks.items()
    ]


def hours(pulls: list[Pulled]) -> list[dict]:
    """Shots logged in each local hour of the day, over the whole range."""
    all_hours = [pull.hour for pull in pulls]
    return [{"hour": hour, "shots": all_hours.count(hour)} for hour in range(24)]


def _measured(pull: Pulled) -> dict:
    read = strength_reading({name: pull.row[name] for name in ("method", "strength_pct", "brix_pct", "sample_temp_c")})
    return {
        "shot_id": pull.row["id"],
        "at": as_text(pull.at),
        "site_id": pull.row["site_id"],
        "coffee_id": pull.coffee_id,
        "strength_pct": read["strength_pct"],
        "u_strength_pct": read["u_strength_pct"],
        "extraction_pct": pull.figures["extraction_pct"],
        "u_extraction_pct": pull.figures["u_extraction_pct"],
    }


def _cause(pull: Pulled) -> str | None:
    if pull.sunk:
        return "sunk_g"
    return f"{pull.purpose}_g" if pull.purpose != "service" else None


def _by_week(dated: Iterable[tuple[dt.date, object]]) -> dict[str, list]:
    weeks: dict[str, list] = {}
    for day, what in dated:
        weeks.setdefault(week_of(day), []).append(what)
    return dict(sorted(weeks.items()))
