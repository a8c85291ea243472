"""`grind`: where to set the grinder, and what to expect of it. `advice`: the same, after all that comes first."""

from marshmallow import Schema, fields
from marshmallow.validate import OneOf

from server.ask.grind_fields import GrindRequest, learned, upcoming
from server.ask.question import Question, RequestSchema
from server.ask.why import WhySchema
from server.compute.grind.advice import advise
from server.compute.grind.words import ADVICE
from server.compute.why import Why
from server.fields import Quantity, Text

SOURCE = (
    "M. West and J. Harrison, Bayesian Forecasting and Dynamic Models, 2nd ed., Springer 1997, section 4.5; "
    "priors and thresholds: convention of this app, no source"
)
FORMULA = (
    "share of Student's t for ln(time to target) between ln(time_s - time_s_tol) and ln(time_s + time_s_tol), at each "
    "setting within three steps; the nearest of the best"
)


class GrindResponse(Schema):
    """One move or none; figures are those of the setting that is advised."""

    advice = fields.String(validate=OneOf(ADVICE))
    size = fields.Dict(allow_none=True, metadata={"description": "What to change: field, from, to, by, steps."})
    reasons = fields.List(fields.String())
    setting = fields.Float(allow_none=True)
    predicted_time_s = fields.Float(allow_none=True)
    interval_80 = fields.List(fields.Float(), allow_none=True)
    chance_now = fields.Float(allow_none=True, metadata={"description": "To land in tolerance as it stands."})
    chance_then = fields.Float(allow_none=True, metadata={"description": "After the advised move."})
    dial_in = fields.Dict(allow_none=True, metadata={"description": "pulls, pulls_g, reached: of the open bag."})
    why = fields.List(fields.Nested(WhySchema))


class Taste(RequestSchema):
    """The last shot against what was wanted, -2 to 2; or simply right."""

    acidity = Quantity(-2, 2, "", whole=True)
    sweetness = Quantity(-2, 2, "", whole=True)
    bitterness = Quantity(-2, 2, "", whole=True)
    body = Quantity(-2, 2, "", whole=True)
    right = fields.Boolean(truthy={True}, falsy={False})


class Bag(RequestSchema):
    """The open bag, for the shot to come."""

    bag_id = Text(80)
    freshness = fields.String(validate=OneOf(("resting", "in_window", "past_window")))
    age_days = Quantity(0, 1000, "days")


class Water(RequestSchema):
    """Whether the water is as it should be."""

    status = fields.String(validate=OneOf(("ok", "check")), required=True)


class AdviceRequest(GrindRequest):
    """Everything that the answer may rest on."""

    taste = fields.Nested(Taste, allow_none=True)
    bag = fields.Nested(Bag, allow_none=True)
    water = fields.Nested(Water, allow_none=True)


class AdviceResponse(GrindResponse):
    """The same, from the server: not provisional."""

    provisional = fields.Boolean()


def answer_grind(asked: dict) -> dict:
    """Hold or move, by the grind alone."""
    state, next_shot = learned(asked), upcoming(asked)
    return _told(asked, state, advise(state, next_shot, asked["recipe"], asked["grinder"]))


def answer_advice(asked: dict) -> dict:
    """Hold or move, all things considered."""
    bag = asked.get("bag") or {}
    next_shot = upcoming(asked) | {key: bag[key] for key in ("bag_id", "age_days") if key in bag}
    state = learned(asked)
    found = advise(state, next_shot, asked["recipe"], asked["grinder"], asked.get("taste"), bag, asked.get("water"))
    return {**_told(asked, state, found), "provisional": False}


def _told(asked: dict, state: dict | None, found: dict) -> dict:
    choice = found["choice"]
    told = {key: found[key] for key in ("advice", "size", "reasons")}
    if choice is None:
        return told
    now = choice["now"]
    then = choice["best"] if found["advice"] in ("finer", "coarser") and "from" in (found["size"] or {}) else now
    recipe = asked["recipe"]
    used = {key: recipe.get(key) for key in ("time_s", "time_s_tol", "yield_g")} | {"shots": len(asked["shots"])}
    dial_in = state["bags"][state["last"]["bag"]]
    return told | {
        "setting": then["setting"],
        "predicted_time_s": then["predicted_time_s"],
        "interval_80": then["interval_80"],
        "chance_now": now["chance"],
        "chance_then": then["chance"],
        "dial_in": {key: dial_in[key] for key in ("pulls", "pulls_g", "reached")},
        "why": [Why("chance_then", FORMULA, used, SOURCE)],
    }


QUESTIONS = (
    Question("grind", "Where to set the grinder, and what to expect of it", GrindRequest, GrindResponse, answer_grind),
    Question("advice", "Hold, or the one thing to change", AdviceRequest, AdviceResponse, answer_advice),
)
