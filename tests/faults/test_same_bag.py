"""Two phones and a manager touch one bag while the phones have no signal: the order in which they sync is no matter."""

import datetime as dt

from server.clock import now
from tests.conftest import Clock


def test_a_bag_touched_on_two_phones_and_at_the_desk_ends_the_same_in_either_order(bar):
    ends = []
    for bar_first in (True, False):
        at_bar, at_cart = bar.pair("bar phone"), bar.pair("cart phone")
        with bar.desk() as manager:
            bag_id = touch(manager, at_bar, at_cart)
        for phone in (at_bar, at_cart) if bar_first else (at_cart, at_bar):
            phone.clock = now  # the signal is back
            phone.drain()
        at_bar.drain()
        at_cart.drain()
        assert at_bar.mirror.keys() == at_cart.mirror.keys()
        with bar.desk() as manager:
            ends.append(end_of(manager, bag_id))

    assert ends[0] == ends[1]
    assert ends[0] == {
        "mass_g": 960.0,  # both weighed it out anew, having seen 1000: the later one counts
        "roasted_on": "2026-02-21",  # changed at the bar alone
        "batch": "B7",  # changed at the desk alone
        "clashes": ["mass_g"],
        "mass_g in the history": [960.0, 980.0, 1000.0],
        "happened": ["opened", "opened"],  # each phone's own record: neither is lost
    }


def touch(manager, at_bar, at_cart) -> str:
    """Both phones hold the bag, lose the signal and change it, minutes apart; the manager changes it meanwhile."""
    coffee_id = manager.add("coffees", name="Tarn Hollow")["id"]
    bag_id = manager.add("bags", coffee_id=coffee_id, roasted_on="2026-02-20", mass_g=1000)["id"]
    for phone in (at_bar, at_cart):
        phone.drain()
    head = next(entry["entry_id"] for entry in at_bar.mirror.values() if entry["record_id"] == bag_id)
    for phone, minutes_ago, fields in (
        (at_bar, 10, {"mass_g": 980, "roasted_on": "2026-02-21"}),
        (at_cart, 5, {"mass_g": 960}),
    ):
        phone.clock = Clock(now() - dt.timedelta(minutes=minutes_ago))
        phone.save("bag", fields, bag_id, dict.fromkeys(fields, head))
        phone.save("bag_event", {"bag_id": bag_id, "at": phone.now(), "what": "opened"})
    answer = manager.http.patch(f"/api/bags/{bag_id}", json={"batch": "B7"})
    assert answer.status_code == 200, answer.json
    return bag_id


def end_of(manager, bag_id: str) -> dict:
    """What the manager sees of the bag."""
    bag, history = manager.get(f"/api/bags/{bag_id}"), manager.get(f"/api/bags/{bag_id}/history")
    told = [entry["fields"] for entry in history["entries"]]
    events = [event for event in manager.get("/api/bag_events")["items"] if event["bag_id"] == bag_id]
    return {
        **{name: bag[name] for name in ("mass_g", "roasted_on", "batch", "clashes")},
        "mass_g in the history": sorted(fields["mass_g"] for fields in told if "mass_g" in fields),
        "happened": [event["what"] for event in events],
    }
