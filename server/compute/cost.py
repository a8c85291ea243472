"""What a drink costs in beans and milk, with its share of what was pulled and never served.

Money is in whatever currency the prices were given in; nothing is converted or rounded.
"""

from dataclasses import dataclass

from server.compute.errors import BadInput
from server.compute.ranges import within
from server.compute.why import Why

# Whole milk at 20 °C, kg/L: dairy handbooks (from memory, not verified); plant drinks are within 2 % of it.
MILK_KG_PER_LITRE = 1.030
MOST_LOST = 0.95


@dataclass(frozen=True)
class DrinkCost:
    """One served drink: its own beans and milk, what it carries of the lost ones, and all together."""

    beans: float
    milk: float
    lost: float
    per_drink: float
    why: tuple[Why, ...]


def price_per_kg(price: float, mass_g: float) -> float:
    """Price of a bag, per kilogram.

    Parameters
    ----------
    price : float
        Paid for the bag, 0 to 100000. [money]
    mass_g : float
        What was in it, 1 to 70000. [g]

    Returns
    -------
    float
        Price per mass. [money/kg]

    Raises
    ------
    BadInput
        When a figure is outside its range.

    Notes
    -----
    Definition.

    Examples
    --------
    >>> price_per_kg(24.0, 1000.0)
    24.0
    """
    within("price", price, 0.0, 100_000.0, "")
    within("mass_g", mass_g, 1.0, 70_000.0, "g")
    return 1000 * price / mass_g


def milk_price_per_kg(price_per_litre: float) -> float:
    """Price of a litre of milk, per kilogram.

    Parameters
    ----------
    price_per_litre : float
        0 to 1000. [money/L]

    Returns
    -------
    float
        Price per mass. [money/kg]

    Raises
    ------
    BadInput
        When the price is outside its range.

    Notes
    -----
    Divided by 1.030 kg/L. Source: whole milk at 20 °C, dairy handbooks (from memory, not verified).

    Examples
    --------
    >>> round(milk_price_per_kg(1.20), 3)
    1.165
    """
    return within("price_per_litre", price_per_litre, 0.0, 1000.0, "a litre") / MILK_KG_PER_LITRE


def drink_cost(
    dose_g: float,
    bean_price_per_kg: float,
    milk_g: float = 0.0,
    milk_price_per_kg: float = 0.0,
    *,
    sunk_share: float = 0.0,
    practice_share: float = 0.0,
    warm_up_share: float = 0.0,
    milk_lost_share: float = 0.0,
) -> DrinkCost:
    """Beans and milk of one served drink, with its part of the shots and the milk that nobody drank.

    Parameters
    ----------
    dose_g : float
        Beans in the drink, 0 to 250. [g]
    bean_price_per_kg : float
        0 to 100000. [money/kg]
    milk_g : float
        Milk in the drink before steaming, 0 to 2000. [g]
    milk_price_per_kg : float
        0 to 10000. [money/kg]
    sunk_share, practice_share, warm_up_share : float
        Of all shots pulled, 0 to 0.95, and no more than that together. [-]
    milk_lost_share : float
        Of all milk poured, 0 to 0.95. [-]

    Returns
    -------
    DrinkCost
        All in the currency of the prices.

    Raises
    ------
    BadInput
        When a figure is outside its range, or the shares leave hardly anything served.

    Notes
    -----
    Definition: of N shots pulled, N (1 - sunk - practice - warm-up) are served, and those carry all.

    Examples
    --------
    >>> cost = drink_cost(18.0, 25.0, sunk_share=0.10)
    >>> round(cost.beans, 3), round(cost.lost, 3), round(cost.per_drink, 3)
    (0.45, 0.05, 0.5)
    """
    within("dose_g", dose_g, 0.0, 250.0, "g")
    within("bean_price_per_kg", bean_price_per_kg, 0.0, 100_000.0, "a kilogram")
    within("milk_g", milk_g, 0.0, 2000.0, "g")
    within("milk_price_per_kg", milk_price_per_kg, 0.0, 10_000.0, "a kilogram")
    shares = {"sunk_share": sunk_share, "practice_share": practice_share, "warm_up_share": warm_up_share}
    unserved = _unserved(shares)
    within("milk_lost_share", milk_lost_share, 0.0, MOST_LOST, "of the milk")
    beans = dose_g * bean_price_per_kg / 1000
    milk = milk_g * milk_price_per_kg / 1000
    lost = beans * unserved / (1 - unserved) + milk * milk_lost_share / (1 - milk_lost_share)
    inputs = {
        "dose_g": dose_g,
        "bean_price_per_kg": bean_price_per_kg,
        "milk_g": milk_g,
        "milk_price_per_kg": milk_price_per_kg,
        **shares,
        "milk_lost_share": milk_lost_share,
    }
    return DrinkCost(beans, milk, lost, beans + milk + lost, (_why(inputs),))


def _unserved(shares: dict[str, float]) -> float:
    for name, share in shares.items():
        within(name, share, 0.0, MOST_LOST, "of all shots")
    if sum(shares.values()) > MOST_LOST:
        raise BadInput(
            "sunk_share", "with practice and warm-up leaves under 5 % of the shots served: check them"
        )
    return sum(shares.values())


def _why(inputs: dict[str, float]) -> Why:
    return Why(
        "per_drink",
        "dose · bean price / (1 - sunk - practice - warm-up) + milk · milk price / (1 - milk lost)",
        inputs,
        "definition",
        ("cups, power, wages and rent are left out",),
    )
