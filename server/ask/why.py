"""How a figure's reasons look in an answer: the optional `why` list of a response."""

from marshmallow import Schema, fields


class WhySchema(Schema):
    """One figure with its formula, what went in, where the formula comes from, and what was assumed."""

    figure = fields.String(metadata={"description": "The field of this answer that is explained."})
    formula = fields.String()
    inputs = fields.Dict(
        keys=fields.String(), metadata={"description": "Each input by its name, unit included."}
    )
    source = fields.String()
    assumed = fields.List(fields.String())
