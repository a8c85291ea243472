"""`minerals`: grams of each salt for a target water."""

from marshmallow import Schema, fields
from marshmallow.validate import Length

from server.ask.question import Question, RequestSchema
from server.ask.water import WaterFields, sample_of
from server.ask.why import WhySchema
from server.compute.water.minerals import CAUTIONS, SALTS, mineral_plan
from server.fields import Quantity


class MineralTarget(RequestSchema):
    """The water to make."""

    hardness_mg_l_caco3 = Quantity(0, 2000, "mg/L as CaCO3", required=True)
    alkalinity_mg_l_caco3 = Quantity(0, 1500, "mg/L as CaCO3", required=True)
    magnesium_share = Quantity(
        0,
        1,
        "",
        metadata={"description": "of the hardness; may be left out where the salts give one kind only"},
    )


class MineralsRequest(RequestSchema):
    """A target, an amount of water, the jars at hand."""

    target = fields.Nested(MineralTarget, required=True)
    litres = Quantity(0.001, 100000, "L", required=True)
    salts = fields.List(
        fields.String(),
        required=True,
        validate=Length(1, 20),
        metadata={"description": "by formula, hydrate included: " + ", ".join(SALTS)},
    )
    start = fields.Nested(WaterFields, metadata={"description": "the water to begin with; pure if left out"})


class MineralsResponse(Schema):
    """What to weigh, and what it makes."""

    grams = fields.Dict(keys=fields.String(), values=fields.Float())
    mg_per_litre = fields.Dict(keys=fields.String(), values=fields.Float())
    salts = fields.Dict(
        keys=fields.String(), values=fields.String(), metadata={"description": "names in words"}
    )
    ions = fields.Dict(keys=fields.String(), values=fields.Float(), metadata={"description": "mg/L"})
    hardness_mg_l_caco3 = fields.Float()
    alkalinity_mg_l_caco3 = fields.Float()
    magnesium_share = fields.Float(allow_none=True)
    assumed = fields.List(fields.String(), metadata={"description": "of the water to begin with"})
    doubts = fields.List(fields.String())
    cautions = fields.List(fields.String())
    why = fields.List(fields.Nested(WhySchema))


def answer(asked: dict) -> dict:
    """Weigh out the salts."""
    start = sample_of(asked, "start") if "start" in asked else None
    target = {"magnesium_share": None, **asked["target"]}
    plan = mineral_plan(**target, litres=asked["litres"], salts=asked["salts"], start=start)
    return {**plan, "cautions": list(CAUTIONS), "why": [why.as_dict() for why in plan["why"]]}


QUESTIONS = (
    Question("minerals", "Grams of each salt for a target water", MineralsRequest, MineralsResponse, answer),
)
