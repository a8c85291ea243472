"""The balances of one water at one temperature, pH and ionic strength: what `speciation` solves.

Every cation's free share follows in closed form from the free carbonate, so each balance is one curve in one
unknown. Throughout, `carbonate` is the molality of CO3-2 that is paired with nothing.
"""

from dataclasses import dataclass
from functools import lru_cache

from server.compute.water.activity import IONS, activity_coefficients, debye_hueckel
from server.compute.water.constants import REACTIONS, log_k

CATIONS = {"calcium": "Ca+2", "magnesium": "Mg+2", "sodium": "Na+", "potassium": "K+"}
# The pairs of each cation: with carbonate, bicarbonate, sulphate, hydroxide.
PAIRS = {
    "calcium": ("CaCO3", "CaHCO3+", "CaSO4", "CaOH+"),
    "magnesium": ("MgCO3", "MgHCO3+", "MgSO4", "MgOH+"),
    "sodium": ("NaCO3-", "NaHCO3", "NaSO4-", None),
    "potassium": (None, None, "KSO4-", None),
}


@dataclass(frozen=True)
class Totals:
    """What is dissolved, whatever its form. [mol/kg water; alkalinity eq/kg water]

    `carbon` is all dissolved inorganic carbon. These sums are what mixing, heating and concentrating
    conserve.
    """

    calcium: float = 0.0
    magnesium: float = 0.0
    sodium: float = 0.0
    potassium: float = 0.0
    chloride: float = 0.0
    sulphate: float = 0.0
    alkalinity: float = 0.0
    carbon: float = 0.0

    def times(self, factor: float) -> "Totals":
        """The same water with its salts `factor` times as concentrated."""
        return Totals(**{name: amount * factor for name, amount in vars(self).items()})


@lru_cache(maxsize=64)
def _at(temp_c: float) -> tuple[dict[str, float], tuple[float, float]]:
    """Every equilibrium constant, and the Debye-Hückel parameters, at one temperature."""
    return {name: 10 ** log_k(name, temp_c) for name in REACTIONS}, debye_hueckel(temp_c)


class Medium:
    """Temperature and ionic strength: equilibrium constants in terms of molalities (activity for H+)."""

    def __init__(self, temp_c: float, ionic_strength: float):
        k, (a, b) = _at(temp_c)
        g = self.gamma = activity_coefficients(ionic_strength, a, b)
        self.water = k["water"] / g["OH-"]
        self.bicarbonate = g["CO3-2"] / (k["carbonic_2"] * g["HCO3-"])
        self.co2 = g["CO3-2"] / (k["carbonic_1"] * k["carbonic_2"] * g["neutral"])
        self.co2_per_atm = k["co2_gas"] / g["neutral"]
        self.bisulphate = k["HSO4-"] * g["SO4-2"] / g["HSO4-"]
        self.calcite = k["calcite"] / (g["Ca+2"] * g["CO3-2"])
        self.pairs = {name: self._pair_constants(name, k) for name in CATIONS}

    def _pair_constants(self, cation: str, k: dict[str, float]) -> tuple[float, ...]:
        g = self.gamma
        partners = (g["CO3-2"], g["HCO3-"], g["SO4-2"], 1.0)
        return tuple(
            k[pair] * g[CATIONS[cation]] * partner / g[pair if pair in IONS else "neutral"] if pair else 0.0
            for pair, partner in zip(PAIRS[cation], partners, strict=True)
        )


class Balance:
    """The sums over all species at one pH, as functions of the free carbonate."""

    def __init__(self, totals: Totals, medium: Medium, ph: float, sulphate: float):
        self.totals, self.medium, self.sulphate = totals, medium, sulphate
        self.h = h = 10**-ph
        self.hydroxide = medium.water / h
        self.acid = h / medium.gamma["H+"] + medium.bisulphate * h * sulphate
        self.bicarbonate = medium.bicarbonate * h  # per free carbonate
        self.co2 = medium.co2 * h * h  # per free carbonate
        self.amount = {name: getattr(totals, name) for name in CATIONS}
        # Per free cation: all that no carbonate is in (itself included), what carbonate pairs with per unit
        # of free carbonate, the alkalinity of that, and what hydroxide pairs with.
        self.held = {}
        for name, (co3, hco3, so4, oh) in medium.pairs.items():
            paired = co3 + hco3 * self.bicarbonate
            self.held[name] = (1.0 + so4 * sulphate + oh / h, paired, paired + co3, oh / h)

    def carbon(self, carbonate: float, without: str | None = None) -> tuple[float, float]:
        """All dissolved carbon but for what one cation holds, and its slope."""
        slope = 1.0 + self.bicarbonate + self.co2
        value = slope * carbonate
        for name, (rest, paired, _, _) in self.held.items():
            if paired and name != without:
                whole = rest + paired * carbonate
                value += self.amount[name] * paired * carbonate / whole
                slope += self.amount[name] * paired * rest / whole**2
        return value, slope

    def alkalinity(self, carbonate: float) -> tuple[float, float]:
        """Total alkalinity, and its slope."""
        slope = 2.0 + self.bicarbonate
        value = self.hydroxide - self.acid + slope * carbonate
        for name, (rest, paired, basic, hydroxide) in self.held.items():
            whole = rest + paired * carbonate
            value += self.amount[name] * (hydroxide + basic * carbonate) / whole
            slope += self.amount[name] * (basic * rest - paired * hydroxide) / whole**2
        return value, slope

    def saturate(self, carbonate: float) -> float:
        """Let calcite decide how much calcium is dissolved; gives the same carbonate back."""
        rest, paired, _, _ = self.held["calcium"]
        self.amount["calcium"] = self.medium.calcite / carbonate * (rest + paired * carbonate)
        return carbonate

    def molalities(self, carbonate: float) -> dict[str, float]:
        """Every species that is there. [mol/kg water]"""
        found = {
            "H+": self.h / self.medium.gamma["H+"],
            "OH-": self.hydroxide,
            "CO3-2": carbonate,
            "HCO3-": self.bicarbonate * carbonate,
            "CO2": self.co2 * carbonate,
            "SO4-2": self.sulphate,
            "HSO4-": self.medium.bisulphate * self.h * self.sulphate,
            "Cl-": self.totals.chloride,
        }
        partners = (carbonate, found["HCO3-"], self.sulphate, 1.0 / self.h)
        for name, ion in CATIONS.items():
            rest, paired, _, _ = self.held[name]
            free = found[ion] = self.amount[name] / (rest + paired * carbonate)
            for pair, constant, partner in zip(PAIRS[name], self.medium.pairs[name], partners, strict=True):
                if pair:
                    found[pair] = constant * free * partner
        return found
