"""Read-only selects over the record tables. Rows come back as plain dicts of their columns."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import and_, exists, func, or_, select
from sqlalchemy.orm import Session

from server.records.kind import Kind, Scope
from server.records.kinds import KINDS
from server.store.record_tables import TABLES


@dataclass(frozen=True)
class Filters:
    """Which records of a kind; a field left None doesn't filter."""

    site_id: str | None = None
    since_ms: int | None = None
    until_ms: int | None = None
    bag_id: str | None = None
    retracted: bool = False
    limit: int = 100
    before: tuple[int, str] | None = None  # (at_ms or changed_seq, id) of the last row of the page before


def by_ids(session: Session, kind: str, ids: Iterable[str]) -> dict[str, dict]:
    """The rows with these ids, by id; whichever aren't there are left out."""
    table, found, wanted = TABLES[kind], {}, sorted({i for i in ids if i})
    for start in range(0, len(wanted), 400):
        query = select(table).where(table.c.id.in_(wanted[start : start + 400]))
        found.update({row["id"]: dict(row) for row in session.execute(query).mappings()})
    return found


def listing(session: Session, kind: Kind, filters: Filters) -> list[dict]:
    """A page of records, newest first."""
    table = TABLES[kind.name]
    order = table.c.at_ms if kind.at else table.c.changed_seq
    query = select(table).where(table.c.complete)
    if not filters.retracted:
        query = query.where(table.c.retracted.is_(False))
    if filters.site_id is not None:
        mine = table.c.site_id == filters.site_id
        query = query.where(mine if kind.scope is Scope.SITE else or_(mine, table.c.site_id.is_(None)))
    if filters.since_ms is not None and kind.at:
        query = query.where(table.c.at_ms >= filters.since_ms)
    if filters.until_ms is not None and kind.at:
        query = query.where(table.c.at_ms < filters.until_ms)
    if filters.bag_id is not None and "bag_id" in table.c:
        query = query.where(table.c.bag_id == filters.bag_id)
    if filters.before is not None:
        at, last_id = filters.before
        query = query.where(or_(order < at, and_(order == at, table.c.id < last_id)))
    query = query.order_by(order.desc(), table.c.id.desc()).limit(filters.limit)
    return [dict(row) for row in session.execute(query).mappings()]


def between(session: Session, kind: str, site_id: str | None, since_ms: int, until_ms: int) -> list[dict]:
    """All of a site's records (of every site's, for None) that happened in [since, until), oldest first."""
    table = TABLES[kind]
    query = select(table).where(table.c.complete, table.c.retracted.is_(False))
    query = query.where(table.c.at_ms >= since_ms, table.c.at_ms < until_ms)
    if site_id is not None:
        query = query.where(table.c.site_id == site_id)
    query = query.order_by(table.c.at_ms, table.c.id)
    return [dict(row) for row in session.execute(query).mappings()]


def everything(session: Session, kind: str) -> list[dict]:
    """All records of a kind that stand: for the few shared things, never for shots."""
    table = TABLES[kind]
    query = select(table).where(table.c.complete, table.c.retracted.is_(False)).order_by(table.c.id)
    return [dict(row) for row in session.execute(query).mappings()]


def events_of(session: Session, bag_ids: Iterable[str]) -> dict[str, list[dict]]:
    """What happened to each of these bags, oldest first."""
    table, found, wanted = TABLES["bag_event"], {}, sorted({i for i in bag_ids if i})
    for start in range(0, len(wanted), 400):
        query = (
            select(table)
            .where(table.c.bag_id.in_(wanted[start : start + 400]), table.c.complete, table.c.retracted.is_(False))
            .order_by(table.c.at_ms, table.c.id)
        )
        for row in session.execute(query).mappings():
            found.setdefault(row["bag_id"], []).append(dict(row))
    return found


def open_bags(session: Session, roasted_since: str = "") -> list[dict]:
    """Every bag that nobody has finished, roasted on that date or later; a frozen one however long ago.

    Bags are thrown away without a word, so a store of some years holds many that only seem to be there.
    """
    bags, events = TABLES["bag"], TABLES["bag_event"]

    def ever(what: str):
        return exists().where(events.c.bag_id == bags.c.id, events.c.what == what, events.c.retracted.is_(False))

    query = (
        select(bags)
        .where(bags.c.complete, bags.c.retracted.is_(False))
        .where(or_(bags.c.roasted_on >= roasted_since, ever("frozen")), ~ever("finished"))
        .order_by(bags.c.roasted_on, bags.c.id)
    )
    return [dict(row) for row in session.execute(query).mappings()]


def last_grind_changes(session: Session) -> list[dict]:
    """The newest change of setting on each grinder."""
    table = TABLES["grind_change"]
    stands = (table.c.complete, table.c.retracted.is_(False))
    newest = select(table.c.grinder_id, func.max(table.c.at_ms).label("at_ms")).where(*stands)
    newest = newest.group_by(table.c.grinder_id).subquery()
    same = and_(table.c.grinder_id == newest.c.grinder_id, table.c.at_ms == newest.c.at_ms)
    query = select(table).join(newest, same).where(*stands).order_by(table.c.id)
    return [dict(row) for row in session.execute(query).mappings()]


def latest(session: Session, kind: str, site_id: str) -> dict | None:
    """A site's newest record of a kind."""
    rows = listing(session, KINDS[kind], Filters(site_id=site_id, limit=1))
    return rows[0] if rows else None


def doses_since_weighed(session: Session, bag_ids: Iterable[str]) -> dict[str, float]:
    """Grams of dose logged from each of these bags since it was last weighed; from its first shot on if never."""
    shots, events, wanted = TABLES["shot"], TABLES["bag_event"], sorted(bag_ids)
    found: dict[str, float] = {}
    for start in range(0, len(wanted), 400):
        some = wanted[start : start + 400]
        last = select(events.c.bag_id, func.max(events.c.at_ms).label("at_ms")).group_by(events.c.bag_id)
        last = last.where(events.c.what == "weighed", events.c.mass_g.is_not(None), events.c.bag_id.in_(some))
        last = last.where(events.c.complete, events.c.retracted.is_(False)).subquery()
        query = (
            select(shots.c.bag_id, func.sum(shots.c.dose_g))
            .join(last, last.c.bag_id == shots.c.bag_id, isouter=True)
            .where(shots.c.bag_id.in_(some), shots.c.complete, shots.c.retracted.is_(False))
            .where(shots.c.at_ms >= func.coalesce(last.c.at_ms, 0))
            .group_by(shots.c.bag_id)
        )
        found.update((bag_id, dose_g) for bag_id, dose_g in session.execute(query))
    return found
