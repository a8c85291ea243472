"""Two phones and one manager: the same bag touched on both while neither had a network, synced in both orders."""

import datetime as dt

import pytest


@pytest.fixture
def bag(bar):
    coffee_id = bar.make("coffees", name="Tarn Hollow")
    roasted_on = (bar.now().date() - dt.timedelta(days=9)).isoformat()
    return bar.make("bags", coffee_id=coffee_id, roasted_on=roasted_on, mass_g=1000, site_id=bar.site_id)


def happened(bag, what, at, **more):
    return {"kind": "bag_event", "fields": {"bag_id": bag, "what": what, "at": at.isoformat(), **more}}


@pytest.mark.parametrize("order", [(0, 1), (1, 0)], ids=["first first", "second first"])
def test_both_phones_and_the_manager_end_with_the_same_bag_and_its_whole_history(bar, make_phone, bag, order):
    ida, teo = phones = make_phone(), make_phone()
    for phone in phones:
        phone.sync()
    opened = happened(bag, "opened", bar.now() - dt.timedelta(hours=3))
    weighed = happened(bag, "weighed", bar.now() - dt.timedelta(hours=2), mass_g=640)
    ida.save(opened)
    ida.call("/outbox/save.js", "correct", bag, {"mass_g": 990, "batch": "A7"})
    teo.save(weighed)
    teo.call(
        "/outbox/save.js", "correct", bag, {"mass_g": 985}
    )  # the later of two who had not seen each other

    for place in (*order, *order):
        assert phones[place].sync() == "delivered"

    record = ida.record(bag)
    assert record == teo.record(bag)
    assert (record["fields"]["mass_g"], record["fields"]["batch"], record["clashes"]) == (
        985,
        "A7",
        ["mass_g"],
    )
    assert len(ida.call("/outbox/records.js", "recordsOf", "bag_event")) == 2
    figures = [phone.call("/outbox/records.js", "figuresOf", bag) for phone in phones]
    assert figures[0] == figures[1]
    assert (figures[0]["condition"], figures[0]["left_g"]) == ("open", 640)

    history = bar.manager.get(f"/api/bags/{bag}/history").json
    assert {entry["fields"].get("mass_g") for entry in history["entries"]} == {1000, 990, 985}
    assert history["clashes"] == ["mass_g"]
    at_the_desk = bar.manager.get(f"/api/bags/{bag}").json
    assert (at_the_desk["mass_g"], at_the_desk["left_g"], at_the_desk["condition"]) == (985, 640, "open")


def test_a_bag_withdrawn_on_one_phone_and_edited_on_the_other_stays_withdrawn_with_both_in_its_history(
    bar, make_phone, bag
):
    ida, teo = make_phone(), make_phone()
    ida.sync(), teo.sync()
    ida.call("/outbox/save.js", "retract", bag)
    teo.call("/outbox/save.js", "correct", bag, {"batch": "B2"})

    for phone in (ida, teo, ida):
        phone.sync()

    assert ida.record(bag) == teo.record(bag)
    assert ida.record(bag)["retracted"]
    assert ida.record(bag)["fields"]["batch"] == "B2"
    history = teo.call("/outbox/records.js", "historyOf", bag)
    assert [step["entry"].get("retract") for step in history] == [None, True, None]

    teo.call("/outbox/save.js", "restore", bag)
    teo.sync(), ida.sync()
    assert not ida.record(bag)["retracted"]


def test_what_the_manager_corrects_at_the_desk_reaches_the_phone(bar, make_phone, bag):
    phone = make_phone()
    phone.sync()

    bar.manager.patch(f"/api/bags/{bag}", json={"mass_g": 250})
    phone.sync()

    assert phone.record(bag)["fields"]["mass_g"] == 250
