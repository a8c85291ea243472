"""Waters as sampled, and the cartridge they pass through."""

from server.compute.water.units import ALKALINITY_UNITS, HARDNESS_UNITS
from server.fields import Id, Quantity, Text
from server.records.kind import Kind, RecordSchema, Scope, Whole, amount, choice, happened


class Hardness(RecordSchema):
    value = amount(5000, "", required=True)
    unit = choice(*HARDNESS_UNITS, required=True)


class Alkalinity(RecordSchema):
    value = amount(5000, "", required=True)
    unit = choice(*ALKALINITY_UNITS, required=True)


class Water(RecordSchema):
    sampled_at = happened()
    site_id = Id()
    source = Text(80)
    hardness = Whole(Hardness)
    alkalinity = Whole(Alkalinity)
    calcium_mg_l = amount(2000, "mg/L")
    magnesium_mg_l = amount(2000, "mg/L")
    sodium_mg_l = amount(5000, "mg/L")
    potassium_mg_l = amount(2000, "mg/L")
    bicarbonate_mg_l = amount(5000, "mg/L")
    chloride_mg_l = amount(10000, "mg/L")
    sulphate_mg_l = amount(5000, "mg/L")
    ph = Quantity(3, 11, "")
    conductivity_us_cm = amount(20000, "µS/cm")
    dry_residue_mg_l = amount(20000, "mg/L")
    free_chlorine_mg_l = amount(20, "mg/L")
    temp_c = Quantity(0, 60, "°C")
    note = Text(500)


class Cartridge(RecordSchema):
    site_id = Id(required=True)
    fitted_at = happened()
    name = Text(80)
    capacity_l = Quantity(0, 1_000_000, "L", above_low=True)
    capacity_g_caco3 = Quantity(0, 1_000_000, "g CaCO3", above_low=True)
    bypass_share = Quantity(0, 1, "")


KINDS = (
    Kind("water", "waters", Water, Scope.SITE, at="sampled_at", lasting=True),
    Kind("cartridge", "cartridges", Cartridge, Scope.SITE, at="fitted_at", lasting=True),
)
