"""`water`: hardness, alkalinity, scale, corrosion and fit of one water in one machine."""

from marshmallow import Schema, fields
from marshmallow.validate import Length, OneOf

from server.ask.question import Question, RequestSchema
from server.ask.why import WhySchema
from server.compute.atmosphere import SEA_LEVEL_KPA
from server.compute.errors import BadInput
from server.compute.steam import saturation_temp_c
from server.compute.water.fit import PROPERTIES
from server.compute.water.report import water_report
from server.compute.water.sample import RANGES, Sample, read_sample
from server.compute.water.units import ALKALINITY_UNITS, HARDNESS_UNITS
from server.fields import Id, Instant, Quantity, Text


class HardnessAmount(RequestSchema):
    """What a kit or a lab says: a value in a unit, or drops by the factor in the kit's leaflet."""

    value = Quantity(0, 5000, "")
    unit = fields.String(required=True, validate=OneOf(HARDNESS_UNITS))
    drops = Quantity(0, 200, "")
    per_drop = Quantity(0, 500, "", above_low=True, metadata={"description": "in `unit`"})


class AlkalinityAmount(HardnessAmount):
    """As `HardnessAmount`; a millimole is of acid used, half as much CaCO3 as a millimole of hardness."""

    unit = fields.String(required=True, validate=OneOf(ALKALINITY_UNITS))


_MEASURED = RequestSchema.from_dict(
    {name: Quantity(*bounds) for name, bounds in RANGES.items() if not name.endswith("_caco3")},
    name="Measured",
)


class WaterFields(_MEASURED):
    """One water as its record has it; what nobody measured is left out."""

    hardness = fields.Nested(HardnessAmount)
    alkalinity = fields.Nested(AlkalinityAmount)
    sampled_at = Instant(metadata={"description": "carried along, not used"})
    site_id = Id(metadata={"description": "carried along, not used"})
    source = Text(80, metadata={"description": "carried along, not used"})
    note = Text(500, metadata={"description": "carried along, not used"})


class Range(RequestSchema):
    """Ends that still count as within; one may be left out."""

    low = Quantity(0, 10000, "")
    high = Quantity(0, 10000, "")


class MachineFields(RequestSchema):
    """The machine that the water goes into."""

    group_temp_c = Quantity(0, 150, "°C", metadata={"description": "93 is assumed"})
    steam_temp_c = Quantity(0, 150, "°C", metadata={"description": "125 is assumed"})
    steam_gauge_bar = Quantity(0, 3.5, "bar", metadata={"description": "in place of steam_temp_c"})
    steam_concentration = fields.List(
        Quantity(1, 10, ""),
        validate=Length(equal=2),
        metadata={"description": "low and high end; 1 to 5 is assumed"},
    )
    litres_per_week = Quantity(0, 100000, "L/week")
    maker_limits = fields.Dict(
        keys=fields.String(),
        values=Quantity(0, 20000, "", allow_none=True),
        metadata={"description": "as in a machine's record, such as chloride_max_mg_l"},
    )
    ranges = fields.Dict(
        keys=fields.String(validate=OneOf(PROPERTIES)),
        values=fields.Nested(Range),
        metadata={"description": "in place of the published ranges, property by property"},
    )


class WaterRequest(WaterFields, MachineFields):
    """One water, one machine."""


def figure(says: str = "") -> fields.Float:
    """A number, or null where it can't be known."""
    return fields.Float(allow_none=True, metadata={"description": says})


def by_place(says: str) -> fields.Dict:
    """group, steam (feed strength), steam_concentrated_low and steam_concentrated (both ends of the factor)."""
    return fields.Dict(keys=fields.String(), values=figure(), metadata={"description": says})


class Judged(Schema):
    """A property against a range: `below`, `within`, `above` or `unknown`."""

    value = figure()
    low = figure()
    high = figure()
    verdict = fields.String()
    source = fields.String()
    says = fields.String()


class Corrosion(Schema):
    """The maker's chloride limit first; a ratio made for another metal second."""

    chloride = fields.Nested(Judged)
    chloride_in_steam_boiler_mg_l = fields.List(fields.Float(), allow_none=True)
    larson_skold = figure("equivalents of chloride and sulphate per equivalent of alkalinity")
    larson_skold_says = fields.String(allow_none=True)
    larson_skold_made_for = fields.String()


class Shortcut(Schema):
    """The textbook index, as a comparison."""

    group = fields.Float()
    steam = fields.Float()
    says = fields.String()


class WaterResponse(Schema):
    """Null where a figure can't be known; `assumed` lists what was taken for granted to know the others."""

    hardness_mg_l_caco3 = figure()
    alkalinity_mg_l_caco3 = figure()
    calcium_mg_l = figure()
    magnesium_mg_l = figure()
    ph = figure()
    charge_balance_pct = figure("(cations - anions) / (cations + anions)")
    ph_there = by_place("pH after closed heating")
    si_calcite = by_place("saturation index of calcite after closed heating")
    si_calcite_if_co2_escapes = by_place("the same where CO2 escapes to its pressure in air: a bound")
    si_uncertainty = fields.Float(metadata={"description": "to show as ±"})
    si_uncertainty_because = fields.String()
    precipitates_mg_l_caco3 = by_place("per litre of the water there, until the index is 0")
    precipitates_if_co2_escapes_mg_l_caco3 = by_place("the same where CO2 escapes: a bound")
    scale_g_per_week_at_most = figure()
    langelier_shortcut = fields.Nested(Shortcut, allow_none=True)
    corrosion = fields.Nested(Corrosion)
    fit = fields.Dict(keys=fields.String(), values=fields.Nested(Judged))
    maker = fields.Dict(keys=fields.String(), values=fields.Nested(Judged))
    used = fields.Dict(
        keys=fields.String(), allow_none=True, metadata={"description": "the analysis as it was speciated"}
    )
    assumed = fields.List(fields.String())
    doubts = fields.List(fields.String())
    cautions = fields.List(fields.String())
    why = fields.List(fields.Nested(WhySchema))


def machine_settings(asked: dict) -> dict:
    """The arguments of `water_report` that are about the machine."""
    told = {
        name: asked[name] for name in MachineFields().fields if name in asked and name != "steam_gauge_bar"
    }
    if "steam_gauge_bar" in asked:
        if "steam_temp_c" in asked:
            raise BadInput("steam_gauge_bar", "give this or steam_temp_c, not both")
        told["steam_temp_c"] = saturation_temp_c(SEA_LEVEL_KPA + 100 * asked["steam_gauge_bar"])
    return told


def sample_of(asked: dict, field: str) -> Sample:
    """The water in one field of a request; an error in it names that field."""
    try:
        return read_sample(asked[field])
    except BadInput as refused:
        raise BadInput(field, str(refused)) from refused


def answer(asked: dict) -> dict:
    """Everything about one water."""
    return water_report(read_sample(asked), **machine_settings(asked))


QUESTIONS = (Question("water", "Scale, corrosion and fit of a water", WaterRequest, WaterResponse, answer),)
