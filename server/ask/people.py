"""`people`: how each person's shots lie beside the team's, with intervals and never a ranking."""

from marshmallow import Schema, ValidationError, fields, validates_schema
from marshmallow.validate import Length

from server.ask.question import Question, RequestSchema
from server.ask.why import WhySchema
from server.compute.people import people
from server.fields import Quantity, Text


class PersonRequest(RequestSchema):
    """One person's shots: how far each lay from what was expected, in one unit for all."""

    person = Text(80, required=True)
    values = fields.List(Quantity(-1e6, 1e6, ""), required=True, validate=Length(min=1, max=5000))


class PeopleRequest(RequestSchema):
    """The team."""

    people = fields.List(fields.Nested(PersonRequest), required=True, validate=Length(min=2, max=200))

    @validates_schema
    def names_each_person_once(self, data, **kwargs):
        """Two entries of one name would be two people to the sums."""
        names = [one["person"] for one in data.get("people", ())]
        if len(set(names)) < len(names):
            raise ValidationError("names somebody twice: put their values together", "people")


class PersonResponse(Schema):
    """One person beside the team."""

    person = fields.String()
    shots = fields.Integer()
    offset = fields.Float(metadata={"description": "From the house level, shrunk to the team."})
    offset_interval = fields.List(fields.Float(), metadata={"description": "95 %."})
    offset_says = fields.String(metadata={"description": "too_early, no_difference_shown, above or below"})
    spread = fields.Float(metadata={"description": "Shot to shot, shrunk to the team."})
    spread_interval = fields.List(fields.Float(), metadata={"description": "95 %."})
    spread_says = fields.String(metadata={"description": "too_early, no_difference_shown, wider or steadier"})


class PeopleResponse(Schema):
    """The team, in the unit of the values and the order in which people were given."""

    house_level = fields.Float()
    team_spread = fields.Float()
    people_spread = fields.Float(metadata={"description": "How far people's levels differ."})
    people = fields.List(fields.Nested(PersonResponse))
    why = fields.List(fields.Nested(WhySchema))


def answer(asked: dict) -> dict:
    """The team and each person in it."""
    return vars(people({one["person"]: one["values"] for one in asked["people"]}))


QUESTIONS = (
    Question("people", "Each person's shots beside the team's", PeopleRequest, PeopleResponse, answer),
)
