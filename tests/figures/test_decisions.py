"""What the manager is asked to decide, and when it is silent. The clock stands at 2026-03-02 12:00 UTC."""

import json

import pytest
from statsmodels.stats.proportion import proportion_confint

from tests.figures.stand import at


@pytest.fixture
def calm(stand):
    """A bar with nothing to decide: an open bag and sealed ones to follow it, fresh water, a phone just heard from."""
    stand.phone.save("water", {"sampled_at": at("2026-03-01 09:00"), "site_id": stand.site_id, "ph": 7.2})
    stand.bag("2026-02-26")
    stand.shot("2026-03-02 08:00")
    return stand


def decided(stand, **arguments) -> list[dict]:
    return stand.picture(**arguments)["decisions"]


def named(stand, what: str) -> list[dict]:
    return [item for item in decided(stand) if item["what"] == what]


def test_a_bar_where_all_is_well_is_asked_nothing(calm):
    assert decided(calm) == []


def test_an_open_bag_past_its_window_is_asked_about_first(calm):
    """Roasted on 1 February, 21 days at most: until 22 February, whenever it was opened."""
    old = calm.bag("2026-02-01", opened="2026-02-20 08:00", mass_g=250)

    [item] = decided(calm)

    assert (item["what"], item["where"], item["about"], item["over"]) == (
        "past_window",
        "Lantern Quay",
        "Tarn Hollow",
        True,
    )
    assert (item["figure"]["left_g"], item["reason"]["window_until"]) == (250, "2026-02-22")
    assert (item["by"], item["link"]) == ("2026-03-02", f"bag-{old}")


def test_bags_that_nobody_finished_are_one_decision_once_they_are_long_past(calm):
    """Past since 22 January and earlier: more than 28 days. The one of 2024 is a year old and on nobody's shelf."""
    for roasted_on in ("2026-01-01", "2025-12-20", "2025-12-10"):
        calm.bag(roasted_on)
    calm.bag("2024-12-01")

    [item] = decided(calm)

    assert (item["what"], item["figure"], item["link"]) == ("long_past_window", {"bags": 3}, "shelf")


def test_a_frozen_bag_an_empty_one_and_a_finished_one_are_no_decision(calm):
    frozen = calm.bag("2026-01-01")
    calm.happened(frozen, "frozen", "2026-01-05 08:00", temp_c=-18)
    empty = calm.bag("2026-02-01", opened="2026-02-12 08:00")
    calm.happened(empty, "weighed", "2026-02-22 08:00", mass_g=0)
    finished = calm.bag("2026-02-01", opened="2026-02-12 08:00")
    calm.happened(finished, "finished", "2026-02-20 08:00")

    assert decided(calm) == []


def test_days_with_nothing_in_window_are_named_for_a_coffee_in_use(stand):
    """The open bag ends on 6 March. One roasted on 1 March opens on 8 March: 7 March has nothing. To be ready on
    7 March a bag would have to be roasted on 28 February, so the day to act was today or before."""
    stand.bag("2026-03-01")
    for minute in range(3):
        stand.shot(f"2026-03-02 08:0{minute}")

    [item] = named(stand, "nothing_in_window")

    assert item["figure"] == {"gaps": [["2026-03-07", "2026-03-07"]]}
    assert (item["about"], item["by"], item["over"]) == ("Tarn Hollow", "2026-03-02", False)


def test_a_gap_far_enough_ahead_says_until_when_a_roast_still_helps(stand):
    """In window until 6 March and, for the sealed one of 19 February, until 12 March; a bag for 13 March rests 7 days
    first: it has to be roasted by 6 March."""
    stand.bag("2026-02-19")
    for minute in range(3):
        stand.shot(f"2026-03-02 08:0{minute}")

    [item] = named(stand, "nothing_in_window")

    assert item["figure"]["gaps"] == [["2026-03-13", "2026-03-15"]]
    assert item["by"] == "2026-03-06"


def test_a_coffee_that_nobody_pulls_has_no_gap(stand):
    stand.shot("2026-03-02 08:00")

    assert named(stand, "nothing_in_window") == []


def test_a_sealed_bag_in_window_is_to_be_opened_where_no_open_one_is(stand):
    stand.happened(stand.bag_id, "finished", "2026-03-02 09:00")
    sealed = stand.bag("2026-02-22")
    for minute in range(3):
        stand.shot(f"2026-03-02 08:0{minute}")

    [item] = named(stand, "open_a_bag")

    assert (item["link"], item["figure"]["roasted_on"]) == (f"bag-{sealed}", "2026-02-22")


def test_a_sealed_bag_about_to_leave_its_window_is_to_be_used_or_frozen(calm):
    """Roasted on 11 February: in window until 4 March, two more days."""
    calm.bag("2026-02-11")

    [item] = named(calm, "leaving_window")

    assert (item["by"], item["figure"]["days_left"]) == ("2026-03-04", 2)


@pytest.mark.parametrize("in_tolerance, asked", [(1, 1), (2, 0)])
def test_a_grinder_is_to_be_looked_at_when_most_shots_miss_and_not_by_chance(calm, in_tolerance, asked):
    """Of 10: against statsmodels' Wilson interval, 1 in tolerance is surely below half, 2 is not."""
    for minute in range(9):
        calm.shot(f"2026-03-02 09:0{minute}", time_s=28 if minute < in_tolerance - 1 else 36)  # one is in calm already

    items = named(calm, "look_at_grinder")

    low, high = proportion_confint(in_tolerance, 10, method="wilson")
    assert (high < 0.5) == bool(asked) == bool(items)
    for item in items:
        assert (item["about"], item["reason"]) == ("Quay grinder", {"coffee": "Tarn Hollow"})
        assert (item["figure"]["on"], item["figure"]["of"]) == (1, 10)
        assert (item["figure"]["low"], item["figure"]["high"]) == (pytest.approx(low), pytest.approx(high))
        assert item["link"] == f"time-{calm.grinder_id}-{calm.recipe_id}"


def test_dialling_in_and_shots_of_last_week_say_nothing_about_a_grinder_now(calm):
    for minute in range(12):
        calm.shot(f"2026-03-02 09:{minute:02d}", time_s=40, purpose="dial_in")
        calm.shot(f"2026-02-23 09:{minute:02d}", time_s=40)

    assert named(calm, "look_at_grinder") == []


@pytest.mark.parametrize("due_days, asked", [(None, 1), (40, 1), (41, 0)])
def test_water_is_to_be_tested_as_often_as_the_site_says(stand, due_days, asked):
    """Sampled on 21 January, 40 days ago; every 30 days where the site hasn't said: common practice, no source."""
    stand.phone.save("water", {"sampled_at": at("2026-01-21 09:00"), "site_id": stand.site_id, "ph": 7.2})
    if due_days:
        answer = stand.manager.http.patch(f"/api/sites/{stand.site_id}", json={"tests_due_days": due_days})
        assert answer.status_code == 200

    items = named(stand, "water_test_due")

    assert len(items) == asked
    assert all(item["figure"] == {"days_since": 40} for item in items)


def test_water_outside_the_makers_limits_is_named_by_what_is_outside(calm):
    limits = {"chloride_max_mg_l": 15, "ph_min": 6.5}
    calm.manager.add("machines", name="two groups", site_id=calm.site_id, maker_limits=limits)
    calm.phone.save(
        "water",
        {"sampled_at": at("2026-03-02 09:00"), "site_id": calm.site_id, "ph": 7.2, "chloride_mg_l": 22},
    )

    [item] = decided(calm)

    assert (item["what"], item["figure"]) == ("water_outside", {"property": "chloride_mg_l", "value": 22})
    assert item["reason"] == {"limit": 15, "verdict": "above"}


def test_a_phone_that_was_silent_for_a_day_is_asked_about(calm, clock):
    calm.phone.sync()
    clock.pass_(hours=23, minutes=59)
    assert [item["what"] for item in calm.manager.get("/api/dashboard")["decisions"]] == []
    clock.pass_(minutes=1)

    [item] = calm.manager.get("/api/dashboard")["decisions"]

    assert (item["what"], item["figure"], item["link"]) == (
        "phone_silent",
        {"hours_since": 24.0, "waiting": 0},
        "phones",
    )


def test_refused_entries_are_counted_for_a_week(calm, clock):
    calm.phone.shot(dose_g=-3)
    calm.phone.shot(dose_g=18, colour="red")
    calm.phone.sync()

    [item] = named(calm, "refused_entries")
    assert (item["figure"], item["site_id"]) == ({"entries": 2}, calm.site_id)

    clock.pass_(days=8)
    assert named(calm, "refused_entries") == []


def test_what_is_over_comes_first_then_the_day_it_is_due(calm):
    calm.bag("2026-02-11")
    calm.bag("2026-02-01", opened="2026-02-20 08:00")
    calm.bag("2026-01-20")
    calm.phone.shot(dose_g=-3)

    found = [(item["over"], item["by"]) for item in decided(calm)]

    assert len(found) == 4
    assert found == sorted(found, key=lambda item: (not item[0], item[1]))
    assert found[0][0] and not found[1][0]


def test_no_person_is_ever_named(calm):
    person = calm.manager.add("people", name="Teo")["id"]
    for minute in range(4):
        calm.shot(f"2026-03-02 08:1{minute}", person_id=person, fate="sunk", time_s=60)
    calm.phone.shot(dose_g=-3, person_id=person)

    picture = json.dumps(calm.picture())

    assert "refused_entries" in picture
    assert "Teo" not in picture and person not in picture


def test_one_site_is_asked_about_its_own(calm, manager):
    manager.add("sites", name="Market cart", time_zone="Europe/Lisbon")

    assert [item["where"] for item in decided(calm)] == ["Market cart"]  # its water was never tested
    assert decided(calm, site_id=calm.site_id) == []
