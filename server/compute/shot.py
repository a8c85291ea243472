"""The computed figures of one shot. What wasn't measured gives no figure; what was assumed enters no extraction."""

import datetime as dt
from collections.abc import Iterable
from contextlib import contextmanager

from server.compute.doubts import ratio_doubts, time_doubts
from server.compute.errors import BadInput
from server.compute.extraction import flow_g_s, ratio
from server.compute.measured import extraction_reading
from server.compute.recipe import against_recipe
from server.compute.shelf import bag_figures
from server.compute.time_to_target import END_FLOW_FACTOR, time_to_target

STRENGTHS = ("strength_pct", "brix_pct")
SPOUTS = 2


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
    doubts: list[str] = []
    shot = _of_all_spouts({**shot, "method": _method(shot, recipe)}, doubts)
    return {
        **_sums(shot, doubts),
        **_extraction(shot, doubts),
        **_time_to_target(shot, recipe, first_drop_usual_s, end_flow_factor, doubts),
        **against_recipe(shot, recipe),
        **_ages(bag, bag_events, coffee, zone, pulled_at or shot["pulled_at"], doubts),
        "doubts": doubts,
    }


@contextmanager
def _doubted(doubts: list[str]):
    """Turns a figure that can't be used into a doubt, once."""
    try:
        yield
    except BadInput as wrong:
        if str(wrong) not in doubts:
            doubts.append(str(wrong))


def _method(shot: dict, recipe: dict | None) -> str:
    return shot.get("method") or (recipe or {}).get("method") or "espresso"


def _of_all_spouts(shot: dict, doubts: list[str]) -> dict:
    if shot.get("yield_of") != "one_spout" or shot.get("yield_g") is None:
        return shot
    spouts = max(SPOUTS, int(shot.get("cups") or 0))
    doubts.append(
        f"one of {spouts} spouts was weighed: the others are taken to be alike, so there is no extraction"
    )
    assumed = [*(shot.get("assumed") or []), "yield_g"]
    return {**shot, "yield_g": shot["yield_g"] * spouts, "assumed": assumed}


def _has(shot: dict, *names: str) -> bool:
    return all(shot.get(name) is not None for name in names)


def _measured(shot: dict, *names: str) -> bool:
    return _has(shot, *names) and not set(names) & set(shot.get("assumed") or [])


def _sums(shot: dict, doubts: list[str]) -> dict:
    """Ratio and flow, as far as the figures are there."""
    found = {"ratio": None, "flow_g_s": None}
    with _doubted(doubts):
        if _has(shot, "dose_g", "yield_g"):
            found["ratio"] = ratio(shot["yield_g"], shot["dose_g"])
            doubts += ratio_doubts(shot["dose_g"], shot["yield_g"], shot["method"])
    with _doubted(doubts):
        if _has(shot, "time_s"):
            doubts += time_doubts(shot["time_s"], shot["method"])
        if _has(shot, "yield_g", "time_s", "first_drop_s"):
            found["flow_g_s"] = flow_g_s(shot["yield_g"], shot["time_s"], shot["first_drop_s"])
    return found


def _extraction(shot: dict, doubts: list[str]) -> dict:
    """Extraction with its uncertainty; none from anything that was assumed."""
    strength = next((name for name in STRENGTHS if shot.get(name) is not None), None)
    found = {"extraction_pct": None, "u_extraction_pct": None}
    if strength is None or not _measured(shot, "dose_g", "yield_g", strength):
        return found
    names = ("dose_g", "yield_g", strength, "method", *(["sample_temp_c"] if strength == "brix_pct" else []))
    with _doubted(doubts):
        read = extraction_reading({name: shot.get(name) for name in names})
        doubts += [doubt for doubt in read["doubts"] if doubt not in doubts]
        found = {name: read[name] for name in found}
    return found


def _time_to_target(
    shot: dict, recipe: dict | None, usual_s: float | None, end_flow_factor: float, doubts: list[str]
) -> dict:
    found = {"time_to_target_s": None, "u_time_to_target_s": None}
    target_g = (recipe or {}).get("yield_g")
    if (
        shot["method"] != "espresso"
        or target_g is None
        or not (_has(shot, "yield_g") and _measured(shot, "time_s"))
    ):
        return found
    with _doubted(doubts):
        carried = time_to_target(
            shot["time_s"],
            shot["yield_g"],
            target_g,
            shot.get("first_drop_s"),
            first_drop_usual_s=usual_s,
            end_flow_factor=end_flow_factor,
            yield_assumed=not _measured(shot, "yield_g"),
        )
        if carried["usable"]:
            found = {"time_to_target_s": carried["time_to_target_s"], "u_time_to_target_s": carried["u_s"]}
    return found


def _ages(bag: dict | None, bag_events, coffee: dict | None, zone: str, at, doubts: list[str]) -> dict:
    """How old the bag was when the shot was pulled."""
    if bag is None:
        return {"rest_days": None, "stale_days": None, "freshness": None}
    figures = bag_figures(bag, bag_events, now=at, coffee=coffee, zone=zone)
    doubts += figures["doubts"]
    if figures["condition"] == "finished":
        doubts.append("the bag was finished before this shot: check the bag")
    return {name: figures[name] for name in ("rest_days", "stale_days", "freshness")}
