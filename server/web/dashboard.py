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
    """Figures for one site or all; the last six weeks unless `from` and `to` say otherwise. 304 while nothing is new."""
    asked = query_arguments(DashboardArguments())
    first, last = (dt.date.fromisoformat(asked[name]) if name in asked else None for name in ("from", "to"))
    if first and last and not dt.timedelta(0) <= last - first <= dt.timedelta(days=LONGEST_DAYS):
        text = f"must be a day from `from` on, at most {LONGEST_DAYS} days later"
        raise Problem(422, "some fields can't be taken", {"to": [text]})
    with reading() as session:
        etag = dashboard_etag(session, [asked.get(name) for name in ("site_id", "from", "to")], clock())
        if etag in request.if_none_match:
            answer = Response(status=304)
        else:
            answer = jsonify(dashboard(session, asked.get("site_id"), first, last, clock()))
    answer.set_etag(etag)
    return answer
