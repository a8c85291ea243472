"""A retry that arrives while the first try still runs: each entry is stored once, by whichever of them came first."""

import threading
from collections import Counter
from contextlib import contextmanager

import pytest
from sqlalchemy import select

from server.store.database import reading
from server.store.tables import Entry, RefusedEntry
from server.web import sync

both_databases = pytest.mark.parametrize("store", ["sqlite", "postgresql"])


def batch_of(phone) -> dict:
    """A request with ten good entries and one that will be refused."""
    for _ in range(10):
        phone.shot()
    phone.shot(dose_g=-1)
    return phone.request()


def sender(app, phone, request: dict, answers: list) -> threading.Thread:
    """A thread that sends the request as this phone, on a connection of its own."""
    headers = {"Authorization": f"Bearer {phone.http.get_cookie('evenpull_phone').value}"}
    http = app.test_client()
    return threading.Thread(
        target=lambda: answers.append(http.post("/api/sync", json=request, headers=headers))
    )


def stored(app) -> tuple[Counter, list[str]]:
    with app.app_context(), reading() as session:
        entries = session.scalars(select(Entry.entry_id).where(Entry.kind == "shot")).all()
        return Counter(entries), session.scalars(select(RefusedEntry.entry_id)).all()


def receipts_of(answers: list) -> list[Counter]:
    assert [answer.status_code for answer in answers] == [200] * len(answers)
    return [Counter(receipt["receipt"] for receipt in answer.json["receipts"]) for answer in answers]


@both_databases
def test_a_retry_that_arrives_between_the_writes_and_the_commit_of_the_first_try_doubles_nothing(
    app, phone, monkeypatch
):
    request, first, retry = batch_of(phone), [], []
    has_written, at_the_door = threading.Event(), threading.Event()

    def push_and_stay(*args):
        receipts = push(*args)
        if not has_written.is_set():
            has_written.set()
            assert at_the_door.wait(30)
            retrying.join(0.3)
            assert retrying.is_alive(), "the retry was judged while the first try had not committed"
        return receipts

    @contextmanager
    def knock():
        if has_written.is_set():
            at_the_door.set()
        with writing() as session:
            yield session

    push, writing = sync.push, sync.writing
    monkeypatch.setattr(sync, "push", push_and_stay)
    monkeypatch.setattr(sync, "writing", knock)
    trying, retrying = sender(app, phone, request, first), sender(app, phone, request, retry)
    trying.start()
    assert has_written.wait(30)
    retrying.start()
    trying.join(30)
    retrying.join(30)

    assert receipts_of(first) == [Counter(stored=10, refused=1)]
    assert receipts_of(retry) == [Counter(known=10, refused=1)]
    entries, refused = stored(app)
    assert len(entries) == 10 and set(entries.values()) == {1} and len(refused) == 1


@both_databases
def test_the_same_batch_sent_six_times_at_once_is_stored_once(app, phone):
    request, answers = batch_of(phone), []
    senders = [sender(app, phone, request, answers) for _ in range(6)]
    for thread in senders:
        thread.start()
    for thread in senders:
        thread.join(60)

    told = Counter(str(receipts) for receipts in receipts_of(answers))
    assert sorted(told.values()) == [1, 5] and told[str(Counter(stored=10, refused=1))] == 1
    entries, refused = stored(app)
    assert len(entries) == 10 and set(entries.values()) == {1} and len(refused) == 1
