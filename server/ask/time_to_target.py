"""`time_to_target`: the time that a shot would have taken to the recipe's yield."""

from marshmallow import Schema, fields
from marshmallow.validate import Length

from server.ask.question import Question, RequestSchema
from server.ask.why import WhySchema
from server.compute.errors import BadInput
from server.compute.time_to_target import END_FLOW_FACTOR, time_to_target, why_time_to_target
from server.fields import Quantity


class PulledShot(RequestSchema):
    """What is needed of a shot."""

    time_s = Quantity(0.1, 3600, "s")
    yield_g = Quantity(0.1, 3000, "g")
    first_drop_s = Quantity(0, 600, "s")
    dose_g = Quantity(0, 250, "g", above_low=True, metadata={"description": "Taken, not needed."})
    assumed = fields.List(fields.String(), validate=Length(max=20))


class TimeToTargetRequest(PulledShot):
    """A shot, as an object or by its own fields, and the yield that was wanted."""

    shot = fields.Nested(PulledShot)
    yield_target_g = Quantity(0.1, 3000, "g", required=True)
    end_flow_factor = Quantity(0.5, 3, "", load_default=END_FLOW_FACTOR)
    first_drop_usual_s = Quantity(0, 600, "s", metadata={"description": "For a shot without a first drop."})


class TimeToTargetResponse(Schema):
    """The carried time."""

    time_to_target_s = fields.Float(allow_none=True)
    u_s = fields.Float(metadata={"description": "Standard uncertainty."})
    usable = fields.Boolean(metadata={"description": "Whether a chart may use it."})
    reason = fields.String(allow_none=True, metadata={"description": "Why it isn't usable."})
    assumed = fields.List(fields.String())
    why = fields.List(fields.Nested(WhySchema))


def answer(asked: dict) -> dict:
    """The time to target of one shot."""
    shot = asked.get("shot") or asked
    for name in ("time_s", "yield_g"):
        if shot.get(name) is None:
            raise BadInput(name, "is needed: give the shot's own")
    if "time_s" in shot.get("assumed", ()):
        raise BadInput("assumed", "a time that wasn't measured can't be carried over: leave this shot out")
    carried = time_to_target(
        shot["time_s"],
        shot["yield_g"],
        asked["yield_target_g"],
        shot.get("first_drop_s"),
        first_drop_usual_s=asked.get("first_drop_usual_s"),
        end_flow_factor=asked["end_flow_factor"],
        yield_assumed="yield_g" in shot.get("assumed", ()),
    )
    why = why_time_to_target(
        shot["time_s"], shot["yield_g"], asked["yield_target_g"], asked["end_flow_factor"], carried
    )
    return {**carried, "why": [why]}


QUESTIONS = (
    Question(
        "time_to_target",
        "When a shot would have reached the recipe's yield",
        TimeToTargetRequest,
        TimeToTargetResponse,
        answer,
    ),
)
