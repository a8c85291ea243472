"""A link that cuts, delays, repeats and truncates, in both directions: nothing is lost, nothing is doubled."""

from random import Random

import pytest

from tests.faults.proxy import Proxy

TO_REQUESTS = ["refuse", "cut_request", "truncate_request", "delay_request"]
TWICE = ["repeat_request", "repeat_at_once", "repeat_old"]
TO_ANSWERS = ["cut_answer", "truncate_answer", "delay_answer"]
FAULTS = [*TO_REQUESTS, *TWICE, *TO_ANSWERS]


def test_two_phones_on_a_bad_link_lose_and_double_nothing(bar, record_property):
    endure(bar, 60, record_property)


@pytest.mark.nightly
@pytest.mark.parametrize("store", ["sqlite", "postgresql"])
def test_two_phones_on_a_bad_link_for_hundreds_of_rounds_lose_and_double_nothing(bar, record_property):
    happened = endure(bar, 800, record_property)

    assert all(happened[fault] >= 20 for fault in FAULTS), happened


def endure(bar, rounds: int, record):
    random = Random(2203)
    with Proxy(bar.server.port, seed=4019, odds={"pass_on": 6, **dict.fromkeys(FAULTS, 1)}) as link:
        phones = [bar.pair(name) for name in ("bar", "cart")]
        for phone in phones:
            phone.http.port = link.port
        for _ in range(rounds):
            phone = random.choice(phones)
            work(phone, random)
            phone.try_round(limit=random.choice([1, 5, 500]))
        link.heal()
        for phone in (*phones, *phones):  # twice: the first has not seen what the second brought
            phone.drain()
    bar.check(*phones)
    entries = sum(len(phone.saved) for phone in phones)
    record("rounds", rounds)
    record("entries", entries)
    record("no whole answer", sum(phone.statuses[None] for phone in phones))
    record("faults", dict(sorted(link.happened.items())))
    return link.happened


def work(phone, random: Random) -> None:
    """Some shots, and now and then an edit of one that this phone knows, by whomever."""
    for _ in range(random.randrange(4)):
        phone.shot()
    shots = [entry for entry in phone.mirror.values() if "dose_g" in entry["fields"]]
    if shots and random.random() < 0.3:
        shot = random.choice(shots)
        weighed_g = round(random.uniform(30, 45), 1)
        phone.save("shot", {"yield_g": weighed_g}, shot["record_id"], {"yield_g": shot["entry_id"]})
