"""The ledger: nothing is skipped by a reader, nothing is lost by a rebuild, redaction empties and keeps the rest."""

import threading

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from server.clock import to_ms
from server.ids import uuid7
from server.store import ledger
from server.store.database import reading, writing
from server.store.record_tables import TABLES
from server.store.tables import Entry
from tests.world import Phone


def rows_of(app) -> dict:
    with app.app_context(), reading() as session:
        return {
            name: [dict(row) for row in session.execute(select(table).order_by(table.c.id)).mappings()]
            for name, table in TABLES.items()
        }


def marks_of(app) -> list:
    with app.app_context(), reading() as session:
        return session.execute(select(Entry.seq, Entry.running, Entry.about_ms).order_by(Entry.seq)).all()


@settings(
    max_examples=15, deadline=None, phases=(Phase.explicit, Phase.generate), suppress_health_check=list(HealthCheck)
)
@given(steps=st.lists(st.tuples(st.integers(0, 1), st.integers(0, 3), st.integers(0, 2)), min_size=1, max_size=12))
def test_rebuilding_the_tables_from_the_ledger_equals_keeping_them_up_to_date(steps, app, manager, site_id, clock):
    phones = [Phone.paired(app, manager, site_id, clock, name) for name in ("bar", "cart")]
    shots = [phones[0].shot() for _ in range(3)]
    phones[0].sync()
    for who, what, which in steps:
        clock.pass_(seconds=40)
        phone, shot = phones[who], shots[which]
        if what == 0:
            phone.save("shot", {"yield_g": 30.0 + which}, shot["record_id"], {"yield_g": shot["entry_id"]})
        elif what == 1:
            phone.save("shot", {}, shot["record_id"], {"retract": None}, retract=which != 1)
        elif what == 2:
            phone.sync()
        else:
            phone.save("shot", {"note": None}, shot["record_id"], {"note": None})
    for phone in phones:
        phone.sync()
    kept, marks = rows_of(app), marks_of(app)

    with app.app_context(), writing() as session:
        ledger.lock(session)
        ledger.rebuild(session)

    assert rows_of(app) == kept and marks_of(app) == marks


both_databases = pytest.mark.parametrize("store", ["sqlite", "postgresql"])


@both_databases
def test_two_writers_at_once_give_out_numbers_without_a_gap_and_no_reader_skips_one(app, manager, site_id, clock):
    phones = [Phone.paired(app, manager, site_id, clock, f"phone {i}") for i in range(4)]
    seen, done = [], threading.Event()

    def read():
        last = 0
        while not done.is_set() or last < 100:
            with app.app_context(), reading() as session:
                page = ledger.after(session, last, site_id, 1000)
            seen.extend(row["seq"] for row in page)
            last = page[-1]["seq"] if page else last
            if done.is_set() and not page:
                return

    def write(phone):
        for _ in range(25):
            phone.shot()
            phone.round()

    reader = threading.Thread(target=read)
    writers = [threading.Thread(target=write, args=(phone,)) for phone in phones]
    for thread in (reader, *writers):
        thread.start()
    for thread in writers:
        thread.join()
    done.set()
    reader.join(30)

    with app.app_context(), reading() as session:
        stored = session.execute(select(Entry.seq).order_by(Entry.seq)).scalars().all()
    assert stored == list(range(1, 102))  # the site, and a hundred shots
    assert seen == stored


@both_databases
def test_a_writer_held_open_holds_up_the_next_and_neither_is_skipped(app, manager, site_id, clock):
    """The second writer waits for the first: were its number given out first, a reader between would miss the first."""
    first, second = (Phone.paired(app, manager, site_id, clock, name) for name in ("first", "second"))
    second.shot()
    started, finished = threading.Event(), threading.Event()

    def later():
        started.set()
        second.round()
        finished.set()

    with app.app_context(), writing() as session:
        ledger.lock(session)
        thread = threading.Thread(target=later)
        thread.start()
        started.wait(5)
        assert not finished.wait(0.3), "the second writer got in while the first held the lock"
    thread.join(30)
    first.sync()

    assert finished.is_set() and set(second.mirror) <= set(first.mirror)


def test_a_redaction_empties_the_fields_and_keeps_id_order_and_fingerprint(app, manager, phone):
    shot = phone.shot(note="Teo had a cold")
    phone.sync()
    with app.app_context(), reading() as session:
        before = ledger.history(session, shot["record_id"])[0]
    answer = manager.http.post(
        f"/api/shots/{shot['record_id']}/redactions", json={"entry_id": shot["entry_id"], "fields": ["note"]}
    )
    assert answer.status_code == 201, answer.json
    phone.sync()

    with app.app_context(), reading() as session:
        after = ledger.history(session, shot["record_id"])[0]
    assert after["fields"]["note"] is None and after["fields"]["dose_g"] == 18.0
    assert (after["seq"], after["fingerprint"]) == (before["seq"], before["fingerprint"])
    assert "note" not in manager.get(f"/api/shots/{shot['record_id']}")
    redactions = [entry for entry in phone.mirror.values() if entry["kind"] == "redact"]
    assert redactions[0]["fields"] == {"entry_id": shot["entry_id"], "fields": ["note"]}

    phone.outbox = {shot["entry_id"]: shot}
    assert phone.round()["receipts"][0]["receipt"] == "known"


def weigh(phone, bag_id, end_id):
    phone.save("bag_event", {"bag_id": bag_id, "at": phone.now(), "what": "weighed", "mass_g": 250})


def change(phone, bag_id, end_id):
    phone.save("bag", {"batch": "B7"}, bag_id, {"batch": None})


def find_it_was_another_bag(phone, bag_id, end_id):
    phone.save("bag_event", {"bag_id": uuid7()}, end_id, {"bag_id": None})


def withdraw_the_end(phone, bag_id, end_id):
    phone.save("bag_event", {}, end_id, {"retract": None}, retract=True)


@pytest.mark.parametrize("end_first", [False, True], ids=["bag first", "end first"])
@pytest.mark.parametrize(
    "then, is_finished",
    [(weigh, True), (change, True), (find_it_was_another_bag, False), (withdraw_the_end, False)],
)
def test_until_when_a_bag_is_in_snapshots_doesnt_depend_on_the_order_of_its_entries(
    app, phone, then, is_finished, end_first
):
    """Whatever was said of a bag after its end, or arrived before the bag, brought it back into every snapshot."""
    bag_id = phone.save("bag", {"coffee_id": uuid7(), "roasted_on": "2026-02-20"})["record_id"]
    end_id = phone.save("bag_event", {"bag_id": bag_id, "at": phone.now(), "what": "finished"})["record_id"]
    if end_first:
        phone.outbox = dict(reversed(phone.outbox.items()))
    phone.round(limit=1)
    phone.sync()
    ended_ms = {about_ms for _, _, about_ms in marks_of(app)[1:]}
    then(phone, bag_id, end_id)
    phone.sync()
    kept = marks_of(app)

    with app.app_context(), writing() as session:
        about_ms = {entry["about_ms"] for entry in ledger.history(session, bag_id)}
        ledger.lock(session)
        ledger.rebuild(session)
    assert ended_ms == {to_ms(phone.clock())}
    assert about_ms == (ended_ms if is_finished else {None})
    assert marks_of(app) == kept
