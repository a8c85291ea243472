"""`milk`: how much steam a jug takes, what it weighs when it is done, and what to take care of."""

from marshmallow import Schema, fields
from marshmallow.validate import OneOf

from server.ask.question import Question, RequestSchema
from server.ask.why import WhySchema
from server.compute.milk import DEFAULT_STEAM_GAUGE_BAR, DEFAULT_TARGET_C, steamed_milk
from server.compute.milk_cautions import CAUTIONS
from server.compute.milk_kinds import MILKS
from server.fields import Quantity


class MilkRequest(RequestSchema):
    """A jug of cold milk, the machine's steam, and where to stop."""

    milk_g = Quantity(10, 5000, "g", required=True)
    milk = fields.String(required=True, validate=OneOf(MILKS))
    start_c = Quantity(0, 60, "°C", required=True)
    target_c = Quantity(1, 95, "°C", load_default=DEFAULT_TARGET_C)
    steam_gauge_bar = Quantity(0.2, 3, "bar", load_default=DEFAULT_STEAM_GAUGE_BAR)
    steam_quality = Quantity(
        0.5, 1, "", load_default=1.0, metadata={"description": "Share of the steam that is vapour; 1 is dry."}
    )
    jug_g = Quantity(
        0, 3000, "g", load_default=0.0, metadata={"description": "The empty jug; 0 leaves its heat out."}
    )
    altitude_m = Quantity(-430, 5500, "m", load_default=0.0)


class MilkResponse(Schema):
    """The jug after steaming, predicted."""

    steam_g = fields.Float(metadata={"description": "Steam that condensed in the milk."})
    final_g = fields.Float(metadata={"description": "Milk and steam, without the jug."})
    final_g_between = fields.List(fields.Float(), metadata={"description": "Where a real jug may lie."})
    stop_at_g = fields.Float(metadata={"description": "What the scale shows with the jug on it."})
    added_water_pct = fields.Float(metadata={"description": "Steam in percent of the milk poured in."})
    water_in_drink_pct = fields.Float(metadata={"description": "Steam in percent of the steamed milk."})
    energy_kj = fields.Float(metadata={"description": "Heat taken up by milk and jug."})
    cautions = fields.List(fields.String())
    caution_keys = fields.List(fields.String(), metadata={"description": "The same, for a translation."})
    why = fields.List(fields.Nested(WhySchema))


def answer(asked: dict) -> dict:
    """The figures of one jug, with its cautions in words."""
    jug = steamed_milk(**asked)
    return {
        **vars(jug),
        "cautions": [CAUTIONS[key] for key in jug.cautions],
        "caution_keys": jug.cautions,
    }


QUESTIONS = (
    Question("milk", "Steam for a jug, and the mass at which to stop", MilkRequest, MilkResponse, answer),
)
