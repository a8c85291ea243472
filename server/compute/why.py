"""Why a figure is what it is, as data: so that any number on a screen can be opened and checked by hand."""

from dataclasses import asdict, dataclass, field


@dataclass(frozen=True)
class Why:
    """One figure's reasons: its formula in words of the trade, what went in, where the formula comes from.

    `inputs` keeps the names with their units (`dose_g`), so that a reader can redo the sum.
    `source` is a reference (authors, title, year, DOI) or "convention of this app".
    `assumed` lists, in plain sentences, whatever was taken for granted because nobody measured it.

    >>> why = Why("ratio", "yield_g / dose_g", {"yield_g": 40.0, "dose_g": 16.0}, "definition")
    >>> why.as_dict()["inputs"]
    {'yield_g': 40.0, 'dose_g': 16.0}
    """

    figure: str
    formula: str
    inputs: dict[str, object] = field(default_factory=dict)
    source: str = "convention of this app"
    assumed: tuple[str, ...] = ()

    def as_dict(self) -> dict:
        """The same as plain values, ready for JSON."""
        return {**asdict(self), "assumed": list(self.assumed)}
