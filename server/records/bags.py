"""Bags and what happens to them. Each happening is a record of its own, so that two phones offline never lose one."""

from server.fields import Id, LocalDate, Quantity, Text
from server.records.kind import Kind, RecordSchema, Scope, choice, grams, happened


class Bag(RecordSchema):
    coffee_id = Id(required=True)
    roasted_on = LocalDate(required=True)
    mass_g = grams(70_000)
    batch = Text(60)
    site_id = Id(metadata={"description": "where it arrived; a move is a bag_event"})
    parent_bag_id = Id()


class BagEvent(RecordSchema):
    bag_id = Id(required=True)
    at = happened()
    what = choice("moved", "frozen", "thawed", "opened", "resealed", "weighed", "split", "finished", required=True)
    temp_c = Quantity(-40, 60, "°C")
    mass_g = Quantity(0, 70_000, "g")
    to_site_id = Id()
    into_bag_id = Id()
    note = Text(500)


class BagPrice(RecordSchema):
    bag_id = Id(required=True)
    price = Quantity(0, 100_000, "", required=True)
    currency = Text(3, required=True)


KINDS = (
    Kind("bag", "bags", Bag, Scope.SHARED),
    Kind("bag_event", "bag_events", BagEvent, Scope.SHARED, at="at", lasting=True),
    Kind("bag_price", "bag_prices", BagPrice, Scope.MANAGER),
)
