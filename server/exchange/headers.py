"""The words by which columns are known: trade words in English and German, as a typed-up log has them."""

import unicodedata

# What a column may hold besides the record's own fields: it is looked up, or put together with another one.
ID = {"id": ()}
WHEN = {"date": ("day", "datum", "tag"), "clock": ("clock time", "time of day", "uhrzeit", "at", "um")}
WHERE = {"site": ("bar", "standort", "filiale", "ort")}
COFFEE = {"coffee": ("beans", "bean", "kaffee", "bohne", "bohnen", "sorte")}
ASIDE = {
    "shot": {
        **ID,
        **WHEN,
        **WHERE,
        **COFFEE,
        "person": ("barista", "who", "name", "by", "wer", "von"),
        "grinder": ("mill", "muhle"),
        "machine": ("maschine",),
    },
    "bag": {**ID, **WHERE, "coffee": (*COFFEE["coffee"], "name")},
    "water": {**ID, **WHEN, **WHERE},
}
MEASURES = {
    "water_temp_c": ("water temp", "water temperature", "brew temp", "brew temperature", "temp", "temperature"),
    "pressure_bar": ("pressure", "druck"),
    "note": ("notes", "comment", "comments", "remark", "remarks", "notiz", "notizen", "bemerkung", "bemerkungen",
             "kommentar", "anmerkung"),
}  # fmt: skip
WORDS = {
    "shot": {
        **MEASURES,
        "water_temp_c": (*MEASURES["water_temp_c"], "wassertemperatur", "bruhtemperatur", "temperatur"),
        "pulled_at": (
            "pulled",
            "date and time",
            "date/time",
            "datetime",
            "timestamp",
            "zeitpunkt",
            "datum und uhrzeit",
        ),
        "dose_g": ("dose", "dose in", "in", "dosis", "einwaage", "kaffeemenge", "mahlgut"),
        "yield_g": ("yield", "out", "dose out", "beverage", "ertrag", "ausbeute", "auswaage", "getrank"),
        "time_s": (
            "shot time",
            "extraction time",
            "brew time",
            "duration",
            "seconds",
            "bezugszeit",
            "durchlaufzeit",
            "laufzeit",
            "extraktionszeit",
            "sekunden",
        ),
        "first_drop_s": ("first drop", "first drop after", "first drops", "erster tropfen"),
        "setting": ("grind", "grind setting", "grinder setting", "mahlgrad", "einstellung"),
        "roasted_on": ("roasted", "roast date", "roast", "rostdatum", "gerostet", "gerostet am", "rostung"),
        "batch": ("bag", "lot", "charge", "tute", "packung", "beutel"),
        "group": ("gruppe", "brew group", "bruhgruppe"),
        "strength_pct": ("strength", "tds", "starke", "konzentration"),
        "brix_pct": ("brix",),
        "method": ("methode", "zubereitung"),
        "purpose": ("zweck",),
        "fate": ("verbleib",),
        "fault": ("fehler",),
        "cups": ("tassen",),
        "taste": ("geschmack",),
    },
    "bag": {
        "roasted_on": ("roasted", "roast date", "roast", "rostdatum", "gerostet", "gerostet am", "rostung"),
        "mass_g": ("mass", "weight", "size", "gewicht", "menge", "masse", "inhalt"),
        "batch": ("lot", "charge", "batch number"),
        "roaster": ("roastery", "roasted by", "rosterei", "roster"),
    },
    "water": {
        "note": MEASURES["note"],
        "sampled_at": ("sampled", "date and time", "datetime", "timestamp", "probenahme", "zeitpunkt"),
        "source": ("sample", "water", "tap", "quelle", "probe", "wasser", "entnahmestelle"),
        "hardness": ("total hardness", "gh", "harte", "gesamtharte", "wasserharte"),
        "hardness_unit": ("unit of hardness", "harteeinheit"),
        "alkalinity": (
            "kh",
            "carbonate hardness",
            "karbonatharte",
            "carbonatharte",
            "alkalinitat",
            "saurekapazitat",
        ),
        "alkalinity_unit": ("unit of alkalinity",),
        "calcium_mg_l": ("calcium", "ca", "kalzium"),
        "magnesium_mg_l": ("magnesium", "mg"),
        "sodium_mg_l": ("sodium", "na", "natrium"),
        "potassium_mg_l": ("potassium", "k", "kalium"),
        "bicarbonate_mg_l": ("bicarbonate", "hco3", "hydrogencarbonat", "hydrogenkarbonat"),
        "chloride_mg_l": ("chloride", "cl", "chlorid"),
        "sulphate_mg_l": ("sulphate", "sulfate", "so4", "sulfat"),
        "ph": ("ph value", "ph wert", "ph-wert"),
        "conductivity_us_cm": ("conductivity", "ec", "leitfahigkeit"),
        "dry_residue_mg_l": ("dry residue", "residue", "abdampfruckstand", "trockenruckstand"),
        "free_chlorine_mg_l": ("free chlorine", "chlorine", "chlor", "freies chlor"),
        "temp_c": ("temp", "temperature", "water temp", "temperatur", "wassertemperatur"),
    },
}
# Needed to take a column for a kind's: one of each group.
NEEDED = {
    "shot": (("dose_g",), ("yield_g",), ("time_s",)),
    "bag": (("coffee", "coffee_id"), ("roasted_on",)),
    "water": (("sampled_at", "date"),),
}
# "time" alone: how long it ran, or when it was pulled? Which, the other columns say.
TIME_WORDS = ("time", "zeit")


def plain(text: str) -> str:
    """A header in the form in which headers are compared.

    >>> plain("  Röst-Datum ")
    'rost-datum'
    """
    letters = unicodedata.normalize("NFKD", text.replace("ß", "ss").replace("_", " ")).casefold()
    return " ".join("".join(char for char in letters if not unicodedata.combining(char)).split()).strip(
        " :.*#"
    )
