"""Shots, and what is changed or counted around them."""

from marshmallow import ValidationError, fields, validates_schema

from server.fields import Id, Quantity, Text
from server.records.kind import Kind, RecordSchema, Scope, Whole, amount, choice, grams, happened
from server.records.places import METHODS

ASSUMABLE = ("dose_g", "yield_g", "time_s", "setting", "water_temp_c", "pressure_bar")


class Taste(RecordSchema):
    """What the cup had against what was wanted, -2 (far too little) to 2 (far too much); one value in a merge."""

    acidity = Quantity(-2, 2, "", whole=True)
    sweetness = Quantity(-2, 2, "", whole=True)
    bitterness = Quantity(-2, 2, "", whole=True)
    body = Quantity(-2, 2, "", whole=True)
    right = fields.Boolean(truthy={True}, falsy={False})

    @validates_schema
    def says_one_thing(self, data, **kwargs):
        if data.get("right") and any(data.get(word) for word in ("acidity", "sweetness", "bitterness", "body")):
            raise ValidationError("is either right or names what is off, not both", "right")
        if not data:
            raise ValidationError("says nothing: leave taste out instead", "right")


class Shot(RecordSchema):
    pulled_at = happened()
    site_id = Id(required=True)
    dose_g = grams(250, required=True)
    yield_g = grams(3000, required=True)
    time_s = Quantity(0, 3600, "s", above_low=True, required=True)
    method = choice(*METHODS)
    bag_id = Id()
    mixed_with = Id(metadata={"description": "the bag that was still in the hopper"})
    recipe_id = Id()
    grinder_id = Id()
    machine_id = Id()
    group = Text(20)
    person_id = Id()
    first_drop_s = amount(600, "s")
    setting = Quantity(-1000, 10000, "marks")
    water_temp_c = Quantity(0, 110, "°C")
    pressure_bar = amount(20, "bar")
    strength_pct = Quantity(0, 30, "% by mass", above_low=True)
    brix_pct = Quantity(0, 40, "°Brix", above_low=True)
    sample_temp_c = Quantity(0, 60, "°C")
    refractometer_id = Id()
    cups = Quantity(1, 4, "", whole=True)
    yield_of = choice("all", "one_spout")
    taste = Whole(Taste)
    purpose = choice("service", "dial_in", "practice", "warm_up")
    fate = choice("served", "sunk")
    fault = choice("channelling", "spill", "wrong_dose", "machine", "interrupted")
    assumed = fields.List(choice(*ASSUMABLE), metadata={"uniqueItems": True})
    note = Text(500)


class GrindChange(RecordSchema):
    grinder_id = Id(required=True)
    at = happened()
    setting = Quantity(-1000, 10000, "marks", required=True)
    purge_g = amount(100, "g")


class GrinderEvent(RecordSchema):
    grinder_id = Id(required=True)
    at = happened()
    what = choice("cleaned", "new_burrs", "re_zeroed", required=True)


class Tally(RecordSchema):
    site_id = Id(required=True)
    from_ = happened(data_key="from", attribute="from")
    to = happened()
    shots = amount(100_000, "shots", whole=True)
    drinks = amount(100_000, "drinks", whole=True)
    litres = amount(100_000, "L")
    source = choice("machine_counter", "weighing", "till", "guess", required=True)
    note = Text(500)


KINDS = (
    Kind("shot", "shots", Shot, Scope.SITE, at="pulled_at"),
    Kind("grind_change", "grind_changes", GrindChange, Scope.SHARED, at="at"),
    Kind("grinder_event", "grinder_events", GrinderEvent, Scope.SHARED, at="at"),
    Kind("tally", "tallies", Tally, Scope.SITE, at="to"),
)
