"""The first start of a real server: a one-time link, printed on the console, makes the first manager."""

import secrets

from flask import current_app
from sqlalchemy import delete

from server.clock import to_ms
from server.store import access
from server.store.database import writing
from server.store.tables import SetupLink

LINK_HOURS = 24


def new_setup_token(app) -> str | None:
    """A fresh one-time token if nobody manages this store yet; any earlier one stops working."""
    with app.app_context(), writing() as session:
        if access.any_manager(session):
            return None
        token = secrets.token_urlsafe(24)
        session.execute(delete(SetupLink))
        expires_ms = to_ms(current_app.extensions["evenpull"].clock()) + LINK_HOURS * 60 * access.MINUTE_MS
        session.add(SetupLink(token_hash=access.hashed(token), expires_ms=expires_ms))
        return token


def setup_words(app, url: str) -> str:
    token = new_setup_token(app)
    if token is None:
        return ""
    return (
        f"\nNobody manages this bar yet. Open this link once, within {LINK_HOURS} hours:\n  {url}/manage#first={token}"
    )
