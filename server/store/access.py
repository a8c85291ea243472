"""Who may come in: managers and their sessions, phones and their tokens, pairing codes. Secrets are kept as hashes."""

import hashlib
import secrets
from functools import cache

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session
from werkzeug.security import check_password_hash, generate_password_hash

from server.ids import uuid7
from server.store.tables import Manager, ManagerSession, Pairing, Phone, SetupLink

# No letter or digit that is taken for another when read aloud or off a screen.
CODE_ALPHABET = "ABCDEFGHJKMNPQRSTVWXYZ23456789"
CODE_LENGTH = 8
MINUTE_MS, DAY_MS = 60_000, 86_400_000


@cache
def _nobody() -> str:
    """Checked when the name is unknown, so that a wrong name takes as long as a wrong password."""
    return generate_password_hash(secrets.token_hex(16))


def hashed(token: str) -> str:
    """A random token's hash. Tokens have 256 bits of their own, so one fast hash is enough."""
    return hashlib.sha256(token.encode()).hexdigest()


def add_manager(session: Session, name: str, password: str) -> Manager:
    manager = Manager(id=uuid7(), name=name, password_hash=generate_password_hash(password))
    session.add(manager)
    session.flush()
    return manager


def any_manager(session: Session) -> bool:
    return session.execute(select(Manager.id).limit(1)).first() is not None


def use_setup_link(session: Session, token: str, now_ms: int) -> bool:
    """Use the first start's link up; False where it is wrong, used or too old."""
    mine = (SetupLink.token_hash == hashed(token), SetupLink.expires_ms > now_ms)
    return session.execute(delete(SetupLink).where(*mine)).rowcount == 1


def manager_called(session: Session, name: str) -> Manager | None:
    return session.execute(select(Manager).where(Manager.name == name)).scalar()


def sign_in(session: Session, name: str, password: str, now_ms: int, days: int) -> str | None:
    """A new session's token, or None where name and password don't belong together."""
    manager = manager_called(session, name)
    if not check_password_hash(manager.password_hash if manager else _nobody(), password) or manager is None:
        return None
    return new_session(session, manager, now_ms, days)


def new_session(session: Session, manager: Manager, now_ms: int, days: int) -> str:
    token = secrets.token_urlsafe(32)
    session.execute(delete(ManagerSession).where(ManagerSession.expires_ms < now_ms))
    expires_ms = now_ms + days * DAY_MS
    session.add(ManagerSession(token_hash=hashed(token), manager_id=manager.id, expires_ms=expires_ms))
    return token


def sign_out(session: Session, token: str) -> None:
    session.execute(delete(ManagerSession).where(ManagerSession.token_hash == hashed(token)))


def manager_of(session: Session, token: str, now_ms: int) -> Manager | None:
    query = (
        select(Manager)
        .join(ManagerSession, ManagerSession.manager_id == Manager.id)
        .where(ManagerSession.token_hash == hashed(token), ManagerSession.expires_ms > now_ms)
    )
    return session.execute(query).scalar()


def new_code(session: Session, site_id: str, now_ms: int, minutes: int) -> str:
    """A pairing code for one phone of a site; only its hash is kept."""
    code = "".join(secrets.choice(CODE_ALPHABET) for _ in range(CODE_LENGTH))
    session.execute(delete(Pairing).where(Pairing.expires_ms < now_ms - DAY_MS))
    session.add(Pairing(code_hash=hashed(code), site_id=site_id, expires_ms=now_ms + minutes * MINUTE_MS))
    return code


def tidy_code(typed: str) -> str:
    """A code as people type it: any case, spaces and dashes between.

    >>> tidy_code("abcd-efgh ")
    'ABCDEFGH'
    """
    return "".join(letter for letter in typed.upper() if letter.isalnum())


def pair(session: Session, code: str, name: str, now_ms: int) -> tuple[Phone, str] | None:
    """Use a code up: the new phone and its token, or None where the code is wrong, used or too old."""
    used = session.execute(
        update(Pairing)
        .where(Pairing.code_hash == hashed(tidy_code(code)), Pairing.used_ms.is_(None), Pairing.expires_ms > now_ms)
        .values(used_ms=now_ms)
        .returning(Pairing.site_id)
    ).scalar()
    return None if used is None else add_phone(session, name, used, now_ms)


def add_phone(session: Session, name: str, site_id: str, now_ms: int, is_script: bool = False) -> tuple[Phone, str]:
    token = secrets.token_urlsafe(32)
    phone = Phone(
        id=uuid7(),
        name=name,
        site_id=site_id,
        site_ids=[site_id],
        is_script=is_script,
        token_hash=hashed(token),
        paired_ms=now_ms,
    )
    session.add(phone)
    session.flush()
    return phone, token


def phone_of(session: Session, token: str) -> Phone | None:
    query = select(Phone).where(Phone.token_hash == hashed(token), Phone.revoked_ms.is_(None))
    return session.execute(query).scalar()


def phones(session: Session) -> list[Phone]:
    return list(session.scalars(select(Phone).order_by(Phone.paired_ms)))


def move_phone(session: Session, phone: Phone, site_id: str) -> None:
    """Pair a phone to another site; what it saved at the old one is still welcome."""
    phone.site_id = site_id
    phone.site_ids = [*{*phone.site_ids, site_id}]


def revoke(session: Session, phone: Phone, now_ms: int) -> None:
    phone.revoked_ms = now_ms


def heard_from(session: Session, phone_id: str, now_ms: int, waiting: int | None, app: str | None) -> None:
    """Note that a phone was in touch, with how many entries waiting on it."""
    seen = {"last_seen_ms": now_ms, "waiting": waiting, "app": app}
    session.execute(update(Phone).where(Phone.id == phone_id).values(seen))
