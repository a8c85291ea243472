"""What stands in the bar and on its list: coffees, grinders, machines, recipes, cleaning."""

import datetime as dt

from .phones import Notebook, Phone

ROASTER = "Saltmarsh Roasting"
_HOUSE = {
    "method": "espresso",
    "dose_g": 18,
    "dose_g_tol": 0.2,
    "yield_g_tol": 1.5,
    "time_s_tol": 3,
    "water_temp_c": 93,
}
RECIPES = {
    "house": {"name": "House", **_HOUSE, "yield_g": 38, "time_s": 28, "time_s_tol": 3},
    "house, longer": {"name": "House, longer", **_HOUSE, "yield_g": 39.5, "time_s": 29, "time_s_tol": 3},
    "guest": {
        "name": "Guest",
        "method": "espresso",
        "dose_g": 18.5,
        "yield_g": 42,
        "yield_g_tol": 2,
        "time_s": 30,
    },
    "decaf": {"name": "Decaf", "method": "espresso", "dose_g": 17.5, "yield_g": 36, "time_s": 27},
    "cart": {
        "name": "By lever",
        "method": "espresso",
        "dose_g": 17,
        "yield_g": 35,
        "time_s": 30,
        "time_s_tol": 4,
    },
    "filter": {
        "name": "Filter",
        "method": "filter",
        "dose_g": 30,
        "yield_g": 420,
        "time_s": 210,
        "time_s_tol": 20,
    },
}
RECIPE_COFFEE = {"house": "house", "guest": "guest", "decaf": "decaf", "cart": "house", "filter": "guest"}


def coffees(book: Notebook, phone: Phone, at: dt.datetime) -> dict[str, str]:
    own = {
        "rest_days": 10,
        "best_until_days": 28,
        "open_days": 8,
    }  # the roaster's own figures, on this one only
    return {
        "house": book.new(phone, at, "coffee", name="Tarn Hollow", roaster=ROASTER),
        "guest": book.new(phone, at, "coffee", name="Ember Ridge", roaster=ROASTER, **own),
        "decaf": book.new(phone, at, "coffee", name="Low Tide (decaf)", roaster=ROASTER, open_days=9),
    }


def grinders(book: Notebook, phone: Phone, at: dt.datetime, sites: dict) -> dict[str, str]:
    def grinder(name, site, **more):
        return book.new(phone, at, "grinder", name=name, site_id=sites[site], **more)

    return {
        "house": grinder("House grinder", "bar", finer="lower", step=0.5, seconds_per_step=1.5),
        "guest": grinder("Guest grinder", "bar", finer="lower", step=1),
        "cart": grinder("Cart grinder", "cart", finer="higher", step=1),
    }


def machines(book: Notebook, phone: Phone, at: dt.datetime, sites: dict) -> dict[str, str]:
    limits = {"hardness_max_mg_l_caco3": 90, "chloride_max_mg_l": 30, "ph_min": 6.5, "ph_max": 8.0}
    pump = {"drive": "pump", "group_temp_c": 93, "steam_gauge_bar": 1.2, "maker_limits": limits}
    lever = {"drive": "lever", "group_temp_c": 92, "steam_gauge_bar": 1.0}
    return {
        "bar": book.new(phone, at, "machine", name="Two-group", site_id=sites["bar"], **pump),
        "cart": book.new(phone, at, "machine", name="Cart lever", site_id=sites["cart"], **lever),
    }


def recipes(book: Notebook, phone: Phone, at: dt.datetime, of: dict) -> dict[str, str]:
    return {
        name: book.new(phone, at, "recipe", coffee_id=of[RECIPE_COFFEE[name]], **targets)
        for name, targets in RECIPES.items()
        if name != "house, longer"
    }


def care(book: Notebook, phone: Phone, at: dt.datetime, sites: dict) -> dict[str, str]:
    def task(name, caution, **due):
        return book.new(phone, at, "care_task", name=name, site_id=sites["bar"], caution=caution, **due)

    return {
        "backflush": task(
            "Backflush both groups", "chemicals", every_days=1, steps="As the maker's manual says."
        ),
        "wands": task("Purge and soak steam wands", "steam", every_days=1),
        "hoppers": task("Wash hoppers", "none", every_days=7),
        "burrs": task("Check house burrs", "electrics", every_kg=400),
        "gaskets": task("Group gaskets", "heat", every_days=180),
    }
