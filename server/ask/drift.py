"""`drift`: is this spread, or has something moved?"""

from marshmallow import Schema, fields
from marshmallow.validate import Length

from server.ask.question import Question, RequestSchema
from server.ask.why import WhySchema
from server.compute.grind.drift import drift
from server.compute.why import Why
from server.fields import Quantity


class Baseline(RequestSchema):
    """Centre and spread, known from elsewhere."""

    center_s = Quantity(0, 1e6, "s", above_low=True, required=True)
    sigma_ln = Quantity(0, 5, "", above_low=True, required=True)


class History(RequestSchema):
    """Spread of this grinder's earlier charts."""

    sigma_ln = Quantity(0, 5, "", above_low=True, required=True)
    shots = Quantity(2, 1e6, "shots", whole=True, required=True)


class DriftRequest(RequestSchema):
    """Times to target in order of pulling, at one setting."""

    times_s = fields.List(Quantity(0, 1e6, "s", above_low=True), required=True, validate=Length(min=1, max=10_000))
    baseline_n = Quantity(5, 10_000, "shots", whole=True)
    baseline = fields.Nested(Baseline)
    history = fields.Nested(History)
    shots_per_day = Quantity(0, 10_000, "a day", above_low=True, load_default=20.0)
    rules = fields.List(fields.String(), load_default=list, validate=Length(max=20))
    ewma_weight = Quantity(0, 1, "", above_low=True)
    ewma_limit_sigma = Quantity(0, 20, "", above_low=True)


class Signal(Schema):
    """One signal."""

    index = fields.Integer(metadata={"description": "Which of `times_s`, from 0."})
    rule = fields.String()
    says = fields.String()


class DriftResponse(Schema):
    """The chart."""

    center_s = fields.Float()
    sigma_ln = fields.Float(metadata={"description": "Spread of ln time: 0.06 is about 6 %."})
    lower_s = fields.Float(metadata={"description": "Three sigma below the centre."})
    upper_s = fields.Float(metadata={"description": "Three sigma above the centre."})
    signals = fields.List(fields.Nested(Signal))
    ewma = fields.List(fields.Float(), metadata={"description": "In seconds, one for each time."})
    ewma_lower_s = fields.Float()
    ewma_upper_s = fields.Float()
    run_length = fields.Float(metadata={"description": "Shots between false alarms of the default signals."})
    autocorrelation = fields.Float()
    why = fields.List(fields.Nested(WhySchema))


def answer(asked: dict) -> dict:
    """The chart of these times."""
    used = {name: value for name, value in asked.items() if name != "times_s"}
    why = Why(
        "upper_s",
        "exp(mean of ln time + 3 x mean moving range of ln time / 1.128)",
        used | {"shots": len(asked["times_s"])},
        "NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.2, doi:10.18434/M32189",
    )
    return {**drift(**asked), "why": [why]}


QUESTIONS = (Question("drift", "Is this spread, or has something moved?", DriftRequest, DriftResponse, answer),)
