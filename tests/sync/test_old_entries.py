"""Entries of every form that phones were ever given: a phone may hold one for months before it can send it."""

import datetime as dt
import json
from pathlib import Path

import pytest

from server.records.kind import Scope
from server.records.kinds import KINDS
from server.store import queries
from server.store.database import reading, writing
from server.sync.push import Timing, push
from server.sync.sender import Sender

FOLDER = Path(__file__).parents[2] / "demo_data"
FORMS = sorted(FOLDER.glob("entries-v*.jsonl"))
SENT_AT = dt.datetime(2026, 3, 2, 12, 0, tzinfo=dt.UTC)
# What the first form's file holds. It is never changed, so these figures are neither.
LINES_V1, SITES_V1 = 539, {"Lantern Quay", "Market cart"}


def lines_of(path: Path) -> list[dict]:
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def send(app, entries: list[dict]) -> list[dict]:
    """In batches, as a phone would that had no network until now; as the manager, for all sites at once."""
    receipts = []
    sender = Sender(phone_id=None, site_id=None, is_manager=True)
    for start in range(0, len(entries), 500):
        with app.app_context(), writing() as session:
            receipts += push(session, entries[start : start + 500], sender, Timing(SENT_AT, SENT_AT))
    return receipts


@pytest.mark.parametrize("path", FORMS, ids=lambda path: path.stem)
def test_every_entry_that_a_phone_was_ever_given_is_still_stored(app, path):
    receipts = send(app, lines_of(path))

    assert [receipt for receipt in receipts if receipt["receipt"] != "stored"] == []


@pytest.mark.parametrize("path", FORMS, ids=lambda path: path.stem)
def test_entries_sent_a_second_time_are_known(app, path):
    entries = lines_of(path)
    send(app, entries)

    assert {receipt["receipt"] for receipt in send(app, entries)} == {"known"}


@pytest.mark.parametrize("path", FORMS, ids=lambda path: path.stem)
def test_old_entries_add_up_to_the_records_that_they_describe(app, path):
    entries = lines_of(path)
    send(app, entries)

    with app.app_context(), reading() as session:
        for kind in {entry["kind"] for entry in entries}:
            ids = {entry["record_id"] for entry in entries if entry["kind"] == kind}
            rows = queries.by_ids(session, kind, ids)
            assert rows.keys() == ids
            assert all(row["complete"] for row in rows.values()), kind


def test_the_first_form_is_the_file_that_it_always_was():
    entries = lines_of(FOLDER / "entries-v1.jsonl")

    assert len(entries) == LINES_V1
    assert {entry["fields"]["name"] for entry in entries if entry["kind"] == "site"} == SITES_V1
    assert {entry["protocol"] for entry in entries} == {1}


def test_the_first_form_has_every_kind_of_its_time_an_edit_and_a_withdrawal():
    entries = lines_of(FOLDER / "entries-v1.jsonl")

    told = {entry["kind"] for entry in entries}
    assert told >= {name for name, kind in KINDS.items() if kind.scope is Scope.SITE} - {"tasting"}
    assert told >= {"site", "person", "coffee", "bag", "bag_event", "bag_price", "recipe", "grind_change"}
    assert any(entry["base"] for entry in entries)
    assert any(entry.get("retract") for entry in entries)
