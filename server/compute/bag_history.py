"""What happened to a bag, read from its events: where it was, whether it is open, what it weighed."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field

from server.compute.local_time import instant
from server.compute.staling import FREEZER_BELOW_C

FREEZER_C = -18.0  # common practice, no source: what a freezer is set to


@dataclass
class History:
    """A bag at a moment. `storage` holds spells as `freshness` takes them; a cupboard nobody measured has none."""

    storage: list[dict] = field(default_factory=list)
    opened_at: dt.datetime | None = None
    kept: str = "hopper"
    frozen: bool = False
    finished_at: dt.datetime | None = None
    weighed_at: dt.datetime | None = None
    weighed_g: float | None = None
    split_off_g: float = 0.0  # since the last weighing
    assumed: list[str] = field(default_factory=list)

    @property
    def condition(self) -> str:
        """`sealed`, `open`, `frozen` or `finished`."""
        if self.finished_at:
            return "finished"
        if self.frozen:
            return "frozen"
        return "open" if self.opened_at else "sealed"


def history_of(bag_events: Iterable[dict], until: str | dt.datetime) -> History:
    """A bag's history up to a moment.

    Parameters
    ----------
    bag_events : iterable of dict
        Its events in any order: `at`, `what`, and where known `temp_c` [°C] and `mass_g` [g]: what the scale
        showed for `weighed`, what went into the other bag for `split`.
    until : str or datetime
        The moment, with its offset; later events are left out.

    Returns
    -------
    History
        Storage, opening, condition and weighings. [°C, g]

    Raises
    ------
    BadInput
        When a time can't be read.

    Notes
    -----
    Convention of this app: `frozen` without a temperature is -18 °C, `thawed` without one a cupboard; a bag that was
    moved keeps its temperature unless a new one is given; the first opening counts; `resealed` sets how it is kept.

    Examples
    --------
    >>> events = [{"at": "2026-03-05T09:00:00Z", "what": "frozen"}, {"at": "2026-04-02T09:00:00Z", "what": "opened"},
    ...           {"at": "2026-04-01T09:00:00Z", "what": "thawed"}]
    >>> history = history_of(events, "2026-04-03T09:00:00Z")
    >>> history.condition, [spell["temp_c"] for spell in history.storage]
    ('open', [-18.0])
    """
    until, history = instant("until", until), History()
    timed = [(instant("at", event["at"]), event) for event in bag_events]
    for at, event in sorted(timed, key=lambda pair: (pair[0], pair[1]["what"])):
        if at <= until and not history.finished_at:
            _happened(history, at, event)
    return history


def inherited(parent_events: Iterable[dict], child_id: str) -> list[dict]:
    """What a bag that was split off another one had been through before the split.

    Parameters
    ----------
    parent_events : iterable of dict
        The other bag's events, its own inherited ones included.
    child_id : str
        The id of the bag that was split off.

    Returns
    -------
    list of dict
        The parent's events up to the split, without weighings and splits; to be put before the child's own.

    Raises
    ------
    BadInput
        When a time can't be read.

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> frozen = {"at": "2026-03-05T09:00:00Z", "what": "frozen"}
    >>> split = {"at": "2026-03-09T09:00:00Z", "what": "split", "into_bag_id": "b", "mass_g": 250.0}
    >>> inherited([frozen, split], "b") == [frozen]
    True
    """
    events = list(parent_events)
    splits = [
        instant("at", e["at"]) for e in events if e["what"] == "split" and e.get("into_bag_id") == child_id
    ]
    if not splits:
        return []
    kept = [event for event in events if event["what"] in ("moved", "frozen", "thawed", "opened", "resealed")]
    return [event for event in kept if instant("at", event["at"]) <= min(splits)]


def _happened(history: History, at: dt.datetime, event: dict) -> None:
    what, temp_c = event["what"], event.get("temp_c")
    if what == "frozen":
        history.frozen = True
        if temp_c is None:
            temp_c = FREEZER_C
            history.assumed.append(f"freezer taken as {FREEZER_C:g} °C: no temperature was given")
    elif what == "thawed":
        history.frozen = False
    elif what == "moved" and temp_c is not None:
        history.frozen = temp_c < FREEZER_BELOW_C
    elif what == "opened":
        history.opened_at, history.kept = history.opened_at or at, "hopper"
    elif what == "resealed":
        history.kept = "resealed"
    elif what == "finished":
        history.finished_at = at
    _weigh(history, at, event)
    _keep_at(history, at, temp_c, leaves=what == "thawed")


def _weigh(history: History, at: dt.datetime, event: dict) -> None:
    if event.get("mass_g") is None:
        return
    if event["what"] == "weighed":
        history.weighed_at, history.weighed_g, history.split_off_g = at, event["mass_g"], 0.0
    elif event["what"] == "split":
        history.split_off_g += event["mass_g"]


def _keep_at(history: History, at: dt.datetime, temp_c: float | None, leaves: bool) -> None:
    """End the spell that the bag was in, if it leaves it, and begin the next, if its temperature is known."""
    if temp_c is None and not leaves:
        return
    if history.storage and history.storage[-1]["to"] is None:
        history.storage[-1]["to"] = at
    if temp_c is not None:
        history.storage.append({"from": at, "to": None, "temp_c": temp_c})
