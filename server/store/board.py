"""Read-only selects behind the manager's dashboard: each reads one range by an index, however large the store is."""

from collections.abc import Iterable

from sqlalchemy import and_, func, select
from sqlalchemy.orm import Session

from server.store.record_tables import TABLES
from server.store.tables import Phone, RefusedEntry, StoreState

# How a record was merged, and what people wrote, is nothing that a chart shows.
NOT_CHARTED = ("heads", "clashes", "note", "taste")


def facts_between(session: Session, kind: str, sites: Iterable[str], since_ms: int, until_ms: int) -> list[dict]:
    """What happened at these sites in [since, until), oldest first, without what isn't charted."""
    # The sites are always named, though it be all of them: the index begins with the site.
    return _between(session, kind, TABLES[kind].c.site_id.in_(list(sites)), since_ms, until_ms)


def shared_between(session: Session, kind: str, since_ms: int, until_ms: int) -> list[dict]:
    """The same of a kind that belongs to no site, such as what was done to the grinders."""
    return _between(session, kind, TABLES[kind].c.site_id.is_(None), since_ms, until_ms)


def _between(session: Session, kind: str, where, since_ms: int, until_ms: int) -> list[dict]:
    table = TABLES[kind]
    columns = [column for column in table.c if column.name not in NOT_CHARTED]
    query = select(*columns).where(where, table.c.at_ms >= since_ms, table.c.at_ms < until_ms, *_stand(table))
    return [dict(row) for row in session.execute(query.order_by(table.c.at_ms, table.c.id)).mappings()]


def latest_waters(session: Session) -> dict[str, dict]:
    """Each site's newest sample, by site."""
    table = TABLES["water"]
    newest = select(table.c.site_id, func.max(table.c.at_ms).label("at_ms")).where(*_stand(table))
    newest = newest.group_by(table.c.site_id).subquery()
    same = and_(table.c.site_id == newest.c.site_id, table.c.at_ms == newest.c.at_ms)
    query = select(table).join(newest, same).where(*_stand(table)).order_by(table.c.id)
    return {row["site_id"]: dict(row) for row in session.execute(query).mappings()}


def refused_since(session: Session, site_id: str | None, since_ms: int) -> list[tuple[str | None, int]]:
    """How many entries were refused at each site since an instant."""
    query = select(RefusedEntry.site_id, func.count()).where(RefusedEntry.received_ms >= since_ms)
    if site_id is not None:
        query = query.where(RefusedEntry.site_id == site_id)
    return [(site, count) for site, count in session.execute(query.group_by(RefusedEntry.site_id))]


def state(session: Session, seen_within_ms: int) -> list:
    """What changes whenever anything that the dashboard shows does: the ledger's end, and how each phone stands.

    A phone that asks again and again is news only once in `seen_within_ms`.
    """
    ledger = session.execute(select(StoreState.database_id, StoreState.seq)).one()
    refused = session.execute(select(func.count(), func.max(RefusedEntry.received_ms))).one()
    seen = func.coalesce(Phone.last_seen_ms, 0) // seen_within_ms
    phones = session.execute(select(Phone.id, Phone.site_id, seen, Phone.waiting, Phone.revoked_ms).order_by(Phone.id))
    return [list(ledger), list(refused), [list(phone) for phone in phones]]


def _stand(table) -> tuple:
    return table.c.complete, table.c.retracted.is_(False)
