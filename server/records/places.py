"""Sites, people, coffees, machines and recipes: the things that shots are made with."""

from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from marshmallow import ValidationError, fields, validate

from server.fields import Id, Quantity, Text
from server.records.kind import Kind, RecordSchema, Scope, Whole, amount, choice, grams

METHODS = ("espresso", "filter")


def known_zone(name: str) -> None:
    """Raise unless `name` is a zone of the IANA time zone database."""
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as wrong:
        raise ValidationError("must be an IANA time zone such as Europe/Lisbon") from wrong


class Site(RecordSchema):
    name = Text(80, required=True)
    time_zone = Text(60, required=True, validate=known_zone)
    day_starts_at = fields.String(
        validate=validate.Regexp(r"([01]\d|2[0-3]):[0-5]\d\Z", error="must be a local time such as 04:00"),
        metadata={"description": "local time at which a working day starts; 04:00 unless set"},
    )
    altitude_m = Quantity(-430, 5500, "m")
    currency = fields.String(
        validate=validate.Regexp(r"[A-Z]{3}\Z", error="must be a three-letter currency code (ISO 4217) such as EUR")
    )
    tests_due_days = Quantity(1, 400, "days", whole=True, metadata={"description": "how often the water is tested"})


class Person(RecordSchema):
    name = Text(60, required=True)


class Coffee(RecordSchema):
    name = Text(80, required=True)
    roaster = Text(80)
    rest_days = amount(120, "days")
    best_until_days = amount(400, "days")
    open_days = amount(120, "days")


class Grinder(RecordSchema):
    name = Text(60, required=True)
    site_id = Id()
    finer = choice(
        "lower", "higher", metadata={"description": "which way the scale runs: the numbers that grind finer"}
    )
    step = Quantity(0, 100, "marks", above_low=True, metadata={"description": "smallest change; absent if stepless"})
    seconds_per_step = Quantity(-60, 60, "s")


class MakerLimits(RecordSchema):
    """The machine maker's own figures for the feed water: they come before any general advice."""

    hardness_max_mg_l_caco3 = amount(2000, "mg/L CaCO3")
    hardness_min_mg_l_caco3 = amount(2000, "mg/L CaCO3")
    alkalinity_max_mg_l_caco3 = amount(2000, "mg/L CaCO3")
    alkalinity_min_mg_l_caco3 = amount(2000, "mg/L CaCO3")
    chloride_max_mg_l = amount(2000, "mg/L")
    conductivity_max_us_cm = amount(10000, "µS/cm")
    ph_min = Quantity(3, 11, "")
    ph_max = Quantity(3, 11, "")
    free_chlorine_max_mg_l = amount(20, "mg/L")


class Machine(RecordSchema):
    name = Text(60, required=True)
    site_id = Id()
    drive = choice("pump", "lever", "other")
    group_temp_c = Quantity(60, 110, "°C")
    steam_gauge_bar = Quantity(0, 3.5, "bar")
    maker_limits = Whole(MakerLimits)


class Recipe(RecordSchema):
    name = Text(60)
    coffee_id = Id(required=True)
    method = choice(*METHODS, required=True)
    dose_g = grams(250, required=True)
    dose_g_tol = amount(50, "g")
    yield_g = grams(3000, required=True)
    yield_g_tol = amount(300, "g")
    time_s = Quantity(0, 3600, "s", above_low=True, required=True)
    time_s_tol = amount(600, "s")
    water_temp_c = Quantity(0, 100, "°C")
    water_temp_c_tol = amount(20, "°C")
    pressure_bar = amount(20, "bar")
    pressure_bar_tol = amount(10, "bar")
    preinfusion_s = amount(300, "s")
    preinfusion_s_tol = amount(60, "s")
    basket_g = grams(60)
    replaces = Id()


class Refractometer(RecordSchema):
    name = Text(60, required=True)
    brix_factor = Quantity(0.5, 1.2, "")
    u_reading_pct = amount(2, "% by mass")


KINDS = (
    Kind("site", "sites", Site, Scope.SHARED),
    Kind("person", "people", Person, Scope.SHARED),
    Kind("coffee", "coffees", Coffee, Scope.SHARED),
    Kind("grinder", "grinders", Grinder, Scope.SHARED),
    Kind("machine", "machines", Machine, Scope.SHARED),
    Kind("recipe", "recipes", Recipe, Scope.SHARED, fixed=True),
    Kind("refractometer", "refractometers", Refractometer, Scope.SHARED),
)
