"""The computed figures of one shot. What wasn't measured gives no figure; what was assumed enters no extraction."""

import datetime as dt
from collections.abc import Iterable
from contextlib import contextmanager
from dataclasses import dataclass, field

from server.compute.doubts import ratio_doubts, time_doubts
from server.compute.errors import BadInput
from server.compute.extraction import flow_g_s, ratio
from server.compute.measured import extraction_reading
from server.compute.recipe import against_recipe, why_on_recipe
from server.compute.shelf import bag_figures, bag_reasons
from server.compute.time_to_target import END_FLOW_FACTOR, time_to_target, why_time_to_target
from server.compute.why import Why

STRENGTHS = ("strength_pct", "brix_pct")
SPOUTS = 2


@dataclass
class Told:
    """What is said about a shot's figures while they are worked out."""

    doubts: list[str] = field(default_factory=list)
    reasons: list[Why] = field(default_factory=list)

    @contextmanager
    def as_doubt(self):
        """Turns a figure that can't be used into a doubt, once."""
        try:
            yield
        except BadInput as wrong:
            self.doubt([str(wrong)])

    def doubt(self, doubts: list[str]) -> None:
        """Adds those that weren't said before."""
        self.doubts += [doubt for doubt in doubts if doubt not in self.doubts]


def shot_figures(
    shot: dict,
    *,
    recipe: dict | None = None,
    bag: dict | None = None,
    bag_events: Iterable[dict] = (),
    coffee: dict | None = None,
    zone: str = "UTC",
    pulled_at: str | dt.datetime | None = None,
    first_drop_usual_s: float | None = None,
    end_flow_factor: float = END_FLOW_FACTOR,
) -> dict:
    """What a shot's figures add up to.

    Parameters
    ----------
    shot : dict
        A record: `pulled_at`, `dose_g`, `yield_g` [g], `time_s` [s]; where known `first_drop_s` [s],
        `strength_pct` [% by mass] or `brix_pct` [°Bx], `sample_temp_c` [°C], `method`, `assumed`, `yield_of`,
        `cups` and the rest.
    recipe : dict, optional
        The one it was pulled to, for `against_recipe` and the time to target.
    bag : dict, optional
        `roasted_on`; the bag that it came from.
    bag_events : iterable of dict
        What happened to the bag, as for `history_of`; only what came before the shot counts.
    coffee : dict, optional
        Its `rest_days`, `best_until_days`, `open_days`. [days]
    zone : str
        The site's time zone.
    pulled_at : str or datetime, optional
        The corrected time, where the phone's clock was wrong.
    first_drop_usual_s : float, optional
        This grinder's median, 0 to 600, for a shot without one. [s]
    end_flow_factor : float
        This grinder's, 0.5 to 3. [-]

    Returns
    -------
    dict
        `ratio` [-], `flow_g_s` [g/s], `extraction_pct` and `u_extraction_pct` [% of the dose],
        `time_to_target_s` and `u_time_to_target_s` [s] (None where no chart may use it), `on_recipe`,
        `outside` [field names], `rest_days` and `stale_days` [days], `freshness`, `doubts` [sentences].
        None is what can't be known.

    Raises
    ------
    BadInput
        When the zone or the time of an event can't be read. A figure that can't be used is no error here but
        one of the `doubts`: what a person has saved is shown with what is odd about it.

    Notes
    -----
    Sources as in the functions used. `yield_of` one spout: the cup's mass is taken for each of the others, so
    the yield counts as assumed: there is a ratio, but no extraction. Time to target is for espresso.

    Examples
    --------
    >>> shot = {"pulled_at": "2026-03-10T08:00:00Z", "dose_g": 18.0, "yield_g": 36.0, "time_s": 28.0,
    ...         "first_drop_s": 8.0, "strength_pct": 9.5}
    >>> figures = shot_figures(shot, bag={"roasted_on": "2026-03-01"})
    >>> figures["ratio"], figures["flow_g_s"], figures["extraction_pct"], figures["freshness"]
    (2.0, 1.8, 19.0, 'in_window')
    """
    told = Told()
    own = _own_figures(shot, recipe, first_drop_usual_s, end_flow_factor, told)
    ages = _ages(bag, bag_events, coffee, zone, pulled_at or shot["pulled_at"], told)
    return {**own, **ages, "doubts": told.doubts}


def shot_reasons(
    shot: dict,
    *,
    recipe: dict | None = None,
    bag: dict | None = None,
    bag_events: Iterable[dict] = (),
    coffee: dict | None = None,
    zone: str = "UTC",
    pulled_at: str | dt.datetime | None = None,
    first_drop_usual_s: float | None = None,
    end_flow_factor: float = END_FLOW_FACTOR,
) -> list[Why]:
    """Why a shot's figures are what they are, as data.

    Parameters
    ----------
    shot, recipe, bag, bag_events, coffee, zone, pulled_at : as in `shot_figures`
        The same.
    first_drop_usual_s : float, optional
        As in `shot_figures`, 0 to 600. [s]
    end_flow_factor : float
        As in `shot_figures`, 0.5 to 3. [-]

    Returns
    -------
    list of Why
        One for each figure that the shot has, none for what it hasn't.

    Raises
    ------
    BadInput
        As `shot_figures`.

    Notes
    -----
    Sources as in the functions used.

    Examples
    --------
    >>> shot = {"pulled_at": "2026-03-10T08:00:00Z", "dose_g": 18.0, "yield_g": 36.0, "time_s": 28.0}
    >>> [why.figure for why in shot_reasons(shot, bag={"roasted_on": "2026-03-01"})]
    ['ratio', 'rest_days', 'stale_days', 'freshness']
    """
    told = Told()
    _own_figures(shot, recipe, first_drop_usual_s, end_flow_factor, told)
    at = pulled_at or shot["pulled_at"]
    of_its_bag = [] if bag is None else bag_reasons(bag, bag_events, now=at, coffee=coffee, zone=zone)
    return told.reasons + of_its_bag


def _own_figures(
    shot: dict, recipe: dict | None, first_drop_usual_s: float | None, end_flow_factor: float, told: Told
) -> dict:
    """All but the ages of its bag."""
    method = shot.get("method") or (recipe or {}).get("method") or "espresso"
    shot = _of_all_spouts({**shot, "method": method}, told)
    figures = {
        **_sums(shot, told),
        **_extraction(shot, told),
        **_time_to_target(shot, recipe, first_drop_usual_s, end_flow_factor, told),
        **against_recipe(shot, recipe),
    }
    if figures["on_recipe"] is not None:
        told.reasons.append(why_on_recipe(shot, recipe))
    return figures


def _of_all_spouts(shot: dict, told: Told) -> dict:
    if shot.get("yield_of") != "one_spout" or shot.get("yield_g") is None:
        return shot
    spouts = max(SPOUTS, int(shot.get("cups") or 0))
    told.doubt([f"one of {spouts} spouts was weighed: the others are taken to be alike, so no extraction"])
    assumed = [*(shot.get("assumed") or []), "yield_g"]
    return {**shot, "yield_g": shot["yield_g"] * spouts, "assumed": assumed}


def _has(shot: dict, *names: str) -> bool:
    return all(shot.get(name) is not None for name in names)


def _measured(shot: dict, *names: str) -> bool:
    return _has(shot, *names) and not set(names) & set(shot.get("assumed") or [])


def _sums(shot: dict, told: Told) -> dict:
    """Ratio and flow, as far as the figures are there."""
    found = {"ratio": None, "flow_g_s": None}
    with told.as_doubt():
        if _has(shot, "dose_g", "yield_g"):
            found["ratio"] = ratio(shot["yield_g"], shot["dose_g"])
            told.doubt(ratio_doubts(shot["dose_g"], shot["yield_g"], shot["method"]))
            told.reasons.append(_why(shot, "ratio", "yield_g / dose_g"))
    with told.as_doubt():
        if _has(shot, "time_s"):
            told.doubt(time_doubts(shot["time_s"], shot["method"]))
        if _has(shot, "yield_g", "time_s", "first_drop_s"):
            found["flow_g_s"] = flow_g_s(shot["yield_g"], shot["time_s"], shot["first_drop_s"])
            told.reasons.append(_why(shot, "flow_g_s", "yield_g / (time_s - first_drop_s)"))
    return found


def _why(shot: dict, figure: str, formula: str) -> Why:
    """The reasons of a plain sum: its inputs are the names in its formula."""
    inputs = {name: shot[name] for name in ("dose_g", "yield_g", "time_s", "first_drop_s") if name in formula}
    assumed = [f"{name} was filled in, not measured" for name in inputs if not _measured(shot, name)]
    return Why(figure, formula, inputs, "definition", tuple(assumed))


def _extraction(shot: dict, told: Told) -> dict:
    """Extraction with its uncertainty; none from anything that was assumed."""
    strength = next((name for name in STRENGTHS if shot.get(name) is not None), None)
    found = {"extraction_pct": None, "u_extraction_pct": None}
    if strength is None or not _measured(shot, "dose_g", "yield_g", strength):
        return found
    names = ("dose_g", "yield_g", strength, "method", *(["sample_temp_c"] if strength == "brix_pct" else []))
    with told.as_doubt():
        read = extraction_reading({name: shot.get(name) for name in names})
        told.doubt(read["doubts"])
        told.reasons += read["why"]
        found = {name: read[name] for name in found}
    return found


def _time_to_target(
    shot: dict, recipe: dict | None, usual_s: float | None, end_flow_factor: float, told: Told
) -> dict:
    found = {"time_to_target_s": None, "u_time_to_target_s": None}
    target_g = (recipe or {}).get("yield_g")
    timed = shot["method"] == "espresso" and _has(shot, "yield_g") and _measured(shot, "time_s")
    if target_g is None or not timed:
        return found
    time_s, yield_g = shot["time_s"], shot["yield_g"]
    with told.as_doubt():
        carried = time_to_target(
            time_s,
            yield_g,
            target_g,
            shot.get("first_drop_s"),
            first_drop_usual_s=usual_s,
            end_flow_factor=end_flow_factor,
            yield_assumed=not _measured(shot, "yield_g"),
        )
        if carried["usable"]:
            told.reasons.append(why_time_to_target(time_s, yield_g, target_g, end_flow_factor, carried))
            found = {"time_to_target_s": carried["time_to_target_s"], "u_time_to_target_s": carried["u_s"]}
    return found


def _ages(bag: dict | None, bag_events, coffee: dict | None, zone: str, at, told: Told) -> dict:
    """How old the bag was when the shot was pulled."""
    if bag is None:
        return {"rest_days": None, "stale_days": None, "freshness": None}
    figures = bag_figures(bag, bag_events, now=at, coffee=coffee, zone=zone)
    told.doubt(figures["doubts"])
    if figures["condition"] == "finished":
        told.doubt(["the bag was finished before this shot: check the bag"])
    return {name: figures[name] for name in ("rest_days", "stale_days", "freshness")}
