"""What a bar steams: milks and plant drinks by composition, with their allergens and their heat capacity."""

from dataclasses import dataclass

from server.compute.errors import BadInput
from server.compute.ranges import within

CHOI_OKOS = (
    "Y. Choi and M. R. Okos, Effects of temperature and composition on the thermal properties of foods, "
    "in: Food Engineering and Process Applications, vol. 1 (1986), Elsevier, pp. 93-101"
)

# kJ/kg K at T in °C: constant, linear, square.
HEAT_OF_CONSTITUENT = {
    "water": (4.1762, -9.0864e-5, 5.4731e-6),
    "protein": (2.0082, 1.2089e-3, -1.3129e-6),
    "fat": (1.9842, 1.4733e-3, -4.8008e-6),
    "carbohydrate": (1.5488, 1.9625e-3, -5.9399e-6),
    "ash": (1.0926, 1.8896e-3, -3.6817e-6),
}


@dataclass(frozen=True)
class MilkKind:
    """One milk or plant drink: mass shares that add up to 1, allergens, and where the shares come from.

    Allergen words are those of Regulation (EU) No 1169/2011, Annex II, shortened: `milk`, `oats` and `gluten`
    (oats are listed there among its cereals), `soya`, `nuts`. The label of the carton in hand comes first.
    """

    name: str
    title: str
    water: float
    protein: float
    fat: float
    carbohydrate: float
    ash: float
    allergens: tuple[str, ...]
    source: str


DAIRY = "typical composition as used in dairy handbooks"
LABEL = "typical of carton labels: common practice, no source"

MILKS = {
    kind.name: kind
    for kind in (
        MilkKind("whole", "whole milk", 0.877, 0.033, 0.035, 0.048, 0.007, ("milk",), DAIRY),
        MilkKind("semi", "semi-skimmed milk", 0.894, 0.034, 0.017, 0.048, 0.007, ("milk",), DAIRY),
        MilkKind("skim", "skimmed milk", 0.909, 0.034, 0.001, 0.049, 0.007, ("milk",), DAIRY),
        MilkKind("lactose_free", "lactose-free milk", 0.894, 0.034, 0.017, 0.048, 0.007, ("milk",), LABEL),
        MilkKind("oat", "oat drink", 0.900, 0.010, 0.015, 0.071, 0.004, ("oats", "gluten"), LABEL),
        MilkKind(
            "barista_oat", "barista oat drink", 0.885, 0.010, 0.030, 0.071, 0.004, ("oats", "gluten"), LABEL
        ),
        MilkKind("soy", "soy drink", 0.915, 0.033, 0.018, 0.027, 0.007, ("soya",), LABEL),
        MilkKind("almond", "almond drink", 0.962, 0.005, 0.012, 0.017, 0.004, ("nuts",), LABEL),
        MilkKind("coconut", "coconut drink", 0.945, 0.002, 0.015, 0.034, 0.004, (), LABEL),
    )
}


def milk_kind(name: str) -> MilkKind:
    """The milk of this name.

    Parameters
    ----------
    name : str
        One of the names in `MILKS`, such as `whole` or `oat`.

    Returns
    -------
    MilkKind
        Its composition and allergens.

    Raises
    ------
    BadInput
        When no milk has this name.

    Notes
    -----
    Compositions: each kind says its own source.

    Examples
    --------
    >>> milk_kind("oat").allergens
    ('oats', 'gluten')
    """
    if name not in MILKS:
        raise BadInput("milk", f"must be one of {', '.join(MILKS)}: choose the nearest")
    return MILKS[name]


def mean_specific_heat_kj_kg_k(kind: MilkKind, start_c: float, end_c: float) -> float:
    """Heat per mass and degree, averaged from one temperature to another.

    Parameters
    ----------
    kind : MilkKind
        What is warmed.
    start_c, end_c : float
        From -0.5 to 100, in either order; equal for the value at one temperature. [°C]

    Returns
    -------
    float
        Mean of the polynomial over the interval, exact. [kJ/kg K]

    Raises
    ------
    BadInput
        When a temperature is outside the range.

    Notes
    -----
    Sum over constituents of share times polynomial. Source: Choi and Okos (1986), fitted from -40 to
    150 °C; real milks lie within 2 % of it.

    Examples
    --------
    >>> round(mean_specific_heat_kj_kg_k(MILKS["whole"], 4.0, 55.0), 4)
    3.8884
    """
    for field, temp_c in (("start_c", start_c), ("end_c", end_c)):
        within(field, temp_c, -0.5, 100.0, "°C")
    mean_temp = (start_c + end_c) / 2
    mean_square = (start_c**2 + start_c * end_c + end_c**2) / 3
    return sum(
        getattr(kind, constituent) * (constant + linear * mean_temp + square * mean_square)
        for constituent, (constant, linear, square) in HEAT_OF_CONSTITUENT.items()
    )
