"""`GET /api/sheet/{part}`: what a phone carries all day, in parts, each with its ETag."""

from flask import Blueprint, jsonify, request

from server.figures.sheet import PARTS, sheet_part
from server.problems import Problem
from server.store.database import reading
from server.web.asking import clock
from server.web.who import current_phone, phones_only

bp = Blueprint("sheet", __name__)


@bp.get("/api/sheet/<part>")
@phones_only
def part_of_sheet(part: str):
    """One part for the phone's own site; 304 where the phone has it already."""
    if part not in PARTS:
        raise Problem(404, f"the sheet has the parts {', '.join(PARTS)}")
    site_id = current_phone().site_id
    with reading() as session:
        body, etag = sheet_part(session, part, site_id, clock())
    answer = jsonify(body)
    answer.set_etag(etag)
    return answer.make_conditional(request)
