"""`extraction`: ratio, strength and extraction of one shot or brew, how sure they are, and what is doubtful."""

from marshmallow import Schema, fields
from marshmallow.validate import OneOf

from server.ask.question import Question, RequestSchema
from server.ask.why import WhySchema
from server.compute.doubts import METHODS
from server.compute.extraction import FORMS
from server.compute.measured import extraction_reading
from server.fields import Quantity


def uncertainty(high: float, unit: str, says: str) -> Quantity:
    """A standard uncertainty, with what happens where it is left out."""
    return Quantity(0, high, unit, metadata={"description": says})


class ExtractionRequest(RequestSchema):
    """Masses, and a strength or a °Brix reading. Strengths are percent: 9.5, not 0.095."""

    dose_g = Quantity(0.1, 250, "g", required=True)
    yield_g = Quantity(0.1, 3000, "g", metadata={"description": "The beverage; needed but for immersion."})
    brew_water_g = Quantity(0.1, 5000, "g", metadata={"description": "Water poured; needed for immersion."})
    strength_pct = Quantity(0.001, 30, "% by mass")
    brix_pct = Quantity(0, 40, "°Bx", metadata={"description": "In place of strength_pct."})
    brix_factor = Quantity(
        0.5, 1.2, "% per °Bx", metadata={"description": "0.85 if left out: not peer-reviewed."}
    )
    sample_temp_c = Quantity(
        10, 30, "°C", metadata={"description": "Of the sample, for an instrument that doesn't compensate."}
    )
    method = fields.String(validate=OneOf(METHODS), load_default="espresso")
    form = fields.String(
        validate=OneOf(FORMS),
        load_default="beverage",
        metadata={"description": "By the beverage's mass, or all of the water steeping with the grounds."},
    )
    u_dose_g = uncertainty(100, "g", "One weighing; 0.1 if left out.")
    u_yield_g = uncertainty(100, "g", "One weighing; 0.1 if left out, 1 for filter.")
    u_brew_water_g = uncertainty(100, "g", "One weighing; 0.5 if left out, 1 for filter.")
    u_strength_pct = uncertainty(10, "% by mass", "One reading; 0.05 if left out, 0.03 for filter.")
    u_brix_factor = uncertainty(0.3, "% per °Bx", "0.023 if left out, 0 where u_strength_pct is given.")
    u_scale_gain = uncertainty(1, "", "The scale's bias, as a share of the reading; 0 if left out.")
    u_scale_offset_g = uncertainty(10, "g", "The scale's bias, the same at any mass; 0 if left out.")
    u_strength_gain = uncertainty(
        1, "", "The refractometer's bias, as a share of the reading; 0 if left out."
    )
    u_strength_offset_pct = uncertainty(
        10, "% by mass", "The refractometer's bias at any strength; 0 if left out."
    )


class ExtractionResponse(Schema):
    """One reading, computed."""

    ratio = fields.Float()
    ratio_is = fields.String(metadata={"description": "Beverage to dose, or brew water to dose."})
    strength_pct = fields.Float()
    u_strength_pct = fields.Float(metadata={"description": "Standard uncertainty, biases included."})
    extraction_pct = fields.Float(metadata={"description": "Percent of the dose."})
    u_extraction_pct = fields.Float(metadata={"description": "Standard uncertainty, biases included."})
    interval_95 = fields.List(fields.Float())
    doubts = fields.List(fields.String())
    assumed = fields.List(fields.String())
    why = fields.List(fields.Nested(WhySchema))


QUESTIONS = (
    Question(
        "extraction",
        "Ratio, strength and extraction with their uncertainty",
        ExtractionRequest,
        ExtractionResponse,
        extraction_reading,
    ),
)
