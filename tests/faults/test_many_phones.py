"""A whole company's phones come back at the same moment: nothing is lost, nobody is turned away."""

import threading
import time

import pytest


def test_several_phones_at_once_lose_nothing(bar, record_property):
    all_at_once(bar, 8, 40, record_property)


@pytest.mark.nightly
@pytest.mark.parametrize("store", ["sqlite", "postgresql"])
def test_fifty_phones_at_once_lose_nothing(bar, record_property):
    all_at_once(bar, 50, 400, record_property)


def all_at_once(bar, count: int, entries: int, record) -> None:
    phones = [bar.pair(f"phone {i}") for i in range(count)]
    for phone in phones:
        for _ in range(entries):
            phone.shot()
    waits, whole, gate = [], [], threading.Barrier(count)

    def come_back(phone):
        gate.wait()
        started = time.monotonic()
        while phone.outbox:
            phone.try_round()
        waits.append(time.monotonic() - started)
        phone.drain()
        whole.append(time.monotonic() - started)

    threads = [threading.Thread(target=come_back, args=(phone,)) for phone in phones]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for phone in phones:
        phone.drain()  # what the last ones brought

    assert set().union(*(phone.statuses for phone in phones)) == {200}
    bar.check(*phones)
    record("phones", count)
    record("entries each", entries)
    record("slowest until its own are off it [s]", round(max(waits), 1))
    record("median of that [s]", round(sorted(waits)[count // 2], 1))
    record("slowest until it has all of the others' [s]", round(max(whole), 1))
