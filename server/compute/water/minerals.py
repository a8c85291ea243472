"""Grams of each salt that turn soft water into the water that one wants. By salt and by hydrate."""

from dataclasses import dataclass

from server.compute.choices import one_of
from server.compute.errors import BadInput
from server.compute.ranges import within
from server.compute.water.analysis import fill_ions
from server.compute.water.ions import CALCITE_G_MOL, EQUIVALENT_CACO3_G, MASS_G_MOL, molar_mass_g_mol
from server.compute.water.sample import RANGES, Sample
from server.compute.why import Why


@dataclass(frozen=True)
class Salt:
    """A salt as it stands in its jar: its name in words, and the ions [mol] that one mole of it gives."""

    words: str
    gives: dict[str, int]


# The formula says the hydrate: the same salt dried weighs half as much for the same magnesium.
SALTS = {
    "MgSO4.7H2O": Salt("magnesium sulphate, heptahydrate (Epsom salt)", {"magnesium": 1, "sulphate": 1}),
    "MgSO4": Salt("magnesium sulphate, dried", {"magnesium": 1, "sulphate": 1}),
    "MgCl2.6H2O": Salt("magnesium chloride, hexahydrate", {"magnesium": 1, "chloride": 2}),
    "CaCl2.2H2O": Salt("calcium chloride, dihydrate", {"calcium": 1, "chloride": 2}),
    "CaCl2": Salt("calcium chloride, dried", {"calcium": 1, "chloride": 2}),
    "CaSO4.2H2O": Salt("calcium sulphate, dihydrate (gypsum)", {"calcium": 1, "sulphate": 1}),
    "NaHCO3": Salt("sodium bicarbonate", {"sodium": 1, "bicarbonate": 1}),
    "KHCO3": Salt("potassium bicarbonate", {"potassium": 1, "bicarbonate": 1}),
}
CAUTIONS = (
    "Use food-grade salts only, weigh each by its own formula: hydrates of one salt differ by up to half.",
    "Dissolve fully before use; gypsum takes hours. Never put dry salts into a machine.",
    "Ask the machine's maker before feeding water that you made: chloride corrodes, hardness scales.",
)
LEAST_WEIGHED_G = 0.1  # on a scale of 0.01 g: common practice, no source
_MG_PER_MMOL_CACO3 = {"magnesium": CALCITE_G_MOL, "calcium": CALCITE_G_MOL, "bicarbonate": EQUIVALENT_CACO3_G}
_SAID = {"magnesium": "magnesium", "calcium": "calcium", "bicarbonate": "alkalinity"}


def salt_name(written: str) -> str:
    """A salt's name as the table has it, however its dot was typed.

    Parameters
    ----------
    written : str
        Such as `MgSO4.7H2O` or `MgSO4·7H2O`.

    Returns
    -------
    str
        One of `SALTS`.

    Raises
    ------
    BadInput
        When there is no such salt in the table.

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> salt_name("MgSO4·7H2O")
    'MgSO4.7H2O'
    """
    return one_of("salts", written.replace(" ", "").replace("·", ".").replace("*", "."), tuple(SALTS))


def dissolved_mg_l(salt: str, mg_l: float) -> dict[str, float]:
    """The ions that a salt gives when it is dissolved.

    Parameters
    ----------
    salt : str
        One of `SALTS`.
    mg_l : float
        Salt, as weighed, per litre, at least 0. [mg/L]

    Returns
    -------
    dict of str to float
        By ion; water of crystallisation isn't one. [mg/L]

    Raises
    ------
    BadInput
        When there is no such salt in the table.

    Notes
    -----
    Identity of mass: source of the masses, see `ions`.

    Examples
    --------
    >>> {ion: round(amount, 2) for ion, amount in dissolved_mg_l("MgSO4.7H2O", 197.0).items()}
    {'magnesium': 19.43, 'sulphate': 76.78}
    """
    name = salt_name(salt)
    return {
        ion: mg_l / molar_mass_g_mol(name) * count * MASS_G_MOL[ion]
        for ion, count in SALTS[name].gives.items()
    }


def recipe(
    hardness_mg_l_caco3: float,
    alkalinity_mg_l_caco3: float,
    magnesium_share: float | None,
    litres: float,
    salts: list[str],
    start: Sample | None = None,
) -> tuple[dict[str, float], dict[str, float]]:
    """Weigh out salts for a target water.

    Parameters
    ----------
    hardness_mg_l_caco3 : float
        Wanted, 0 to 2000. [mg/L as CaCO3]
    alkalinity_mg_l_caco3 : float
        Wanted, 0 to 1500. [mg/L as CaCO3]
    magnesium_share : float or None
        Of the hardness, 0 to 1: the rest is calcium. None where the salts leave only one answer. [mol/mol]
    litres : float
        How much water, above 0 to 100000. [L]
    salts : list of str
        The jars at hand, from `SALTS`. Several that give the same ion share it equally, by moles.
    start : Sample, optional
        The water to begin with; without it, pure water. Its hardness and alkalinity must be known; what else
        is missing is filled as in `analysis.complete`.

    Returns
    -------
    tuple of two dict of str to float
        Grams of each salt [g], and the ions of the finished water [mg/L].

    Raises
    ------
    BadInput
        When a value is out of range, a salt isn't known, or these salts can't reach the target.

    Notes
    -----
    Identity of mass: 1 mmol/L of calcium or magnesium is 100.09 mg/L CaCO3 of hardness, 1 mmol/L of
    bicarbonate 50.04 of alkalinity. Source of the masses: see `ions`.

    Examples
    --------
    >>> grams, ions = recipe(80.0, 40.0, 1.0, 10.0, ["MgSO4.7H2O", "NaHCO3"])
    >>> {salt: round(mass, 3) for salt, mass in grams.items()}
    {'MgSO4.7H2O': 1.97, 'NaHCO3': 0.671}
    """
    within("hardness_mg_l_caco3", hardness_mg_l_caco3, *RANGES["hardness_mg_l_caco3"])
    within("alkalinity_mg_l_caco3", alkalinity_mg_l_caco3, *RANGES["alkalinity_mg_l_caco3"])
    within("litres", litres, 0.001, 100000.0, "L")
    names = list(dict.fromkeys(salt_name(written) for written in salts))
    ions = dict(_starting_ions(start)[0])
    magnesium_share = _magnesium_share(magnesium_share, names, ions, hardness_mg_l_caco3)
    wanted = {
        "magnesium": magnesium_share * hardness_mg_l_caco3,
        "calcium": (1.0 - magnesium_share) * hardness_mg_l_caco3,
        "bicarbonate": alkalinity_mg_l_caco3,
    }
    grams = dict.fromkeys(names, 0.0)
    for ion, amount in wanted.items():
        for name, mg_l in _shares(
            ion, amount / _MG_PER_MMOL_CACO3[ion] - ions[ion] / MASS_G_MOL[ion], names
        ).items():
            grams[name] = mg_l * litres / 1000.0
    for name, mass in grams.items():
        for ion, mg_l in dissolved_mg_l(name, mass * 1000.0 / litres).items():
            ions[ion] += mg_l
    return grams, ions


def mineral_plan(
    hardness_mg_l_caco3: float,
    alkalinity_mg_l_caco3: float,
    magnesium_share: float | None,
    litres: float,
    salts: list[str],
    start: Sample | None = None,
) -> dict:
    """The recipe with all that a screen shows beside it.

    Parameters
    ----------
    hardness_mg_l_caco3, alkalinity_mg_l_caco3 : float
        As in `recipe`, at least 0. [mg/L as CaCO3]
    magnesium_share : float or None
        As in `recipe`, 0 to 1. [mol/mol]
    litres : float
        As in `recipe`, above 0. [L]
    salts : list of str
        As in `recipe`.
    start : Sample, optional
        As in `recipe`.

    Returns
    -------
    dict
        The fields of the question `minerals`, but for its cautions.

    Raises
    ------
    BadInput
        As `recipe` does.

    Notes
    -----
    Identity of mass, see `recipe`. That 0.1 g is the least to weigh with a 0.01 g scale: common practice, no
    source.

    Examples
    --------
    >>> mineral_plan(80.0, 40.0, 1.0, 1.0, ["MgSO4.7H2O", "NaHCO3"])["doubts"]
    ['NaHCO3: 0.067 g is too little to weigh well, make more litres or a concentrate.']
    """
    grams, ions = recipe(hardness_mg_l_caco3, alkalinity_mg_l_caco3, magnesium_share, litres, salts, start)
    hard = {name: ions[name] / MASS_G_MOL[name] * CALCITE_G_MOL for name in ("calcium", "magnesium")}
    hardness = sum(hard.values())
    return {
        "grams": grams,
        "mg_per_litre": {name: mass * 1000.0 / litres for name, mass in grams.items()},
        "salts": {name: SALTS[name].words for name in grams},
        "ions": {f"{name}_mg_l": amount for name, amount in ions.items()},
        "hardness_mg_l_caco3": hardness,
        "alkalinity_mg_l_caco3": ions["bicarbonate"] / MASS_G_MOL["bicarbonate"] * EQUIVALENT_CACO3_G,
        "magnesium_share": hard["magnesium"] / hardness if hardness else None,
        "assumed": _starting_ions(start)[1],
        "doubts": [
            f"{name}: {mass:.3f} g is too little to weigh well, make more litres or a concentrate."
            for name, mass in grams.items()
            if 0.0 < mass < LEAST_WEIGHED_G
        ],
        "why": [_why(name, mass, litres) for name, mass in grams.items()],
    }


def _why(name: str, grams: float, litres: float) -> Why:
    return Why(
        f"grams.{name}",
        "mmol/L of its ion that is wanted and not yet there x formula_mass_g_mol x litres / 1000",
        {"formula_mass_g_mol": molar_mass_g_mol(name), "mg_l": grams * 1000.0 / litres, "litres": litres},
        "identity of mass; atomic weights: CIAAW 2021, doi:10.1515/pac-2019-0603",
    )


def _magnesium_share(told: float | None, names: list[str], ions: dict[str, float], hardness: float) -> float:
    """As told; else the one share that is left, when the salts add only one of the two hard ions."""
    if told is not None:
        return within("magnesium_share", told, 0.0, 1.0, "")
    added = {"calcium", "magnesium"} & {ion for name in names for ion in SALTS[name].gives}
    if len(added) == 2:
        raise BadInput(
            "magnesium_share", "say how much of the hardness is magnesium, 0 to 1: these salts give both"
        )
    there = {name: ions[name] / MASS_G_MOL[name] * CALCITE_G_MOL for name in ("calcium", "magnesium")}
    kept = there["calcium"] if "magnesium" in added else hardness - there["magnesium"]
    return min(1.0, max(0.0, 1.0 - kept / hardness)) if hardness else 0.0


def _starting_ions(start: Sample | None) -> tuple[dict[str, float], list[str]]:
    if start is None:
        return dict.fromkeys(MASS_G_MOL, 0.0), []
    ions, assumed = fill_ions(start)
    if ions is None:
        raise BadInput(
            "start", "needs a hardness (or calcium) and an alkalinity: measure it, or start from pure"
        )
    return ions, assumed


def _shares(ion: str, millimoles: float, names: list[str]) -> dict[str, float]:
    """mg/L of each salt that gives this ion, the amount shared equally among them."""
    sources = [name for name in names if ion in SALTS[name].gives]
    # A hundredth of a mg/L as CaCO3 is nothing: a share of 1 leaves rounding, not calcium.
    if abs(millimoles) * _MG_PER_MMOL_CACO3[ion] < 0.01:
        return {}
    if millimoles < 0.0:
        raise BadInput("target", f"the water you start from has more {_SAID[ion]} than that: dilute it first")
    if not sources:
        fitting = ", ".join(name for name, salt in SALTS.items() if ion in salt.gives)
        raise BadInput("salts", f"none of these gives {_SAID[ion]}: add one of {fitting}")
    part = millimoles / len(sources)
    return {name: part / SALTS[name].gives[ion] * molar_mass_g_mol(name) for name in sources}
