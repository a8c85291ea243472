"""Beans and milk by site and week, by what became of them: served, set up, training, waste, and their cost."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import fsum

from server.compute.choices import one_of
from server.compute.errors import BadInput
from server.compute.ranges import within
from server.compute.statistics import wilson_interval
from server.compute.why import Why

ITEMS = ("beans", "milk")
# What each cause is to a manager. Practice is training, not waste; dialling in is the price of the recipe.
GROUPS = {
    "served": "served",
    "warm_up": "set_up",
    "dial_in": "set_up",
    "purge": "set_up",
    "practice": "training",
    "sunk": "waste",
    "poured_away": "waste",
    "past_window": "waste",
}


@dataclass(frozen=True)
class Use:
    """Beans or milk that went one way on one local day at one site.

    `count` is the number of shots or jugs it stands for: one for a logged shot, many for a tally, 0 for a
    purge. `price_per_kg` is None when nobody entered one: the mass counts, the cost is told as incomplete.
    """

    site: str
    day: date
    item: str
    cause: str
    mass_g: float
    count: int = 1
    price_per_kg: float | None = None
    currency: str | None = None


@dataclass(frozen=True)
class CauseCost:
    """What went one way in a week: mass [g], number of shots or jugs, cost [money]."""

    cause: str
    group: str
    item: str
    mass_g: float
    count: int
    cost: float


@dataclass(frozen=True)
class WeekCost:
    """One site's week. Costs leave out `unpriced_g`; `sunk_share` is of the shots meant for a guest, with a
    95 % interval; `per_served_shot` is all beans over the shots served, None without any."""

    site: str
    week: str
    currency: str | None
    causes: tuple[CauseCost, ...]
    cost: float
    waste_cost: float
    unpriced_g: float
    served_shots: int
    per_served_shot: float | None
    sunk_share: float | None
    sunk_interval: tuple[float, float] | None
    why: tuple[Why, ...]


def week_costs(uses: Sequence[Use]) -> list[WeekCost]:
    """Cost and waste of each site and ISO week, by cause.

    Parameters
    ----------
    uses : sequence of Use
        In any order; masses from 0 to 1000000 g, counts from 0 to 1000000, prices from 0 to 100000 per kg.

    Returns
    -------
    list of WeekCost
        By site, then week; causes in the order of `GROUPS`, beans before milk.

    Raises
    ------
    BadInput
        When a word is unknown, a figure outside its range, or the prices are in two currencies.

    Notes
    -----
    Definition: mass times price, summed. Weeks are those of ISO 8601, on the site's local days. The interval
    is Wilson's, see `server.compute.statistics`.

    Examples
    --------
    >>> monday = date(2026, 3, 2)
    >>> [week] = week_costs([Use("Lantern Quay", monday, "beans", "served", 1800.0, 100, 25.0, "EUR"),
    ...                      Use("Lantern Quay", monday, "beans", "sunk", 90.0, 5, 25.0, "EUR")])
    >>> week.week, week.cost, week.waste_cost, week.per_served_shot
    ('2026-W10', 47.25, 2.25, 0.4725)
    """
    for use in uses:
        _check(use)
    currencies = sorted({use.currency for use in uses if use.price_per_kg is not None and use.currency})
    if len(currencies) > 1:
        raise BadInput("currency", f"is both {currencies[0]} and {currencies[1]}: ask for each apart")
    weeks = defaultdict(list)
    for use in uses:
        year, week, _ = use.day.isocalendar()
        weeks[use.site, f"{year}-W{week:02d}"].append(use)
    return [_week(*key, weeks[key], currencies[0] if currencies else None) for key in sorted(weeks)]


def _week(site: str, week: str, uses: list[Use], currency: str | None) -> WeekCost:
    causes = tuple(
        _cause(cause, item, chosen)
        for cause in GROUPS
        for item in ITEMS
        if (chosen := [use for use in uses if use.cause == cause and use.item == item])
    )
    shots = {cause.cause: cause.count for cause in causes if cause.item == "beans"}
    served, sunk = shots.get("served", 0), shots.get("sunk", 0)
    bean_cost = fsum(cause.cost for cause in causes if cause.item == "beans")
    return WeekCost(
        site=site,
        week=week,
        currency=currency,
        causes=causes,
        cost=fsum(cause.cost for cause in causes),
        waste_cost=fsum(cause.cost for cause in causes if cause.group == "waste"),
        unpriced_g=fsum(use.mass_g for use in uses if use.price_per_kg is None),
        served_shots=served,
        per_served_shot=bean_cost / served if served else None,
        sunk_share=sunk / (served + sunk) if served + sunk else None,
        sunk_interval=wilson_interval(sunk, served + sunk) if served + sunk else None,
        why=(_why(bean_cost, served),),
    )


def _cause(cause: str, item: str, uses: list[Use]) -> CauseCost:
    return CauseCost(
        cause=cause,
        group=GROUPS[cause],
        item=item,
        mass_g=fsum(use.mass_g for use in uses),
        count=sum(use.count for use in uses),
        cost=fsum(_cost(use) for use in uses),
    )


def _cost(use: Use) -> float:
    return 0.0 if use.price_per_kg is None else use.mass_g * use.price_per_kg / 1000


def _check(use: Use) -> None:
    one_of("item", use.item, ITEMS)
    one_of("cause", use.cause, tuple(GROUPS))
    within("mass_g", use.mass_g, 0.0, 1_000_000.0, "g")
    within("count", use.count, 0, 1_000_000, "")
    if use.price_per_kg is not None:
        within("price_per_kg", use.price_per_kg, 0.0, 100_000.0, "a kilogram")


def _why(bean_cost: float, served: int) -> Why:
    return Why(
        "per_served_shot",
        "cost of all beans used / shots served",
        {"bean_cost": bean_cost, "served_shots": served},
        "definition",
        (
            "cups, power, wages and rent are left out",
            "beans without a price cost nothing here: see unpriced_g",
        ),
    )
