"""What `grind` and `advice` both take: shots of one grinder, the recipe they were pulled to, the grinder itself."""

import datetime as dt

from marshmallow import EXCLUDE, fields
from marshmallow.validate import Length, OneOf

from server.ask.question import RequestSchema
from server.compute.grind.model import observe
from server.fields import Instant, Quantity, Text, parse_instant

MOST_SHOTS = 3000


class GrindShot(RequestSchema):
    """A shot, as far as the grind is concerned; a whole shot record may be sent, the rest of it is left aside."""

    class Meta:
        unknown = EXCLUDE

    pulled_at = Instant(required=True)
    setting = Quantity(-1000, 10000, "marks", allow_none=True)
    dose_g = Quantity(0.1, 250, "g", required=True)
    yield_g = Quantity(0.1, 3000, "g", required=True)
    time_s = Quantity(0, 3600, "s", above_low=True, required=True)
    first_drop_s = Quantity(0, 600, "s", allow_none=True)
    bag_id = Text(80, allow_none=True)
    coffee_id = Text(80, allow_none=True)
    person_id = Text(80, allow_none=True)
    group = Text(20, allow_none=True)
    age_days = Quantity(0, 1000, "days", allow_none=True)
    mixed_with = Text(80, allow_none=True)
    purge_g = Quantity(0, 100, "g", allow_none=True)
    purpose = fields.String(validate=OneOf(("service", "dial_in", "practice", "warm_up")), allow_none=True)
    fault = fields.String(
        validate=OneOf(("channelling", "spill", "wrong_dose", "machine", "interrupted")), allow_none=True
    )
    assumed = fields.List(fields.String(), validate=Length(max=20), allow_none=True)


class GrindRecipe(RequestSchema):
    """The recipe; a whole recipe record may be sent, the rest of it is left aside."""

    class Meta:
        unknown = EXCLUDE

    id = Text(80)
    coffee_id = Text(80)
    dose_g = Quantity(0.1, 250, "g", required=True)
    yield_g = Quantity(0.1, 3000, "g", required=True)
    time_s = Quantity(5, 3600, "s", required=True)
    time_s_tol = Quantity(0, 600, "s", above_low=True, allow_none=True)


class GrindGrinder(RequestSchema):
    """Which way the scale runs, its smallest step, where it stands now, and what a step does if somebody knows."""

    class Meta:
        unknown = EXCLUDE

    finer = fields.String(validate=OneOf(("lower", "higher")), load_default="lower")
    step = Quantity(0, 100, "marks", above_low=True, allow_none=True)
    setting_now = Quantity(-1000, 10000, "marks", allow_none=True)
    seconds_per_step = Quantity(-60, 60, "s", allow_none=True)


class GrindRequest(RequestSchema):
    """Shots of one grinder in any order, what they were pulled to, and the time of asking."""

    shots = fields.List(fields.Nested(GrindShot), required=True, validate=Length(max=MOST_SHOTS))
    recipe = fields.Nested(GrindRecipe, required=True)
    grinder = fields.Nested(GrindGrinder, load_default=dict)
    now = Instant(required=True)


def to_ms(text: str) -> int:
    """Milliseconds since 1970 of an RFC 3339 time, rounded down."""
    return (parse_instant(text) - dt.datetime(1970, 1, 1, tzinfo=dt.UTC)) // dt.timedelta(milliseconds=1)


def learned(asked: dict) -> dict | None:
    """The grinder's state after all shots, in order of time."""
    state = None
    shots = [{**shot, "at_ms": to_ms(shot["pulled_at"])} for shot in asked["shots"]]
    for shot in sorted(shots, key=lambda shot: shot["at_ms"]):
        state = observe(state, shot, asked["recipe"], asked["grinder"])
    return state


def upcoming(asked: dict) -> dict:
    """The shot to come."""
    return {"at_ms": to_ms(asked["now"]), "setting": asked["grinder"].get("setting_now")}
