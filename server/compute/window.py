"""How long a bag rests, how long it is at its best, how long once open."""

from dataclasses import dataclass

from server.compute.choices import one_of
from server.compute.errors import BadInput
from server.compute.ranges import within

# Common practice, no source. A roaster's own figures come first.
REST_DAYS, BEST_UNTIL_DAYS = 7.0, 21.0
OPEN_DAYS = {"hopper": 5.0, "resealed": 10.0}


@dataclass(frozen=True)
class Window:
    """A bag's limits, in days since roast (open: since opening), and which of them nobody stated."""

    rest_days: float
    best_until_days: float
    open_days: float
    assumed: tuple[str, ...] = ()


def window_of(given: dict | None, kept: str = "hopper") -> Window:
    """A bag's limits: the roaster's figures where there are any, common practice where not.

    Parameters
    ----------
    given : dict or None
        Any of `rest_days` 0 to 365, `best_until_days` 1 to 3650, `open_days` 0 to 365 [days]; None is absent.
    kept : str
        Once open: `hopper` or `resealed`.

    Returns
    -------
    Window
        All three, and a sentence for each that was assumed.

    Raises
    ------
    BadInput
        When a figure is outside its range, or the window closes before it opens.

    Notes
    -----
    Common practice, no source: 7 to 21 days, 5 open in a hopper, 10 re-sealed. Where the one figure that is
    given leaves no room for the usual other one, that one moves with it.

    Examples
    --------
    >>> window_of({"rest_days": 10.0}).best_until_days
    21.0
    >>> window_of({"best_until_days": 60.0, "open_days": None}, "resealed").open_days
    10.0
    """
    said = {name: value for name, value in (given or {}).items() if value is not None}
    open_days = OPEN_DAYS[one_of("kept", kept, tuple(OPEN_DAYS))]
    rest_days = said.get("rest_days", min(REST_DAYS, said.get("best_until_days", REST_DAYS)))
    best_until_days = (
        BEST_UNTIL_DAYS if rest_days < BEST_UNTIL_DAYS else rest_days + BEST_UNTIL_DAYS - REST_DAYS
    )
    usual = {"rest_days": rest_days, "best_until_days": best_until_days, "open_days": open_days}
    figures = {**usual, **{name: said[name] for name in usual if name in said}}
    within("rest_days", figures["rest_days"], 0.0, 365.0, "days")
    within("best_until_days", figures["best_until_days"], 1.0, 3650.0, "days")
    within("open_days", figures["open_days"], 0.0, 365.0, "days")
    if figures["best_until_days"] < figures["rest_days"]:
        raise BadInput("best_until_days", "lies before rest_days: the window would close before it opens")
    texts = {
        "rest_days": f"rest of {figures['rest_days']:g} days: common practice, no source",
        "best_until_days": f"best until {figures['best_until_days']:g} days: common practice, no source",
        "open_days": f"{open_days:g} days once open ({kept}): common practice, no source",
    }
    return Window(**figures, assumed=tuple(text for name, text in texts.items() if name not in said))
