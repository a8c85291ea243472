"""How things stand at the sites, as the decisions read it, and what one decision looks like."""

import datetime as dt
from dataclasses import dataclass, field

from server.figures.gather import working_day
from server.figures.pulls import Pulled


@dataclass(frozen=True)
class Picture:
    """What the decisions are read from."""

    sites: dict[str, dict]
    pulls: list[Pulled]
    bags: list[dict]
    coffees: dict[str, dict]
    grinders: dict[str, dict]
    recipes: dict[str, dict]
    waters: dict[str, dict]  # each site's last sample, with its `figures`
    phones: list[dict]
    refused: list[tuple[str | None, int]]
    now: dt.datetime
    days: dict[str, dt.date] = field(init=False)  # each site's working day

    def __post_init__(self):
        object.__setattr__(self, "days", {i: working_day(self.now, site) for i, site in self.sites.items()})


def decision(picture: Picture, what: str, site_id: str | None, by: dt.date | None, link: str, **more) -> dict:
    """One decision; `figure` has its numbers, `reason` what they were read from."""
    site = picture.sites.get(site_id)
    return {
        "what": what,
        "site_id": site_id,
        "where": site["name"] if site else None,
        "about": None,
        "over": False,
        "by": by.isoformat() if by else None,
        "link": link,
        **more,
    }
