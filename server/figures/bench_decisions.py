"""What the machine's side asks to be decided: a grinder, the water, a phone, what the server refused."""

import datetime as dt
from collections.abc import Iterator

from server.clock import from_ms
from server.compute.statistics import wilson_interval
from server.figures.gather import working_day
from server.figures.picture import Picture, decision
from server.figures.series import says_something, time_tolerance_s

# Conventions of this app; common practice, no source.
GRINDER_DAYS = 7  # how far back a grinder's shots are judged together:
JUDGED_SHOTS = (10, 20)  # at least so many, and no more than the last so many
TESTS_DUE_DAYS = 30  # where a site hasn't said how often it tests its water
SILENT_HOURS = 24  # a cart has no network all day, so a phone may be silent for one
REFUSED_DAYS = 7


def look_at_grinder(picture: Picture) -> Iterator[dict]:
    """A grinder whose shots for guests are out of tolerance more often than not, and not by chance."""
    for (site_id, grinder_id, recipe_id), lately in _lately_in_tolerance(picture).items():
        shots = lately[-JUDGED_SHOTS[1] :]
        low, high = wilson_interval(sum(shots), len(shots))
        if len(shots) >= JUDGED_SHOTS[0] and high < 0.5:
            yield decision(
                picture,
                "look_at_grinder",
                site_id,
                picture.days[site_id],
                f"time-{grinder_id}-{recipe_id}",
                about=(picture.grinders.get(grinder_id) or {}).get("name"),
                figure={"on": sum(shots), "of": len(shots), "share": sum(shots) / len(shots), "low": low, "high": high},
                reason={"coffee": picture.coffees.get(picture.recipes[recipe_id]["coffee_id"], {}).get("name")},
            )


def _lately_in_tolerance(picture: Picture) -> dict[tuple[str, str | None, str], list[bool]]:
    """For each site, grinder and recipe: whether each shot of the last days was in tolerance, oldest first."""
    found: dict[tuple, list[bool]] = {}
    for pull in picture.pulls:
        site_id = pull.row["site_id"]
        lately = pull.day > picture.days[site_id] - dt.timedelta(days=GRINDER_DAYS)
        if lately and pull.purpose == "service" and says_something(pull):
            recipe = picture.recipes[pull.row["recipe_id"]]
            off_s = abs(pull.figures["time_to_target_s"] - recipe["time_s"])
            key = site_id, pull.row["grinder_id"], recipe["id"]
            found.setdefault(key, []).append(off_s <= time_tolerance_s(recipe))
    return found


def water_test_due(picture: Picture) -> Iterator[dict]:
    for site_id, site in picture.sites.items():
        row, today = picture.waters.get(site_id), picture.days[site_id]
        due_days = site["tests_due_days"] or TESTS_DUE_DAYS
        tested = working_day(from_ms(row["at_ms"]), site) if row else None
        due = tested + dt.timedelta(days=due_days) if tested else today
        if due <= today:
            yield decision(
                picture,
                "water_test_due",
                site_id,
                due,
                "water",
                figure={"days_since": (today - tested).days if tested else None},
                reason={"due_days": due_days, "assumed": site["tests_due_days"] is None},
            )


def water_outside(picture: Picture) -> Iterator[dict]:
    """What a site's last water has outside the machine maker's limits: those decide the warranty."""
    for site_id in picture.sites:
        row = picture.waters.get(site_id)
        for name, of in (row["figures"].get("maker") or {} if row else {}).items():
            if of["verdict"] in ("above", "below"):
                limit = of["high"] if of["verdict"] == "above" else of["low"]
                figure = {"property": name, "value": of["value"]}
                today, reason = picture.days[site_id], {"limit": limit, "verdict": of["verdict"]}
                yield decision(picture, "water_outside", site_id, today, "water", figure=figure, reason=reason)


def phone_silent(picture: Picture) -> Iterator[dict]:
    for phone in picture.phones:
        hours = phone["hours_since"]
        if not phone["is_script"] and (hours is None or hours >= SILENT_HOURS):
            figure = {"hours_since": hours, "waiting": phone["waiting"]}
            today = picture.days.get(phone["site_id"])
            reason = {"silent_hours": SILENT_HOURS}
            yield decision(picture, "phone_silent", phone["site_id"], today, "phones", figure=figure, reason=reason)


def refused_entries(picture: Picture) -> Iterator[dict]:
    for site_id, count in picture.refused:
        reason = {"days": REFUSED_DAYS}
        today = picture.days.get(site_id)
        yield decision(picture, "refused_entries", site_id, today, "phones", figure={"entries": count}, reason=reason)
