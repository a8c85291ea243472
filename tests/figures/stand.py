"""A small bar for the figures' tests: what hands and phones would have put there, in a line each."""

import datetime as dt

UTC = dt.UTC


def at(text: str) -> str:
    """ "2026-03-02 09:15" as the bar's clock shows it: Lisbon in winter, so UTC."""
    return text.replace(" ", "T") + ":00Z"


class Stand:
    """One site with a grinder, a coffee, a recipe and an open bag; shots are added by what differs from a good one."""

    def __init__(self, manager, phone):
        self.manager, self.phone, self.site_id = manager, phone, phone.site_id
        self.coffee_id = manager.add("coffees", name="Tarn Hollow", roaster="Saltmarsh Roasting")["id"]
        self.grinder_id = manager.add("grinders", name="Quay grinder", site_id=self.site_id)["id"]
        self.recipe_id = self.recipe()
        self.bag_id = self.bag("2026-02-20", opened="2026-03-01 07:00")

    def recipe(self, **fields) -> str:
        target = {
            "coffee_id": self.coffee_id,
            "method": "espresso",
            "dose_g": 18,
            "yield_g": 36,
            "time_s": 28,
        }
        return self.manager.add("recipes", **{**target, **fields})["id"]

    def bag(self, roasted_on: str, *, opened: str | None = None, coffee_id: str | None = None, **fields) -> str:
        bag = {
            "coffee_id": coffee_id or self.coffee_id,
            "roasted_on": roasted_on,
            "mass_g": 1000,
            "site_id": self.site_id,
        }
        bag_id = self.manager.add("bags", **{**bag, **fields})["id"]
        if opened:
            self.happened(bag_id, "opened", opened)
        return bag_id

    def happened(self, bag_id: str, what: str, when: str, **fields) -> None:
        self.manager.add("bag_events", bag_id=bag_id, what=what, at=at(when), **fields)

    def shot(self, when: str, **fields) -> str:
        """A shot of 18.0 g in, 36.0 g out in 28 s, which is on recipe, unless told otherwise."""
        good = {
            "pulled_at": at(when),
            "recipe_id": self.recipe_id,
            "bag_id": self.bag_id,
            "grinder_id": self.grinder_id,
        }
        return self.phone.shot(**{**good, **fields})["record_id"]

    def picture(self, **arguments) -> dict:
        """What the manager sees once the phone has synced."""
        self.phone.sync()
        return self.manager.get("/api/dashboard", **arguments)
