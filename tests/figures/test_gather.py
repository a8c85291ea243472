"""A bag that was split off another has been through what the other had been through."""


def test_a_split_bag_has_the_freezer_spell_of_the_bag_it_came_from(manager, site_id):
    coffee_id = manager.add("coffees", name="Ember Ridge", rest_days=0, best_until_days=20)["id"]
    bag = {"coffee_id": coffee_id, "roasted_on": "2026-02-01", "site_id": site_id}
    whole, untouched = manager.add("bags", **bag)["id"], manager.add("bags", **bag)["id"]
    half = manager.add("bags", **bag, parent_bag_id=whole)["id"]
    manager.add("bag_events", bag_id=whole, at="2026-02-02T09:00:00Z", what="frozen", temp_c=-18)
    manager.add("bag_events", bag_id=whole, at="2026-02-27T09:00:00Z", what="thawed")
    manager.add("bag_events", bag_id=whole, at="2026-02-28T09:00:00Z", what="split", into_bag_id=half, mass_g=250)
    manager.add("bag_events", bag_id=whole, at="2026-03-01T09:00:00Z", what="opened")

    figures = {bag["id"]: bag for bag in manager.get("/api/bags")["items"]}

    assert figures[half]["freshness"] == "in_window" and figures[untouched]["freshness"] == "past_window"
    assert figures[half]["rest_days"] == figures[whole]["rest_days"] < figures[untouched]["rest_days"]
    assert (figures[half]["condition"], figures[whole]["condition"]) == ("sealed", "open")


def test_bags_that_name_each_other_as_parents_still_have_figures(manager, site_id):
    coffee_id = manager.add("coffees", name="Ember Ridge")["id"]
    bag = {"coffee_id": coffee_id, "roasted_on": "2026-02-20", "site_id": site_id}
    first = manager.add("bags", **bag)["id"]
    second = manager.add("bags", **bag, parent_bag_id=first)["id"]
    manager.http.patch(f"/api/bags/{first}", json={"parent_bag_id": second})

    assert {bag["freshness"] for bag in manager.get("/api/bags")["items"]} == {"in_window"}
