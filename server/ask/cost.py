"""`cost`: what a drink costs in beans and milk, and what a week of shots and milk cost by cause."""

from datetime import date

from marshmallow import Schema, ValidationError, fields, validates_schema
from marshmallow.validate import Length, OneOf

from server.ask.question import Question, RequestSchema
from server.ask.why import WhySchema
from server.compute.cost import drink_cost, milk_price_per_kg, price_per_kg
from server.compute.week_costs import GROUPS, ITEMS, Use, week_costs
from server.fields import LocalDate, Quantity, Text

SHARES = ("sunk_share", "practice_share", "warm_up_share", "milk_lost_share")


class UseRequest(RequestSchema):
    """Beans or milk that went one way on one day."""

    site = Text(80, required=True)
    day = LocalDate(required=True)
    item = fields.String(required=True, validate=OneOf(ITEMS))
    cause = fields.String(required=True, validate=OneOf(GROUPS))
    mass_g = Quantity(0, 1_000_000, "g", required=True)
    count = Quantity(0, 1_000_000, "", whole=True, load_default=1)
    price_per_kg = Quantity(0, 100_000, "a kilogram", load_default=None, allow_none=True)
    currency = Text(3, load_default=None, allow_none=True)


class CostRequest(RequestSchema):
    """One drink, or a list of uses, or both."""

    dose_g = Quantity(0, 250, "g", above_low=True)
    bag_price = Quantity(0, 100_000, "")
    bag_mass_g = Quantity(1, 70_000, "g")
    milk_g = Quantity(0, 2000, "g", load_default=0.0)
    milk_price_per_litre = Quantity(0, 1000, "a litre", load_default=0.0)
    sunk_share = Quantity(0, 0.95, "of all shots", load_default=0.0)
    practice_share = Quantity(0, 0.95, "of all shots", load_default=0.0)
    warm_up_share = Quantity(0, 0.95, "of all shots", load_default=0.0)
    milk_lost_share = Quantity(0, 0.95, "of all milk", load_default=0.0)
    uses = fields.List(fields.Nested(UseRequest), validate=Length(min=1, max=10_000))

    @validates_schema
    def asks_something_whole(self, data, **kwargs):
        """A drink needs its bag's price and mass; without a drink there must be uses."""
        if "dose_g" not in data and "uses" not in data:
            raise ValidationError("is missing: give a drink's dose_g, or a list of uses", "dose_g")
        if "dose_g" in data:
            for name in ("bag_price", "bag_mass_g"):
                if name not in data:
                    raise ValidationError("is needed to price the dose", name)


class CauseSchema(Schema):
    """What went one way in a week."""

    cause = fields.String()
    group = fields.String(metadata={"description": "served, set_up, training or waste"})
    item = fields.String()
    mass_g = fields.Float()
    count = fields.Integer()
    cost = fields.Float()


class WeekSchema(Schema):
    """One site's week, Monday to Sunday (ISO 8601)."""

    site = fields.String()
    week = fields.String()
    currency = fields.String(allow_none=True)
    causes = fields.List(fields.Nested(CauseSchema))
    cost = fields.Float()
    waste_cost = fields.Float()
    unpriced_g = fields.Float(metadata={"description": "Mass that nobody entered a price for."})
    served_shots = fields.Integer()
    per_served_shot = fields.Float(allow_none=True)
    sunk_share = fields.Float(allow_none=True)
    sunk_interval = fields.List(fields.Float(), allow_none=True)
    why = fields.List(fields.Nested(WhySchema))


class CostResponse(Schema):
    """Money is in the currency of the prices, not rounded."""

    beans = fields.Float(metadata={"description": "Beans in the drink."})
    milk = fields.Float(metadata={"description": "Milk in the drink."})
    lost = fields.Float(metadata={"description": "The drink's part of what nobody drank."})
    per_drink = fields.Float()
    weeks = fields.List(fields.Nested(WeekSchema))
    why = fields.List(fields.Nested(WhySchema))


def answer(asked: dict) -> dict:
    """The drink's cost, the weeks' costs, or both."""
    answered = {}
    if "dose_g" in asked:
        cost = drink_cost(
            asked["dose_g"],
            price_per_kg(asked["bag_price"], asked["bag_mass_g"]),
            asked["milk_g"],
            milk_price_per_kg(asked["milk_price_per_litre"]),
            **{name: asked[name] for name in SHARES},
        )
        answered.update(vars(cost))
    if "uses" in asked:
        uses = [Use(**{**use, "day": date.fromisoformat(use["day"])}) for use in asked["uses"]]
        answered["weeks"] = week_costs(uses)
    return answered


QUESTIONS = (Question("cost", "What a drink costs, and a week by cause", CostRequest, CostResponse, answer),)
