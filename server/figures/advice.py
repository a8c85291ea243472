"""The sheet's part that carries the advice: what the phone needs to go on from, for each grinder of a site."""

import datetime as dt

from sqlalchemy.orm import Session


def advice_part(session: Session, site_id: str, now: dt.datetime) -> dict:
    """Nothing to go on yet: the phone says that it is too early to say."""
    return {"grinders": []}
