"""A cart's day in fast-forward: everything recorded with no signal, the app closed and killed, one sync at night."""

import datetime as dt
from urllib.parse import urlsplit

import pytest

from tests.browser.battery import Killable
from tests.browser.phones import Phone
from tests.sync.proxy import Proxy

SHOTS, BAGS, WATERS, RESTARTS = 300, 6, 6, 8
# A phone at the edge of a cell, from memory, not verified.
SLOW_BYTES_S = 16_000
LOSSES = [
    ("cut_request", 3000),
    ("cut_answer", 0),
    ("none", 0),
    ("cut_answer", 4000),
    ("repeat", 0),
    ("cut_request", 9),
]


def a_days_work(bar, coffee_id):
    """Every change of the day, in order: bags that arrive, waters that are tested, shots, corrections to some."""
    began = bar.now() - dt.timedelta(hours=9)
    for number in range(SHOTS):
        at = (began + dt.timedelta(seconds=100 * number)).isoformat(timespec="seconds")
        if number % (SHOTS // BAGS) == 0:
            roasted_on = (began.date() - dt.timedelta(days=8)).isoformat()
            bag = {"coffee_id": coffee_id, "roasted_on": roasted_on, "mass_g": 1000, "site_id": bar.site_id}
            yield {"kind": "bag", "fields": bag}
            hardness = {"value": 6, "unit": "dh"}
            yield {
                "kind": "water",
                "fields": {"sampled_at": at, "site_id": bar.site_id, "hardness": hardness},
            }
        figures = {
            "dose_g": 18 + number % 9 / 10,
            "yield_g": 40 + number % 7 / 10,
            "time_s": 24 + number % 11,
        }
        yield {
            "kind": "shot",
            "fields": {"pulled_at": at, "site_id": bar.site_id, **figures, "fate": "served"},
        }


@pytest.fixture
def link(bar):
    """All that a phone says to the bar goes through here; its syncs go slowly, and some not at all."""
    host, port = urlsplit(bar.url).netloc.split(":")
    with Proxy(host, int(port), only=b"POST /api/sync", bytes_s=SLOW_BYTES_S) as proxy:
        bar.url = proxy.url
        yield proxy


def test_a_cart_syncs_its_whole_day_at_once_over_a_slow_and_lossy_link(driver, browser_path, bar, link, tmp_path):
    cart = Killable(driver, browser_path, tmp_path / "cart", service_workers="block")
    coffee_id = bar.make("coffees", name="Tarn Hollow")
    bar.limit(page_limit_entries=60)  # so that there are rounds enough for the faults
    work = list(a_days_work(bar, coffee_id))
    share = len(work) // RESTARTS + 1
    for restart in range(RESTARTS):
        phone = Phone(cart.start(), bar)
        for change in work[restart * share : (restart + 1) * share]:
            phone.save(change)
        cart.kill() if restart % 2 else phone.context.close()

    phone = Phone(cart.start(), bar)
    assert len(phone.stored("outbox")) == SHOTS + BAGS + WATERS
    phone.pair()
    link.faults = list(LOSSES)
    tries = 1
    while phone.sync() != "delivered":
        tries += 1

    assert (tries, link.faults) == (5, [])  # the link was as bad as that
    assert (phone.stored("outbox"), phone.stored("refused")) == ([], [])
    kinds = dict(bar.rows("SELECT kind, count(*) FROM entry GROUP BY kind"))
    assert (kinds["shot"], kinds["bag"], kinds["water"]) == (SHOTS, BAGS, WATERS)
    assert all(not record["waiting"] for record in phone.stored("records"))
    print(f"a cart's day: {link.up} bytes up, {link.down} bytes down, {len(link.met)} rounds, {tries} tries")
    assert link.up < 150_000
    assert link.down < 400_000
    phone.context.close()
