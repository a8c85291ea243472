"""The generator of the demo's data: what phones would have sent, the same for the same seed."""

import datetime as dt
import json
import subprocess
import sys
import uuid
from collections import defaultdict
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from server.demo import generator
from server.fields import parse_instant
from server.records.kinds import KINDS
from server.records.reading import read_change, read_new
from server.sync.envelope import read_entry

LISBON = ZoneInfo("Europe/Lisbon")
AFTERNOON = dt.datetime(2026, 3, 2, 15, 36, tzinfo=LISBON)
SCRIPT = Path(__file__).parents[2] / "demo_data" / "make_demo.py"


@pytest.fixture(scope="module")
def weeks():
    return generator().rounds(7, AFTERNOON)


@pytest.fixture(scope="module")
def entries(weeks):
    return [entry for sent in weeks for entry in sent.entries]


def new_ones(entries, kind: str) -> list[dict]:
    seen, found = set(), []
    for entry in entries:
        if entry["kind"] == kind and entry["record_id"] not in seen:
            seen.add(entry["record_id"])
            found.append(entry)
    return found


def test_the_same_seed_and_moment_give_the_same_entries(entries):
    again = [entry for sent in generator().rounds(7, AFTERNOON) for entry in sent.entries]

    assert again == entries


def test_another_seed_gives_other_shots(entries):
    other = [entry for sent in generator().rounds(8, AFTERNOON) for entry in sent.entries]

    assert {entry["entry_id"] for entry in other}.isdisjoint(entry["entry_id"] for entry in entries)


def test_the_script_writes_json_lines_of_the_same_entries(entries):
    asked = [sys.executable, str(SCRIPT), "--seed", "7", "--today", "2026-03-02"]
    run = subprocess.run(asked, capture_output=True, text=True, check=True, encoding="utf-8")

    assert [json.loads(line) for line in run.stdout.splitlines()] == entries


def test_every_entry_reads_by_the_schemas_that_judge_a_phone(entries):
    known = set()
    for raw in entries:
        entry, errors = read_entry(raw)
        assert errors == {}, raw
        read = read_change if entry["record_id"] in known else read_new
        known.add(entry["record_id"])
        if not (entry["retract"] and not entry["fields"]):
            read(KINDS[entry["kind"]], entry["fields"], parse_instant(entry["made_at"]))


def test_ids_are_of_version_7_and_hold_the_time_at_which_they_were_made(entries):
    # RFC 9562 section 5.7: the first 48 bits are the milliseconds since 1970.
    for entry in entries:
        made = uuid.UUID(entry["entry_id"])
        assert made.version == 7
        at = parse_instant(entry["made_at"])
        assert abs((made.int >> 80) / 1000 - at.timestamp()) < 0.002


def test_each_phone_counts_its_entries_without_a_gap_in_the_order_in_which_it_sent_them(entries):
    counts = defaultdict(list)
    for entry in entries:
        counts[entry["replica_id"]].append(entry["n"])

    assert len(counts) == 4  # three phones and the manager's browser
    assert all(numbers == list(range(1, len(numbers) + 1)) for numbers in counts.values())


def test_a_base_names_an_earlier_entry_that_set_the_same_field(entries):
    set_before = defaultdict(set)
    edits = 0
    for entry in entries:
        names = [*entry["fields"], *(["retract"] if "retract" in entry else [])]
        for name, base in entry["base"].items():
            assert base in set_before[entry["record_id"], name]
            edits += 1
        for name in names:
            set_before[entry["record_id"], name].add(entry["entry_id"])
    assert edits > 5


def test_nothing_is_told_that_had_not_happened_yet(weeks):
    assert all(sent.at <= AFTERNOON for sent in weeks)
    assert all(parse_instant(e["made_at"]) <= AFTERNOON for sent in weeks for e in sent.entries)


def test_the_cart_is_heard_of_in_the_evening_only(weeks):
    theirs = [sent for sent in weeks if sent.phone.name == "Cart phone"][1:]

    assert len(theirs) > 10
    waited = [sent.at - parse_instant(entry["made_at"]) for sent in theirs for entry in sent.entries]
    assert max(waited) > dt.timedelta(hours=6)


def test_one_phone_runs_slow_and_says_so_in_every_time_that_it_writes(weeks):
    slow = next(sent for sent in weeks[5:] if sent.phone.name == "Till phone")

    assert dt.timedelta(minutes=4) < sent_late(slow) < dt.timedelta(minutes=5)
    assert slow.known_offset_s == pytest.approx(sent_late(slow).total_seconds())


def sent_late(sent) -> dt.timedelta:
    return sent.at - parse_instant(sent.sent_at)


def test_six_weeks_hold_what_a_bar_lives_through(entries):
    shots = [entry["fields"] for entry in new_ones(entries, "shot")]
    told = {entry["kind"] for entry in entries}

    assert told >= {
        "tally",
        "water",
        "cartridge",
        "fridge_check",
        "milk_jug",
        "care_done",
        "handover",
        "bag_price",
    }
    happened = {entry["fields"]["what"] for entry in new_ones(entries, "bag_event")}
    assert happened >= {"opened", "frozen", "thawed", "moved", "split", "weighed", "finished"}
    assert {shot["purpose"] for shot in shots} == {"service", "dial_in", "warm_up", "practice"}
    assert {shot.get("fault") for shot in shots} >= {None, "channelling"}
    assert any("mixed_with" in shot for shot in shots)
    assert any(entry["fields"].get("replaces") for entry in entries)
    assert any(entry.get("retract") for entry in entries)
    units = [entry["fields"]["hardness"] for entry in entries if "hardness" in entry["fields"]]
    assert {"value": 17.0, "unit": "dh"} in units


def test_most_shots_are_counted_and_not_logged(entries):
    counted = sum(e["fields"].get("shots", 0) for e in new_ones(entries, "tally"))

    assert counted > 3 * len(new_ones(entries, "shot"))


def test_a_day_at_the_bar_has_some_twelve_to_thirty_logged_shots(entries):
    site = next(e["record_id"] for e in new_ones(entries, "site") if e["fields"]["name"] == "Lantern Quay")
    days = defaultdict(int)
    for entry in new_ones(entries, "shot"):
        if entry["fields"]["site_id"] == site:
            days[entry["fields"]["pulled_at"][:10]] += 1

    assert len(days) == 42
    assert 18 < sum(days.values()) / len(days) < 30


@pytest.mark.parametrize("hour", [0.5, 3.9, 6.6, 8.0, 12.0, 23.9])
def test_the_working_day_has_shots_whatever_the_hour(hour):
    midnight = dt.datetime(2026, 3, 2, tzinfo=LISBON)
    now = (midnight + dt.timedelta(hours=hour)).astimezone(dt.UTC)
    told = generator().rounds(7, now, days=3)
    began = midnight.replace(hour=4) - dt.timedelta(days=1 if hour < 4 else 0)
    pulled = [e["fields"].get("pulled_at") for sent in told for e in sent.entries if e["kind"] == "shot"]

    assert sum(began <= parse_instant(at) <= now for at in pulled if at) >= 3
