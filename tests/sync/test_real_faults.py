"""A real server process that is killed, a real wire that cuts, truncates, delays, repeats. Lost: 0. Doubled: 0."""

import random
import sqlite3
import threading
from contextlib import closing

import pytest

from server.clock import as_text
from tests.bar import Bar
from tests.server_process import ServerProcess
from tests.sync.phones import PythonPhone
from tests.sync.proxy import FAULTS, Proxy
from tests.sync.wire import Wire

BATCH = 120  # entries: some tenths of a second of a server's work


@pytest.fixture
def bar(tmp_path, first_sqlite):
    made = Bar(tmp_path, first_sqlite)
    yield made
    made.close()


@pytest.fixture
def server(bar):
    with ServerProcess(bar.store) as process:
        yield process


def paired(url, bar) -> PythonPhone:
    wire = Wire(url)
    wire.pair(bar.code())
    return PythonPhone(wire, "bar phone")


def save(phone, bar, many):
    for _ in range(many):
        fields = {"at": as_text(phone.now()), "site_id": bar.site_id, "what": "a tap"}
        phone.save("event", None, fields)


def check_store(bar, *phones):
    """The file is whole, holds what phones were given back, and holds nothing twice."""
    with closing(sqlite3.connect(bar.store)) as store:
        assert store.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        stored = [entry_id for (entry_id,) in store.execute("SELECT entry_id FROM entry")]
    assert len(stored) == len(set(stored))
    for phone in phones:
        assert set(phone.mirror) <= set(stored)
    return set(stored)


def kill_at(server, moment_s):
    """Kills the server's process so long after now, from another thread."""

    def wait_and_kill():
        threading.Event().wait(moment_s)
        server.kill()

    killer = threading.Thread(target=wait_and_kill)
    killer.start()
    return killer


def kill_in_the_middle_of_batches(server, bar, moments_s):
    phone = paired(server.url, bar)
    for moment_s in moments_s:
        save(phone, bar, BATCH)
        killer = kill_at(server, moment_s)
        phone.sync(0)
        killer.join()
        check_store(bar, phone)
        server.start()
    phone.sync(0)
    assert phone.outbox == {}
    assert len([entry for entry in phone.mirror.values() if entry["kind"] == "event"]) == BATCH * len(
        moments_s
    )
    check_store(bar, phone)


def test_a_server_killed_in_the_middle_of_a_batch_loses_and_doubles_nothing(server, bar):
    kill_in_the_middle_of_batches(server, bar, [0.02, 0.08, 0.2])


@pytest.mark.nightly
def test_a_server_killed_at_a_hundred_moments_loses_and_doubles_nothing(server, bar):
    chance = random.Random(7)
    kill_in_the_middle_of_batches(server, bar, [chance.uniform(0, 0.6) for _ in range(100)])


def faults(chance, many):
    return [(chance.choice(FAULTS), int(10 ** chance.uniform(0, 3.6))) for _ in range(many)]


def sync_over_a_bad_wire(server, bar, rounds):
    with Proxy("127.0.0.1", server.port) as proxy:
        phone, chance = paired(proxy.url, bar), random.Random(11)
        for _ in range(rounds):
            save(phone, bar, chance.randint(1, 30))
            proxy.faults = faults(chance, 3)
            phone.sync(0)
        proxy.faults = []
        phone.sync(0)
    assert phone.outbox == {}
    assert {entry["entry_id"] for entry in phone.mirror.values()} == check_store(bar, phone)
    return proxy.met


def test_a_wire_that_cuts_truncates_delays_and_repeats_loses_and_doubles_nothing(server, bar):
    assert set(sync_over_a_bad_wire(server, bar, rounds=12)) == set(FAULTS)


@pytest.mark.nightly
def test_a_long_day_on_a_bad_wire_loses_and_doubles_nothing(server, bar):
    assert len(sync_over_a_bad_wire(server, bar, rounds=400)) > 400


def many_at_once(server, bar, phones, entries):
    """All offer all they have at the same moment; how long the slowest took. [s]"""
    held = [paired(server.url, bar) for _ in range(phones)]
    for phone in held:
        save(phone, bar, entries)
    threads = [threading.Thread(target=phone.sync, args=(0,)) for phone in held]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for phone in held:
        phone.sync(0)
    stored = check_store(bar, *held)
    assert len(stored) == phones * entries + 1  # and the site
    for phone in held:
        assert (phone.outbox, phone.refused) == ({}, {})
        assert set(phone.mirror) == stored


def test_phones_that_all_come_at_once_are_all_served(server, bar):
    many_at_once(server, bar, phones=6, entries=30)


@pytest.mark.nightly
def test_fifty_phones_with_four_hundred_entries_each_are_all_served(server, bar):
    many_at_once(server, bar, phones=50, entries=400)
