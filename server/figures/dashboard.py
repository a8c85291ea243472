"""What the manager's screen shows, gathered from one range of the store: the same work however much lies before it."""

import datetime as dt
import hashlib
import json

from sqlalchemy.orm import Session

from server.clock import as_text, from_ms, to_ms
from server.figures import trends
from server.figures.bench_decisions import REFUSED_DAYS
from server.figures.decisions import decisions
from server.figures.gather import working_day
from server.figures.picture import Picture
from server.figures.pulls import DAY, Pulled, pulled, span_ms
from server.figures.series import Around, time_to_target
from server.figures.shelf import shelf
from server.figures.shelf_decisions import LATELY_DAYS
from server.figures.today import USUAL_DAYS, today
from server.figures.waters import water_figures
from server.store import access, board, queries

RANGE_DAYS = 42
MINUTE_MS, HOUR_MS = 60_000, 3_600_000
MADE_ANEW_MS = 5 * MINUTE_MS  # hours and days go by without any entry


def dashboard(
    session: Session, site_id: str | None, first: dt.date | None, last: dt.date | None, now: dt.datetime
) -> dict:
    """The picture of one site, or of all for None: its working days from `first` to `last`, and how it stands now."""
    every = {site["id"]: site for site in queries.everything(session, "site")}
    sites = {i: site for i, site in every.items() if site_id in (None, i)}
    today_is = max((working_day(now, site) for site in sites.values()), default=now.date())
    last = last or today_is
    first = first or last - dt.timedelta(days=RANGE_DAYS - 1)
    pulls = pulled(session, sites, first, last)
    lately = today_is - dt.timedelta(days=LATELY_DAYS), today_is
    recent = pulls if first <= lately[0] and lately[1] <= last else pulled(session, sites, *lately)
    shown = ("id", "name", "currency", "time_zone")
    return {
        "made_at": as_text(now),
        "from": first.isoformat(),
        "to": last.isoformat(),
        "site_id": site_id,
        "sites": [{name: site[name] for name in shown} for site in every.values()],
        **_standing(session, site_id, sites, recent, now),
        **_charts(session, site_id, every, pulls, span_ms(sites.values(), first, last)),
    }


def dashboard_etag(session: Session, asked: list, now: dt.datetime) -> str:
    """Changes whenever the picture does, without working it out: many may look at it, all day."""
    parts = [board.state(session, MINUTE_MS), asked, to_ms(now) // MADE_ANEW_MS]
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:20]


def _standing(
    session: Session, site_id: str | None, sites: dict[str, dict], pulls: list[Pulled], now: dt.datetime
) -> dict:
    """How things stand now, whatever range is looked at."""
    coffees = {row["id"]: row for row in queries.everything(session, "coffee")}
    waters = {i: row for i, row in board.latest_waters(session).items() if i in sites}
    refused = board.refused_since(session, site_id, to_ms(now - dt.timedelta(days=REFUSED_DAYS)))
    began_ms = to_ms(now - (USUAL_DAYS + 1) * DAY)
    tallies = board.facts_between(session, "tally", sites, began_ms, to_ms(now) + 1)
    picture = Picture(
        now=now,
        sites=sites,
        coffees=coffees,
        grinders={row["id"]: row for row in queries.everything(session, "grinder")},
        recipes=queries.by_ids(session, "recipe", {pull.row["recipe_id"] for pull in pulls}),
        pulls=pulls,
        bags=shelf(session, site_id, now),
        waters={i: {**row, "figures": water_figures(session, row)} for i, row in waters.items()},
        phones=_phones(session, site_id, now),
        refused=refused,
    )
    return {
        "coffees": {i: row["name"] for i, row in coffees.items()},
        "decisions": decisions(picture),
        "today": today(sites, pulls, tallies, now),
        "phones": picture.phones,
        "refused": sum(count for _, count in refused),
        "bags": picture.bags,
        "water": [_water(site_id, picture.waters.get(site_id)) for site_id in sites],
    }


def _charts(
    session: Session, site_id: str | None, every: dict[str, dict], pulls: list[Pulled], span: tuple[int, int]
) -> dict:
    grinders = {row["id"]: row for row in queries.everything(session, "grinder")}
    around = Around(
        recipes=queries.by_ids(session, "recipe", {pull.row["recipe_id"] for pull in pulls}),
        bags=queries.by_ids(session, "bag", {pull.row["bag_id"] for pull in pulls}),
        changes=board.shared_between(session, "grind_change", *span),
        events=board.shared_between(session, "grinder_event", *span),
    )

    def site_of(row: dict) -> dict | None:
        at = row["site_id"] or (grinders.get(row.get("grinder_id")) or {}).get("site_id")
        return every.get(at)

    here = [row for row in around.changes if site_id is None or (site_of(row) or {}).get("id") == site_id]
    jugs = board.facts_between(session, "milk_jug", [i for i in every if site_id in (None, i)], *span)
    return {
        "grinders": {i: row["name"] for i, row in grinders.items()},
        "time_to_target": time_to_target(pulls, around),
        "share_on_recipe": trends.share_on_recipe(pulls),
        "strength_extraction": trends.strength_extraction(pulls),
        "waste": trends.waste(pulls, here, jugs, site_of),
        "hours": trends.hours(pulls),
    }


def _phones(session: Session, site_id: str | None, now: dt.datetime) -> list[dict]:
    """The phones that may still come in, those silent longest first."""
    paired = [phone for phone in access.phones(session) if phone.revoked_ms is None]
    return [
        {
            "id": phone.id,
            "name": phone.name,
            "site_id": phone.site_id,
            "is_script": phone.is_script,
            "last_seen_at": as_text(from_ms(phone.last_seen_ms)) if phone.last_seen_ms else None,
            "hours_since": _hours(to_ms(now) - phone.last_seen_ms) if phone.last_seen_ms else None,
            "waiting": phone.waiting,
        }
        for phone in sorted(paired, key=lambda phone: phone.last_seen_ms or 0)
        if site_id in (None, phone.site_id)
    ]


def _hours(ms: int) -> float:
    """Whole tenths of an hour that have gone by, so that a day isn't over before it is."""
    return ms // (HOUR_MS // 10) / 10


def _water(site_id: str, row: dict | None) -> dict:
    """A site's last sample with its figures; nulls before the first."""
    if row is None:
        return {"site_id": site_id, **dict.fromkeys(("id", "sampled_at", "source", "figures"))}
    at = as_text(from_ms(row["at_ms"]))
    return {
        "site_id": site_id,
        "id": row["id"],
        "sampled_at": at,
        "source": row["source"],
        "figures": row["figures"],
    }
