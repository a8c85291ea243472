"""`freshness`: both ages of a bag, where it stands, and the dates on which that changes."""

from marshmallow import Schema, fields
from marshmallow.validate import Length, OneOf

from server.ask.question import Question, RequestSchema
from server.ask.why import WhySchema
from server.compute.course import course_of
from server.compute.freshness import figures_of, states_ahead, why_freshness
from server.compute.local_time import instant
from server.compute.staling import ACTIVATION_ENERGY_KJ_MOL, FROZEN_RATE, REFERENCE_TEMP_C
from server.compute.window import OPEN_DAYS
from server.fields import Instant, LocalDate, Quantity, Text

STATES = ("resting", "in_window", "past_window")


class StorageSpell(RequestSchema):
    """From then on, or until `to`, the bag was kept at this temperature."""

    from_ = Instant(required=True, data_key="from", attribute="from")
    to = Instant(allow_none=True)
    temp_c = Quantity(-40, 60, "°C", required=True)


class WindowRequest(RequestSchema):
    """The roaster's figures; what is left out is common practice, no source."""

    rest_days = Quantity(0, 365, "days")
    best_until_days = Quantity(1, 3650, "days")
    open_days = Quantity(0, 365, "days")


class FreshnessRequest(RequestSchema):
    """A bag, and the moment to answer for. Ages count in the days of `time_zone`, or of the offset of `now`."""

    roasted_on = LocalDate(required=True)
    now = Instant(required=True)
    time_zone = Text(60)
    storage = fields.List(fields.Nested(StorageSpell), validate=Length(max=200))
    opened_at = Instant()
    kept = fields.String(validate=OneOf(tuple(OPEN_DAYS)), metadata={"description": "Once open."})
    window = fields.Nested(WindowRequest)
    activation_energy_kj_mol = Quantity(0, 150, "kJ/mol", load_default=ACTIVATION_ENERGY_KJ_MOL)
    reference_temp_c = Quantity(4, 35, "°C", load_default=REFERENCE_TEMP_C)
    frozen_rate = Quantity(
        0,
        1,
        "",
        load_default=FROZEN_RATE,
        metadata={"description": "Days of staling per day below 4 °C: a setting."},
    )


class StateOn(Schema):
    """The state from a date on."""

    on = LocalDate()
    freshness = fields.String(validate=OneOf(STATES))


class FreshnessResponse(Schema):
    """Where the bag stands, if it stays where it is."""

    rest_days = fields.Float(metadata={"description": "Local days since roast, out of the freezer."})
    stale_days = fields.Float(metadata={"description": "Local days at the rate of their temperature."})
    freshness = fields.String(validate=OneOf(STATES))
    window_from = LocalDate(allow_none=True)
    window_until = LocalDate(allow_none=True, metadata={"description": "The last day in window."})
    days_left = fields.Integer(
        allow_none=True, metadata={"description": "0 on the last day, negative after it."}
    )
    changes = fields.List(fields.Nested(StateOn), metadata={"description": "In the next 60 days."})
    assumed = fields.List(fields.String())
    why = fields.List(fields.Nested(WhySchema))


def answer(asked: dict) -> dict:
    """The bag's ages, its state and what will change."""
    given = dict(asked)
    roasted_on, now = given.pop("roasted_on"), instant("now", given.pop("now"))
    course = course_of(roasted_on, now, given.pop("time_zone", now.tzinfo), **given)
    return {**figures_of(course), "changes": states_ahead(course)["changes"], "why": why_freshness(course)}


QUESTIONS = (
    Question("freshness", "Both ages of a bag, and its window", FreshnessRequest, FreshnessResponse, answer),
)
