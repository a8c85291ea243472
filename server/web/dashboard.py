"""`GET /api/dashboard`: what the manager's screen shows."""

import datetime as dt

from flask import Blueprint, Response, jsonify, request
from marshmallow import RAISE, Schema

from server.fields import Id, LocalDate
from server.figures.dashboard import dashboard, dashboard_etag
from server.problems import Problem
from server.store.database import reading
from server.web.asking import clock, query_arguments
from server.web.who import managers_only

bp = Blueprint("dashboard", __name__)
LONGEST_DAYS = 400
YEARS = (2000, 2199)


class DashboardArguments(Schema):
    """One site (all of them without), from one local day to another, both included."""

    class Meta:
        unknown = RAISE

    site_id = Id()
    from_ = LocalDate(data_key="from", attribute="from")
    to = LocalDate()


@bp.get("/api/dashboard")
@managers_only
def show_dashboard():
    """Figures for one site or all, of six weeks unless `from` and `to` say otherwise; 304 if nothing is new."""
    asked, now = query_arguments(DashboardArguments()), clock()
    first, last = _range(asked, now.date())
    with reading() as session:
        etag = dashboard_etag(session, [asked.get(name) for name in ("site_id", "from", "to")], now)
        if etag in request.if_none_match:
            answer = Response(status=304)
        else:
            answer = jsonify(dashboard(session, asked.get("site_id"), first, last, now))
    answer.set_etag(etag)
    return answer


def _range(asked: dict, today: dt.date) -> tuple[dt.date | None, dt.date | None]:
    first, last = (dt.date.fromisoformat(asked[name]) if name in asked else None for name in ("from", "to"))
    wrong = {
        name: [f"must be a day of the years {YEARS[0]} to {YEARS[1]}"]
        for name, day in (("from", first), ("to", last))
        if day and not YEARS[0] <= day.year <= YEARS[1]
    }
    if not wrong and first and not dt.timedelta(0) <= (last or today) - first <= dt.timedelta(days=LONGEST_DAYS):
        wrong = {"from": [f"must be a day before `to` (or today), at most {LONGEST_DAYS} days"]}
    if wrong:
        raise Problem(422, "some fields can't be taken", wrong)
    return first, last
