"""A cart's day with no signal, in fast-forward; then one sync over a slow, lossy link."""

import datetime as dt
import time

import pytest

from server.clock import now
from server.ids import uuid7
from tests.conftest import Clock
from tests.faults.phone import LivePhone
from tests.faults.proxy import Proxy

COFFEE_ID, GRINDER_ID = uuid7(), uuid7()
LOSSY = {
    "pass_on": 2,
    **dict.fromkeys(("refuse", "cut_request", "cut_answer", "truncate_answer", "delay_request"), 1),
}


def test_some_hours_of_a_cart_arrive_complete_over_a_slow_and_lossy_link(bar, tmp_path, record_property):
    live_a_day(bar, tmp_path, record_property, shots=60, bags=3, restarts=2)


@pytest.mark.nightly
@pytest.mark.parametrize("store", ["sqlite", "postgresql"])
def test_a_carts_day_arrives_complete_over_a_slow_and_lossy_link(bar, tmp_path, record_property):
    live_a_day(bar, tmp_path, record_property, shots=300, bags=12, restarts=8)


def live_a_day(bar, folder, record, *, shots: int, bags: int, restarts: int) -> None:
    """Ten hours without a signal end now; a bag and a water come with every `bags`-th part of them."""
    clock = Clock(now() - dt.timedelta(hours=10))
    phone = bar.pair("cart phone", clock)
    saved = {}
    for number in range(shots):
        clock.pass_(seconds=36_000 / shots)
        if number * bags % shots < bags:
            bag_id = open_a_bag(phone)
            phone.save("water", {"sampled_at": phone.now(), "site_id": phone.site_id, "ph": 7.1})
        pull(phone, number, bag_id)
        if number * restarts % shots < restarts:
            saved |= phone.saved
            phone = restart(phone, folder)
    phone.saved = saved | phone.saved
    assert list(phone.outbox) == list(phone.saved)
    sync_once(bar, phone, record)
    bar.check(phone)
    with bar.desk() as manager:
        assert_on_time(manager, phone)


def sync_once(bar, phone: LivePhone, record) -> None:
    phone.clock = now  # the day is over
    with Proxy(bar.server.port, seed=56, odds=LOSSY, bytes_per_s=20_000) as link:
        phone.http.port = link.port
        started = time.monotonic()
        phone.drain()
        took_s = time.monotonic() - started
    assert link.happened.total() > link.happened["pass_on"], "nothing went wrong on this link"
    record("entries", len(phone.saved))
    record("connections", dict(link.happened))
    record("up [bytes]", link.up_bytes)
    record("down [bytes]", link.down_bytes)
    record("sync at 20 kB/s [s]", round(took_s, 1))


def open_a_bag(phone: LivePhone) -> str:
    """A bag that the cart brought along, and its opening; the bag's id."""
    roasted_on = str(phone.clock().date() - dt.timedelta(days=9))
    bag = phone.save("bag", {"coffee_id": COFFEE_ID, "roasted_on": roasted_on, "mass_g": 1000})["record_id"]
    phone.save("bag_event", {"bag_id": bag, "at": phone.now(), "what": "opened"})
    return bag


def pull(phone: LivePhone, number: int, bag_id: str) -> None:
    """A shot with all that a barista taps on a day; every seventh with a taste."""
    told = {"taste": {"acidity": 1, "bitterness": -1}} if number % 7 == 0 else {}
    weighed = {"dose_g": 18 + number % 5 / 10, "yield_g": 36 + number % 9 / 4, "time_s": 24 + number % 11 / 2}
    ground = {"grinder_id": GRINDER_ID, "setting": 12.5 + number // 60 / 4}
    phone.shot(bag_id=bag_id, group="left", **ground, **weighed, **told)


def restart(phone: LivePhone, folder) -> LivePhone:
    """Out of battery, charged, on again: what was on its disk is all that is left."""
    phone.switch_off(folder / "phone.json")
    return LivePhone.switched_on(folder / "phone.json", phone.clock, phone.http.port)


def assert_on_time(manager, phone: LivePhone) -> None:
    """The desk sees each shot at the time at which it was pulled, hours before it arrived."""
    pulled = {e["record_id"]: e["fields"]["pulled_at"] for e in phone.saved.values() if e["kind"] == "shot"}
    shots = manager.get("/api/shots", limit=500)["items"]
    assert {shot["id"]: shot["pulled_at"] for shot in shots} == pulled
    assert not [shot for shot in shots if "pulled_at_corrected" in shot or "clock_doubt_s" in shot]
