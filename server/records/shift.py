"""Milk, fridge, care, handover, tasting and training: the rest of the shift."""

from marshmallow import fields

from server.fields import Id, Instant, Quantity, Text
from server.records.kind import Kind, RecordSchema, Scope, amount, choice, grams, happened


class MilkJug(RecordSchema):
    site_id = Id(required=True)
    at = happened()
    person_id = Id()
    milk = Text(40, required=True)
    milk_g = grams(5000)
    start_c = Quantity(-2, 95, "°C")
    end_c = Quantity(-2, 100, "°C")
    final_g = grams(6000)
    poured_away_g = amount(5000, "g")
    purpose = choice("service", "practice")
    texture = choice("right", "too_thick", "too_thin", "coarse")
    note = Text(500)


class FridgeCheck(RecordSchema):
    site_id = Id(required=True)
    at = happened()
    fridge = Text(60)
    temp_c = Quantity(-40, 60, "°C", required=True)
    person_id = Id()
    note = Text(500)


class CareTask(RecordSchema):
    name = Text(80, required=True)
    site_id = Id()
    machine_id = Id()
    grinder_id = Id()
    every_days = Quantity(0, 4000, "days", above_low=True)
    every_shots = Quantity(0, 1_000_000, "shots", above_low=True)
    every_kg = Quantity(0, 100_000, "kg", above_low=True)
    every_litres = Quantity(0, 1_000_000, "L", above_low=True)
    steps = Text(2000)
    caution = choice("heat", "pressure", "steam", "chemicals", "electrics", "none")


class CareDone(RecordSchema):
    site_id = Id(required=True)
    at = happened()
    care_task_id = Id(required=True)
    person_id = Id()
    note = Text(500)


class Handover(RecordSchema):
    site_id = Id(required=True)
    at = happened()
    person_id = Id()
    composed = Text(4000)
    words = Text(2000)
    read_at = Instant()
    read_by = Id()


class Tasting(RecordSchema):
    site_id = Id(required=True)
    at = happened()
    test = choice("triangle", "duo_trio", "paired", required=True)
    right = Quantity(0, 1000, "", whole=True, required=True)
    of = Quantity(1, 1000, "", whole=True, required=True)
    person_id = Id()
    about = Text(200)


class Drink(RecordSchema):
    name = Text(60, required=True)
    shots = Quantity(0, 8, "shots")
    milk = Text(40)
    milk_g = amount(2000, "g")
    allergens = fields.List(choice("milk", "soya", "nuts", "gluten", "oats"))


class Event(RecordSchema):
    site_id = Id(required=True)
    at = happened()
    what = Text(80, required=True)
    demand_factor = Quantity(0, 20, "")
    note = Text(500)


KINDS = (
    Kind("milk_jug", "milk_jugs", MilkJug, Scope.SITE, at="at"),
    Kind("fridge_check", "fridge_checks", FridgeCheck, Scope.SITE, at="at"),
    Kind("care_task", "care_tasks", CareTask, Scope.SHARED),
    Kind("care_done", "care_dones", CareDone, Scope.SITE, at="at", lasting=True),
    Kind("handover", "handovers", Handover, Scope.SITE, at="at"),
    Kind("tasting", "tastings", Tasting, Scope.SITE, at="at"),
    Kind("drink", "drinks", Drink, Scope.SHARED),
    Kind("event", "events", Event, Scope.SITE, at="at", lasting=True),
)
