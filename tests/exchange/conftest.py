"""A bar with two coffees, four bags and two people, and a way to import into it."""

import io

import pytest

from server.exchange.importing import Wanted, import_csv
from tests.conftest import NOON


@pytest.fixture
def shelf(manager, site_id):
    """What the logs of these tests refer to, by name."""
    house = manager.add("coffees", name="Tarn Hollow", roaster="Saltmarsh Roasting")["id"]
    guest = manager.add("coffees", name="Ember Ridge", roaster="Saltmarsh Roasting")["id"]
    bags = {
        (coffee, roasted_on): manager.add("bags", coffee_id=coffee_id, roasted_on=roasted_on, mass_g=5000)[
            "id"
        ]
        for coffee, coffee_id, roasted_on in (
            ("Tarn Hollow", house, "2026-01-20"),
            ("Tarn Hollow", house, "2026-02-01"),
            ("Ember Ridge", guest, "2026-01-25"),
        )
    }
    people = {name: manager.add("people", name=name)["id"] for name in ("Ida", "Teo")}
    return {"coffees": {"Tarn Hollow": house, "Ember Ridge": guest}, "bags": bags, "people": people}


@pytest.fixture
def take(app, site_id):
    """Import some text, or bytes; returns the result."""

    def take(content, *, now=NOON, **wanted):
        data = content if isinstance(content, bytes) else content.encode("utf-8")
        with app.app_context():
            return import_csv(io.BytesIO(data), Wanted(**wanted), now)

    return take


@pytest.fixture
def all_of(manager):
    """Every record of a kind, page after page."""

    def all_of(plural: str) -> list[dict]:
        items, cursor = [], None
        while True:
            page = manager.get(f"/api/{plural}", limit=500, **({"cursor": cursor} if cursor else {}))
            items, cursor = items + page["items"], page["cursor"]
            if cursor is None:
                return items

    return all_of
