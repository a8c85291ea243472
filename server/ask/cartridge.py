"""`cartridge`: litres left in a softening cartridge, and the day on which it is spent."""

import datetime as dt

from marshmallow import Schema, fields
from marshmallow.validate import OneOf

from server.ask.question import Question, RequestSchema
from server.ask.water import WaterFields, sample_of
from server.ask.why import WhySchema
from server.compute.water.cartridge import CAPACITY_UNITS, REMOVES, cartridge_plan
from server.fields import LocalDate, Quantity


class Capacity(RequestSchema):
    """What the maker says that it takes up: `l_dh` and `l_fh` are litres times degrees, `l` litres of this water."""

    value = Quantity(0.001, 1e7, "", required=True)
    unit = fields.String(required=True, validate=OneOf(CAPACITY_UNITS))


class CartridgeRequest(RequestSchema):
    """A cartridge, its water, and how much went through."""

    capacity = fields.Nested(Capacity, required=True)
    water = fields.Nested(
        WaterFields, metadata={"description": "before the cartridge; not needed for unit l"}
    )
    litres_used = Quantity(0, 1e7, "L", required=True)
    litres_per_day = Quantity(0.01, 100000, "L/day")
    now = LocalDate(metadata={"description": "the day from which to count"})
    removes = fields.String(validate=OneOf(REMOVES), metadata={"description": "hardness is assumed"})
    bypass_share = Quantity(0, 0.95, "", metadata={"description": "0 is assumed"})


class CartridgeResponse(Schema):
    """How long it lasts."""

    load_mg_l_caco3 = fields.Float(allow_none=True, metadata={"description": "taken up per litre delivered"})
    litres_total = fields.Float()
    litres_left = fields.Float()
    share_used = fields.Float(metadata={"description": "above 1 when it is overdue"})
    days_left = fields.Integer(allow_none=True)
    spent_on = LocalDate(allow_none=True)
    assumed = fields.List(fields.String())
    doubts = fields.List(fields.String())
    why = fields.List(fields.Nested(WhySchema))


def answer(asked: dict) -> dict:
    """Count what is left."""
    plan = cartridge_plan(
        capacity=asked["capacity"]["value"],
        unit=asked["capacity"]["unit"],
        water=sample_of(asked, "water") if "water" in asked else None,
        litres_used=asked["litres_used"],
        litres_per_day=asked.get("litres_per_day"),
        now=dt.date.fromisoformat(asked["now"]) if "now" in asked else None,
        removes=asked.get("removes"),
        bypass_share=asked.get("bypass_share"),
    )
    spent_on = plan["spent_on"] and plan["spent_on"].isoformat()
    return {**plan, "spent_on": spent_on, "why": [why.as_dict() for why in plan["why"]]}


QUESTIONS = (
    Question(
        "cartridge", "Litres left in a softening cartridge", CartridgeRequest, CartridgeResponse, answer
    ),
)
