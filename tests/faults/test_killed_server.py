"""SIGKILL of the server at random moments of a round: what it acknowledged is there, what it didn't is sent again."""

import threading
import time
from collections import Counter
from random import Random

import pytest

BATCH = 60


def test_a_server_killed_during_rounds_loses_and_doubles_nothing(bar, tmp_path, record_property):
    kill_and_restart(bar, 5, tmp_path, record_property)


@pytest.mark.nightly
@pytest.mark.parametrize("store", ["sqlite", "postgresql"])
def test_a_server_killed_at_a_hundred_random_moments_loses_and_doubles_nothing(
    bar, tmp_path, record_property
):
    fates = kill_and_restart(bar, 100, tmp_path, record_property)

    # Kills before the commit, and between the commit and the answer: else this would have shown little.
    assert fates["not stored"] >= 5 and fates["stored, answer lost"] >= 5


def kill_and_restart(bar, moments: int, folder, record) -> Counter:
    random, phone, fates = Random(1017), bar.pair(), Counter()
    for _ in range(moments):
        fates[kill_once(bar, phone, random, folder)] += 1
        phone.shot()  # nobody waits for a server
        assert phone.try_round() is None
        bar.server.start()
        phone.drain()
    bar.server.kill()
    assert phone.acknowledged <= bar.left_by_a_kill(folder)
    bar.check(phone)
    for name, count in {"kills": moments, **fates, "entries": len(phone.saved)}.items():
        record(name, count)
    return fates


def kill_once(bar, phone, random: Random, folder) -> str:
    """Kill the server at a random moment of a round; how far the round had come."""
    usual_s = usual_round_s(phone)
    batch, answers = {phone.shot()["entry_id"] for _ in range(BATCH)}, []
    sending = threading.Thread(target=lambda: answers.append(phone.try_round()))
    sending.start()
    phone.shot()  # saved while the round is under way
    threading.Event().wait(random.uniform(0, 1.5) * usual_s)
    bar.server.kill()
    sending.join()
    left = bar.left_by_a_kill(folder)
    assert phone.acknowledged <= left
    assert batch <= left or not batch & left, "a batch is one transaction: stored whole or not at all"
    if answers[0]:
        return "answered"
    return "stored, answer lost" if batch <= left else "not stored"


def usual_round_s(phone) -> float:
    """How long a round of this size takes here and now."""
    for _ in range(BATCH):
        phone.shot()
    started = time.monotonic()
    phone.drain()
    return time.monotonic() - started
