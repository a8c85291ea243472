"""`POST /api/sync`: one round of the protocol."""

from flask import Blueprint, jsonify

from server.clock import as_text, to_ms
from server.fields import parse_instant
from server.figures.records import figures_for
from server.figures.sheet import sheet_etags
from server.problems import Problem
from server.store import access
from server.store.database import reading, writing
from server.sync.envelope import ENTRY_LIMIT, OLDEST_APP, PROTOCOL, PROTOCOLS_SERVED, RoundSchema
from server.sync.pull import Limits, Page, pull
from server.sync.push import Timing, push
from server.web.asking import checked, clock, json_body, settings
from server.web.who import current_phone, phones_only, sender

bp = Blueprint("sync", __name__)


@bp.post("/api/sync")
@phones_only
def sync():
    """Entries up, entries and figures down. Safe to repeat in whole or in part, however it was cut off."""
    body = json_body()
    _check_protocol(body.get("protocol"))  # first: another protocol may have other fields
    asked = checked(RoundSchema(), body)
    if len(asked["entries"]) > ENTRY_LIMIT:
        raise Problem(413, f"a round may hold {ENTRY_LIMIT} entries: send fewer at a time", limit_entries=ENTRY_LIMIT)
    now, site_id = clock(), current_phone().site_id
    receipts = _take(asked, now)
    limits = Limits(settings().page_limit_entries, settings().page_limit_bytes, settings().snapshot_days)
    with reading() as session:
        page = pull(session, asked["cursor"], site_id, _stored(receipts), limits, now)
        figures = figures_for(session, _touched(page), now)
        etags = sheet_etags(session, site_id, now)
    return jsonify(
        protocol=PROTOCOL,
        server_time=as_text(now),
        oldest_app=OLDEST_APP,
        database_id=page.database_id,
        receipts=receipts,
        entries=page.entries,
        figures=figures,
        cursor=page.cursor,
        more=page.more,
        snapshot=page.snapshot,
        sheet=etags,
        **({"restart": page.restart} if page.restart else {}),
    )


def _take(asked: dict, now) -> list[dict]:
    phone, who = current_phone(), sender()
    seen_lately = (phone.last_seen_ms or 0) > to_ms(now) - access.MINUTE_MS // 2
    if not asked["entries"] and seen_lately and phone.waiting == asked["waiting"]:
        return []  # nothing to write: a phone that only asks doesn't cost a commit
    phone_id = phone.id
    with writing() as session:
        # What this round brings is off the phone once it is answered.
        left = max(0, asked["waiting"] - len(asked["entries"])) if asked["waiting"] is not None else None
        access.heard_from(session, phone_id, to_ms(now), left, asked["app"])
        timing = Timing(parse_instant(asked["sent_at"]), now, asked["known_offset_s"])
        return push(session, asked["entries"], who, timing) if asked["entries"] else []


def _stored(receipts: list[dict]) -> list[str]:
    return [receipt["entry_id"] for receipt in receipts if receipt["receipt"] != "refused"]


def _touched(page: Page) -> dict[str, list[str]]:
    touched: dict[str, list[str]] = {}
    for entry in page.entries:
        touched.setdefault(entry["kind"], []).append(entry["record_id"])
    return touched


def _check_protocol(protocol: object) -> None:
    is_version = isinstance(protocol, int) and not isinstance(protocol, bool) and protocol >= 0
    if is_version and protocol not in PROTOCOLS_SERVED:
        behind = "phone" if protocol < min(PROTOCOLS_SERVED) else "server"
        raise Problem(409, f"the {behind} needs an update first", update=behind, oldest_app=OLDEST_APP)
