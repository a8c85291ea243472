"""`cold_chain`: is this milk cold, on the clock, or to be thrown out, and by when."""

from marshmallow import Schema, fields
from marshmallow.validate import Length, OneOf

from server.ask.question import Question, RequestSchema
from server.compute.cold_chain import cold_chain
from server.compute.cold_clock import Move, Reading
from server.compute.cold_rules import COLD_RULES
from server.fields import Instant, Quantity, parse_instant


class ReadingRequest(RequestSchema):
    """A thermometer held in the milk."""

    at = Instant(required=True)
    temp_c = Quantity(-5, 100, "°C", required=True)


class MoveRequest(RequestSchema):
    """Milk taken out of the cold, or put back."""

    at = Instant(required=True)
    what = fields.String(required=True, validate=OneOf(("out", "back")))


class ColdChainRequest(RequestSchema):
    """One container of milk: its readings, when it was taken out and put back, and whose law."""

    jurisdiction = fields.String(required=True, validate=OneOf(COLD_RULES))
    now = Instant(required=True)
    readings = fields.List(fields.Nested(ReadingRequest), load_default=list, validate=Length(max=1000))
    moves = fields.List(fields.Nested(MoveRequest), load_default=list, validate=Length(max=1000))


class ColdChainResponse(Schema):
    """Where the milk stands."""

    state = fields.String(validate=OneOf(("not_read", "cold", "on_the_clock", "discard")))
    discard_by = Instant(allow_none=True)
    minutes_left = fields.Float(allow_none=True)
    may_go_back = fields.Boolean(metadata={"description": "Whether it may be kept in the fridge for later."})
    reasons = fields.List(fields.String())
    assumed = fields.List(fields.String())
    sources = fields.List(fields.String())
    cautions = fields.List(fields.String())


def answer(asked: dict) -> dict:
    """The state of the milk, with its times in the offset of `now`."""
    now = parse_instant(asked["now"])
    chain = cold_chain(
        asked["jurisdiction"],
        now,
        [Reading(parse_instant(reading["at"]), reading["temp_c"]) for reading in asked["readings"]],
        [Move(parse_instant(move["at"]), move["what"]) for move in asked["moves"]],
    )
    by = chain.discard_by
    return {**vars(chain), "discard_by": by and by.astimezone(now.tzinfo).isoformat()}


QUESTIONS = (
    Question(
        "cold_chain",
        "Chilled milk: cold, on the clock, or to be discarded, and by when",
        ColdChainRequest,
        ColdChainResponse,
        answer,
    ),
)
