"""Who is asking: a signed-in manager, a paired phone, a script with a token, or nobody."""

from functools import wraps

from flask import g, request

from server.clock import to_ms
from server.problems import Problem
from server.store import access
from server.store.database import db
from server.sync.sender import Sender
from server.web.asking import clock, settings

MANAGER_COOKIE = "evenpull_manager"
PHONE_COOKIE = "evenpull_phone"


def cookie_options() -> dict:
    return {"httponly": True, "samesite": "Strict", "secure": settings().secure_cookies, "path": "/"}


def current_phone():
    """The paired phone (or script) that asks, or None."""
    if "phone" not in g:
        token = _bearer() or request.cookies.get(PHONE_COOKIE)
        g.phone = access.phone_of(db.session(), token) if token else None
    return g.phone


def current_manager():
    """The signed-in manager who asks, or None."""
    if "manager" not in g:
        token = request.cookies.get(MANAGER_COOKIE)
        g.manager = access.manager_of(db.session(), token, to_ms(clock())) if token else None
    return g.manager


def sender(site_id: str | None = None) -> Sender:
    """Whoever asks, as the judging of entries sees them."""
    if (phone := current_phone()) is not None:
        return Sender(phone.id, phone.site_id, frozenset(phone.site_ids))
    if current_manager() is not None:
        return Sender(None, site_id, is_manager=True)
    raise Problem(401, "sign in as the manager, or pair this phone", headers={"WWW-Authenticate": "Bearer"})


def managers_only(view):
    @wraps(view)
    def guarded(*args, **kwargs):
        if current_manager() is None:
            if current_phone() is not None:
                raise Problem(403, "only a manager sees this")
            raise Problem(401, "sign in as the manager")
        return view(*args, **kwargs)

    return guarded


def phones_only(view):
    @wraps(view)
    def guarded(*args, **kwargs):
        if current_phone() is None:
            detail = "pair this phone: ask the manager for a code"
            raise Problem(401, detail, headers={"WWW-Authenticate": "Bearer"})
        return view(*args, **kwargs)

    return guarded


def known_only(view):
    @wraps(view)
    def guarded(*args, **kwargs):
        sender()
        return view(*args, **kwargs)

    return guarded


def visible_site(asked: str | None) -> str | None:
    """The site whose facts the asker may see: a phone's own; for a manager the one asked for, or all (None)."""
    if (phone := current_phone()) is not None and current_manager() is None:
        if asked not in (None, phone.site_id):
            raise Problem(403, "this phone sees its own site only")
        return phone.site_id
    return asked


def _bearer() -> str | None:
    scheme, _, token = request.headers.get("Authorization", "").partition(" ")
    return token.strip() if scheme.lower() == "bearer" and token.strip() else None
