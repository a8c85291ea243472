"""Waters to try the computations on, each also as PHREEQC's own input."""

import random
from dataclasses import dataclass

from server.compute.water.analysis import complete
from server.compute.water.equilibrium import Totals
from server.compute.water.sample import Sample
from server.compute.water.speciation import as_sampled

# Four invented analyses of ordinary tap waters (mg/L, pH at 25 °C).
WATERS = {
    "soft": Sample(
        calcium_mg_l=12,
        magnesium_mg_l=2,
        sodium_mg_l=8,
        potassium_mg_l=1,
        bicarbonate_mg_l=35,
        chloride_mg_l=9,
        sulphate_mg_l=10,
        ph=7.4,
    ),
    "medium": Sample(
        calcium_mg_l=45,
        magnesium_mg_l=8,
        sodium_mg_l=15,
        potassium_mg_l=2,
        bicarbonate_mg_l=130,
        chloride_mg_l=25,
        sulphate_mg_l=35,
        ph=7.6,
    ),
    "hard": Sample(
        calcium_mg_l=110,
        magnesium_mg_l=18,
        sodium_mg_l=25,
        potassium_mg_l=3,
        bicarbonate_mg_l=290,
        chloride_mg_l=45,
        sulphate_mg_l=85,
        ph=7.4,
    ),
    "alkaline": Sample(
        calcium_mg_l=85,
        magnesium_mg_l=25,
        sodium_mg_l=90,
        potassium_mg_l=4,
        bicarbonate_mg_l=480,
        chloride_mg_l=40,
        sulphate_mg_l=60,
        ph=7.7,
    ),
}


@dataclass(frozen=True)
class Solved:
    """A sample's totals with its carbon, and kg of water per litre."""

    totals: Totals
    water_kg_l: float


def solved(sample: Sample) -> Solved:
    analysis = complete(sample)
    found = as_sampled(analysis.totals, analysis.ph, analysis.temp_c)
    return Solved(found.totals, analysis.water_kg_l)


def random_water(seed: int) -> Sample:
    """An invented water, soft to very hard by the seed, its charges closed with chloride or sodium."""
    dice = random.Random(seed)
    hardness, magnesium = 10 ** dice.uniform(0.7, 2.85), dice.uniform(0.05, 0.5)
    ions = {
        "calcium": (1 - magnesium) * hardness * 0.4004,
        "magnesium": magnesium * hardness * 0.2428,
        "sodium": 10 ** dice.uniform(0, 2),
        "potassium": 10 ** dice.uniform(-0.5, 1),
        "bicarbonate": hardness * dice.uniform(0.3, 1.6),
        "sulphate": hardness * dice.uniform(0.02, 0.6),
        "chloride": 5.0,
    }
    positive = (
        ions["calcium"] / 20.04
        + ions["magnesium"] / 12.15
        + ions["sodium"] / 22.99
        + ions["potassium"] / 39.1
    )
    negative = ions["bicarbonate"] / 61.02 + ions["sulphate"] / 48.03 + ions["chloride"] / 35.45
    if positive > negative:
        ions["chloride"] += (positive - negative) * 35.45
    else:
        ions["sodium"] += (negative - positive) * 22.99
    return Sample(**{f"{name}_mg_l": amount for name, amount in ions.items()}, ph=dice.uniform(6.6, 8.4))


def in_phreeqc(phreeqc, sample: Sample):
    """The same analysis as PHREEQC's own input."""
    return phreeqc.add_solution(
        {
            "units": "mg/l",
            "temp": 25 if sample.temp_c is None else sample.temp_c,
            "pH": sample.ph,
            "Ca": sample.calcium_mg_l,
            "Mg": sample.magnesium_mg_l,
            "Na": sample.sodium_mg_l,
            "K": sample.potassium_mg_l,
            "Alkalinity": f"{sample.bicarbonate_mg_l} as HCO3",
            "Cl": sample.chloride_mg_l,
            "S(6)": f"{sample.sulphate_mg_l} as SO4",
        }
    )
