"""The manager's screen in a test: a bar with some days behind it, and a signed-in page at a desk or on a phone."""

import datetime as dt

from tests.conftest import PASSWORD

DESK = {"viewport": {"width": 1280, "height": 800}, "locale": "en-GB", "timezone_id": "Europe/London"}
HAND_HELD = {**DESK, "viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


def fill(bar, shots: int = 12) -> dict:
    """A coffee with an open bag past its window, a recipe, a grinder that was moved once, shots over two days."""
    now = bar.now()
    coffee = bar.make("coffees", name="Tarn Hollow", roaster="Saltmarsh Roasting")
    grinder = bar.make("grinders", name="Quay grinder", site_id=bar.site_id)
    recipe = bar.make("recipes", coffee_id=coffee, method="espresso", dose_g=18, yield_g=36, time_s=28)
    roasted_on = (now - dt.timedelta(days=30)).date().isoformat()
    bag = bar.make("bags", coffee_id=coffee, roasted_on=roasted_on, mass_g=400, site_id=bar.site_id)
    bar.make("bag_events", bag_id=bag, what="opened", at=iso(now - dt.timedelta(days=2)))
    made = []
    for n in range(shots):
        at = now - dt.timedelta(minutes=20 * (shots - n))
        shot = {
            "pulled_at": iso(at),
            "dose_g": 18,
            "yield_g": 36,
            "time_s": 26 + n % 7,
            "setting": 4.2 if n < 6 else 4.4,
        }
        shot |= {"site_id": bar.site_id, "recipe_id": recipe, "grinder_id": grinder, "bag_id": bag}
        made.append(bar.make("shots", **shot, **({"strength_pct": 9.4} if n % 3 == 0 else {})))
    water = {"hardness": {"value": 7, "unit": "dh"}, "alkalinity": {"value": 5, "unit": "dh"}, "ph": 7.4}
    bar.make("waters", sampled_at=iso(now - dt.timedelta(days=1)), site_id=bar.site_id, **water)
    return {"shots": made, "bag": bag, "recipe": recipe, "grinder": grinder, "coffee": coffee}


def sign_in(page, bar, password: str = PASSWORD) -> None:
    page.goto(f"{bar.url}/manage")
    page.get_by_label("Name", exact=True).fill("Mara")
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()


def iso(at: dt.datetime) -> str:
    return at.isoformat(timespec="seconds")
