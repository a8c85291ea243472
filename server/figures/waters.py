"""The figures of a water sample, for the machine and the limits of its site."""

import json
from functools import lru_cache

from sqlalchemy.orm import Session

from server.ask.question import QuestionRefused
from server.ask.registry import questions
from server.figures.gather import plain
from server.records.kinds import KINDS
from server.store import queries

WATER = KINDS["water"].fields
NOT_ASKED = {"sampled_at", "site_id", "source", "note"}


def water_figures(session: Session, row: dict) -> dict:
    """Hardness, saturation, scale and fit of one sample; a sample that can't be computed says why in `doubts`."""
    asked = {name: value for name, value in plain(row, WATER).items() if name not in NOT_ASKED}
    machine = machine_at(session, row["site_id"])
    asked |= plain(machine or {}, ("group_temp_c", "steam_gauge_bar", "maker_limits"))
    return _answered(json.dumps(asked, sort_keys=True))


@lru_cache(maxsize=256)
def _answered(asked: str) -> dict:
    """A sample never changes by being looked at again, and its equilibria take a while."""
    try:
        return questions()["water"].ask(json.loads(asked))
    except QuestionRefused as refused:
        return {"doubts": [f"{name}: {text}" for name, texts in refused.errors.items() for text in texts]}


def machine_at(session: Session, site_id: str | None) -> dict | None:
    """The machine that stands at a site; the newest where there are several."""
    at_site = [machine for machine in queries.everything(session, "machine") if machine["site_id"] == site_id]
    return at_site[-1] if at_site else None
