"""Writes records out with their computed figures, slice by slice, so that any number of them needs little memory."""

import csv
import datetime as dt
import io
import json
from collections.abc import Iterator

from server.clock import to_ms
from server.exchange.guarding import guarded
from server.fields import parse_instant
from server.figures.records import figures_for
from server.records.kind import Kind, Whole
from server.records.kinds import BY_PLURAL, KINDS
from server.store import queries
from server.store.database import reading

FORMATS = ("csv", "jsonl")
SLICE = 200
# The computed figures that get a column, in the order of the columns. JSON Lines has all of them.
COMPUTED = {
    "shot": (
        "ratio", "flow_g_s", "extraction_pct", "u_extraction_pct", "time_to_target_s", "on_recipe", "outside",
        "rest_days", "stale_days", "freshness", "pulled_at_corrected", "clock_doubt_s", "doubts",
    ),
    "bag": (
        "rest_days", "stale_days", "freshness", "condition", "window_from", "window_until", "days_left", "left_g",
        "runs_out_on",
    ),
    "water": (
        "hardness_mg_l_caco3", "alkalinity_mg_l_caco3", "charge_balance_pct", "si_calcite.group", "si_calcite.steam",
        "si_calcite.steam_concentrated", "scale_g_per_week_at_most", "doubts",
    ),
}  # fmt: skip


class ExportRefused(ValueError):
    """The export can't be made; `field` names what is at fault, `remedy` what to do."""

    def __init__(self, field: str, remedy: str):
        super().__init__(f"{field}: {remedy}")
        self.field, self.remedy = field, remedy


def kind_called(name: str) -> Kind:
    """A kind by its name or its plural. Raises ExportRefused."""
    kind = BY_PLURAL.get(name) or KINDS.get(name)
    if kind is None:
        raise ExportRefused("kind", f"is none of: {', '.join(BY_PLURAL)}")
    return kind


def export_lines(
    kind_name: str,
    form: str,
    since: str | None,
    until: str | None,
    now: dt.datetime,
    site_id: str | None = None,
) -> Iterator[str]:
    """The lines of a file with every record of a kind that stands, newest first.

    `form` is one of FORMATS. What is asked wrongly raises ExportRefused here, before any line; the rest runs in one
    read transaction, so that all lines are of the same moment. Needs an app context until the last line.
    """
    kind = kind_called(kind_name)
    bounds = {"since_ms": _ms("since", since), "until_ms": _ms("until", until)}
    if any(bounds.values()) and not kind.at:
        raise ExportRefused("since", f"a {kind.name} has no time of its own: leave since and until out")
    filters = {**bounds, "site_id": site_id}
    return _csv(kind, filters, now) if form == "csv" else _json_lines(kind, filters, now)


def _json_lines(kind: Kind, filters: dict, now: dt.datetime) -> Iterator[str]:
    for record in _records(kind, filters, now):
        yield json.dumps(record, ensure_ascii=False, separators=(",", ":")) + "\n"


def _csv(kind: Kind, filters: dict, now: dt.datetime) -> Iterator[str]:
    """As RFC 4180 has it: a header, CRLF, quotation marks doubled. UTF-8 is up to who writes it."""
    page = io.StringIO()
    writer = csv.writer(page, lineterminator="\r\n")
    columns = columns_of(kind)
    writer.writerow(columns)
    for record in _records(kind, filters, now):
        writer.writerow([cell(_at(record, column)) for column in columns])
        yield _emptied(page)
    yield _emptied(page)


def columns_of(kind: Kind) -> list[str]:
    """The columns of a kind's table: its id, its own fields, then what was computed. A field in a field has a dot."""
    columns = ["id"]
    for name, field in kind.fields.items():
        inner = field.schema.fields if isinstance(field, Whole) else {}
        columns += [f"{name}.{part}" for part in inner] or [name]
    # A water's calcium may be read or computed: one column, since a record has what was read.
    return [*columns, *(name for name in COMPUTED.get(kind.name, ()) if name not in columns)]


def cell(value: object) -> str:
    """A value as one cell; text is kept from running as a formula.

    >>> cell(18.0), cell(True), cell(["dose_g", "yield_g"]), cell("=1+1"), cell(None)
    ('18.0', 'true', 'dose_g yield_g', "'=1+1", '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, list):
        return guarded((" " if all(_is_word(one) for one in value) else "; ").join(map(str, value)))
    return guarded(json.dumps(value, ensure_ascii=False) if isinstance(value, dict) else str(value))


def _is_word(value: object) -> bool:
    return isinstance(value, str) and " " not in value


def _records(kind: Kind, filters: dict, now: dt.datetime) -> Iterator[dict]:
    order, before = "at_ms" if kind.at else "changed_seq", None
    with reading() as session:
        while True:
            rows = queries.listing(session, kind, queries.Filters(**filters, limit=SLICE, before=before))
            figures = figures_for(session, {kind.name: [row["id"] for row in rows]}, now)
            for row in rows:
                own = {"id": row["id"], **{name: row[name] for name in kind.fields if row[name] is not None}}
                yield own | {
                    name: value for name, value in figures.get(row["id"], {}).items() if name not in own
                }
            if len(rows) < SLICE:
                return
            before = (rows[-1][order], rows[-1]["id"])


def _at(record: dict, path: str) -> object:
    value: object = record
    for part in path.split("."):
        value = value.get(part) if isinstance(value, dict) else None
    return value


def _emptied(page: io.StringIO) -> str:
    text = page.getvalue()
    page.seek(0)
    page.truncate()
    return text


def _ms(name: str, text: str | None) -> int | None:
    if text is None:
        return None
    try:
        return to_ms(parse_instant(text))
    except (ValueError, OverflowError) as wrong:
        raise ExportRefused(
            name, "must be a time with its offset, such as 2026-03-01T08:15:00+01:00"
        ) from wrong
