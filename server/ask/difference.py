"""`difference`: do two readings differ, or what does a blind tasting say. One of the two forms at a time."""

from dataclasses import asdict

from marshmallow import Schema, fields
from marshmallow.validate import OneOf

from server.ask.extraction import ExtractionRequest
from server.ask.question import Question, RequestSchema
from server.ask.why import WhySchema
from server.compute.errors import BadInput
from server.compute.panel import LUCK
from server.compute.readings import readings_differ
from server.compute.tasting import CAUTION, tasting_odds
from server.fields import Quantity


class ComparedReading(ExtractionRequest):
    """As for `extraction`; without masses in either reading, strengths are compared."""

    dose_g = Quantity(0.1, 250, "g")


class DifferenceRequest(RequestSchema):
    """Two readings (`first`, `second`), or a tasting (`test`, `right`, `of`)."""

    first = fields.Nested(ComparedReading)
    second = fields.Nested(ComparedReading)
    same_scale = fields.Boolean(truthy={True}, falsy={False})
    same_refractometer = fields.Boolean(truthy={True}, falsy={False})
    test = fields.String(validate=OneOf(tuple(LUCK)))
    right = Quantity(0, 400, "answers", whole=True)
    of = Quantity(1, 400, "answers", whole=True)
    two_sided = fields.Boolean(truthy={True}, falsy={False})
    alpha = Quantity(0.0001, 0.5, "")
    worth_finding = Quantity(0.01, 1, "")
    power = Quantity(0.5, 0.999, "")


class DiscriminatorsResponse(Schema):
    """Share of people who can really tell."""

    share = fields.Float()
    interval = fields.List(fields.Float(), metadata={"description": "95 %."})
    at_most = fields.Float()


class DifferenceResponse(Schema):
    """The fields of the form that was asked; `sentence` says it plainly."""

    figure = fields.String(metadata={"description": "Which figure was compared."})
    first = fields.Float()
    second = fields.Float()
    difference = fields.Float(metadata={"description": "First less second."})
    u_difference = fields.Float()
    interval_95 = fields.List(fields.Float())
    least_difference = fields.Float(metadata={"description": "What these instruments could tell apart."})
    chance_if_equal = fields.Float()
    doubts = fields.List(fields.String())
    chance_by_luck = fields.Float()
    needed = fields.Integer(allow_none=True)
    discriminators = fields.Nested(DiscriminatorsResponse, allow_none=True)
    power = fields.Float()
    tasters_needed = fields.Integer(allow_none=True)
    caution = fields.String()
    differs = fields.Boolean()
    sentence = fields.String()
    why = fields.List(fields.Nested(WhySchema))


TWO_READINGS = ("first", "second", "same_scale", "same_refractometer")
TASTING = ("test", "right", "of", "two_sided", "alpha", "worth_finding", "power")


def answer(asked: dict) -> dict:
    """What the two readings, or the tasting, say."""
    readings, tasting = ({n: asked[n] for n in names if n in asked} for names in (TWO_READINGS, TASTING))
    if readings and tasting:
        raise BadInput(next(iter(tasting)), "give two readings or a tasting, not both")
    if tasting:
        _needs(tasting, ("test", "right", "of"))
        return {**asdict(tasting_odds(**tasting)), "caution": CAUTION}
    _needs(readings, ("first", "second"))
    return readings_differ(**readings)


def _needs(given: dict, names: tuple[str, ...]) -> None:
    for name in names:
        if name not in given:
            raise BadInput(
                name, f"is needed, beside {' and '.join(other for other in names if other != name)}"
            )


QUESTIONS = (
    Question(
        "difference",
        "Whether two readings differ, or what a blind tasting says",
        DifferenceRequest,
        DifferenceResponse,
        answer,
    ),
)
