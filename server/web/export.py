"""`GET /api/export/{kind}.csv` and `.jsonl`: the records with their computed figures, as a file."""

from flask import Blueprint, Response, stream_with_context
from marshmallow import RAISE, Schema, fields

from server.exchange.exporting import ExportRefused, export_lines, kind_called
from server.fields import Id
from server.problems import Problem
from server.web.asking import clock, query_arguments
from server.web.who import managers_only

bp = Blueprint("export", __name__)
TYPES = {"csv": "text/csv; charset=utf-8; header=present", "jsonl": "application/jsonl; charset=utf-8"}


class ExportArguments(Schema):
    """What an export can be narrowed by."""

    class Meta:
        unknown = RAISE

    site_id = Id()
    since = fields.String()
    until = fields.String()


@bp.get("/api/export/<kind>.csv")
@managers_only
def export_table(kind: str):
    """Every record of a kind that stands, newest first, as a table; sent on as it is read."""
    return _file(kind, "csv")


@bp.get("/api/export/<kind>.jsonl")
@managers_only
def export_json_lines(kind: str):
    """The same as JSON lines."""
    return _file(kind, "jsonl")


def _file(kind: str, form: str) -> Response:
    asked = query_arguments(ExportArguments())
    try:
        name = kind_called(kind).plural
        lines = export_lines(kind, form, asked.get("since"), asked.get("until"), clock(), asked.get("site_id"))
    except ExportRefused as refused:
        status = 404 if refused.field == "kind" else 422
        raise Problem(status, str(refused), {refused.field: [refused.remedy]}) from refused
    answer = Response(stream_with_context(lines), content_type=TYPES[form])
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}.{form}"'
    return answer
