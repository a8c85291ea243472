"""Takes a typed-up log in: each row becomes a record through the ledger's one door, or is listed with what is wrong.

A row is taken whole or not at all. Its record's id derives from what the row says, so a second run recognises it,
however the figures are formatted by then.
"""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import BinaryIO
from zoneinfo import ZoneInfo

from server.clock import as_text
from server.exchange.cells import Reading, Said, Wrong
from server.exchange.csv_reading import CsvFile, FileRefused, Row
from server.exchange.layout import layout
from server.exchange.names import Creation, Names
from server.exchange.record import Finished, finish
from server.exchange.values import Style
from server.ids import uuid7, uuid8
from server.records.kinds import KINDS
from server.store import queries
from server.store.database import reading, writing
from server.sync.envelope import PROTOCOL
from server.sync.push import Timing, push
from server.sync.sender import Sender

APP = "import"
BATCH_ROWS = 200
WATER_CLOCK = dt.time(12, 0)  # people note the day of a water test, and the hour matters to nothing


@dataclass(frozen=True)
class Wanted:
    """How a file is to be taken."""

    kind: str | None = None  # found out from the headers where it isn't given
    site: str | None = None  # name or id; needed where there are several
    columns: dict[str, str] = field(default_factory=dict)  # {our field: their header}
    create: frozenset[str] = frozenset()  # kinds that may be made where a name is new
    dates: str | None = None  # "day" or "month": what 1/3/2026 puts first
    clock: dt.time | None = None  # for rows that tell no time of day
    dry_run: bool = False


@dataclass
class Result:
    """What became of a file, row by row. In a dry run: what would become of it."""

    kind: str
    site_id: str
    encoding: str
    separator: str
    ignored: list[str]
    dry_run: bool
    rows: int = 0
    stored: int = 0
    known: int = 0
    repeated: list[tuple[int, int]] = field(
        default_factory=list
    )  # (line, the earlier line that says the same)
    wrong: list[Wrong] = field(default_factory=list)
    created: list[Creation] = field(default_factory=list)

    @property
    def wrong_rows(self) -> int:
        return len({wrong.line for wrong in self.wrong})


class _DryRun(Exception):
    """Undoes the transaction that it is raised in."""


def import_csv(stream: BinaryIO, wanted: Wanted, now: dt.datetime) -> Result:
    """Take a file in. Needs an app context, and no transaction of the caller's.

    Raises FileRefused where the file as a whole can't be taken; then nothing is stored.
    """
    table = CsvFile(stream)
    found = layout(table, wanted.kind, wanted.columns)
    with reading() as session:
        site = _site(session, wanted.site)
        names = Names.at(session, site, wanted.create)
    style = Style(order_given=wanted.dates)
    zone, width = ZoneInfo(site["time_zone"]), len(found.header.cells)
    clock = wanted.clock or (WATER_CLOCK if found.kind == "water" else None)
    read = Reading(KINDS[found.kind], found.columns, width, style, zone, clock)
    for row in _below(
        table, found.header
    ):  # to the end, before anything is stored: a broken file is refused whole
        read.see(row)
    result = Result(found.kind, site["id"], table.encoding, table.separator, found.ignored, wanted.dry_run)
    _take((read.read(row) for row in _below(table, found.header)), read, names, result, now)
    return result


def _site(session, asked: str | None) -> dict:
    sites = queries.everything(session, "site")
    if asked is None and len(sites) == 1:
        return sites[0]
    found = [site for site in sites if asked in (site["id"], site["name"])]
    found = found or [site for site in sites if asked and site["name"].casefold() == asked.casefold()]
    if len(found) == 1:
        return found[0]
    known = ", ".join(site["name"] for site in sites) or "none yet: make one first"
    what = f"“{asked}” is no site here" if asked else "which site is it from?"
    raise FileRefused("site", f"{what} Give its name or id with --site; there is {known}")


def _below(table: CsvFile, header: Row) -> Iterator[Row]:
    return (row for row in table.rows() if row.line > header.line)


def _take(rows: Iterator[Said], read: Reading, names: Names, result: Result, now: dt.datetime) -> None:
    seen: dict[str, int] = {}
    batch: list[Finished] = []
    writer = _Writer(result, now)
    for said in rows:
        result.rows += 1
        finished = finish(said, read, names, now)
        if isinstance(finished, list):
            result.wrong += finished
            continue
        first = seen.setdefault(finished.record_id, said.line)
        if first != said.line:
            result.repeated.append((said.line, first))
            continue
        for creation in finished.creations:
            names.keep(creation)
        batch.append(finished)
        if len(batch) >= BATCH_ROWS:
            writer.write(batch)
            batch = []
    writer.write(batch)


class _Writer:
    """Sends finished rows through the ledger's door, one transaction a batch."""

    def __init__(self, result: Result, now: dt.datetime):
        self.result, self.now = result, now
        self.replica_id, self.n = uuid7(), 0  # each run is a writer of its own

    def write(self, batch: list[Finished]) -> None:
        try:
            with writing() as session:
                self._write(session, batch)
                if self.result.dry_run:
                    raise _DryRun
        except _DryRun:
            pass

    def _write(self, session, batch: list[Finished]) -> None:
        kind = self.result.kind
        there = queries.by_ids(session, kind, [finished.record_id for finished in batch])
        fresh = [finished for finished in batch if finished.record_id not in there]
        self.result.known += len(batch) - len(fresh)
        entries, lines = [], {}
        for finished in fresh:
            entries += [self._entry(made.kind, made.record_id, made.fields) for made in finished.creations]
            entries.append(self._entry(kind, finished.record_id, finished.fields))
            lines[entries[-1]["entry_id"]] = finished.line
            self.result.created += finished.creations
        sender = Sender(phone_id=None, site_id=self.result.site_id, is_manager=True)
        for receipt in push(session, entries, sender, Timing(self.now, self.now)):
            if (line := lines.get(receipt["entry_id"])) is None:
                continue
            self.result.stored += receipt["receipt"] != "refused"
            for name, texts in (receipt.get("errors") or {}).items():
                self.result.wrong += [Wrong(line, name, "", text) for text in texts]

    def _entry(self, kind: str, record_id: str, fields: dict) -> dict:
        self.n += 1
        entry = {
            "entry_id": uuid8("import entry", record_id),
            "kind": kind,
            "record_id": record_id,
            "fields": fields,
        }
        entry |= {"replica_id": self.replica_id, "n": self.n, "made_at": as_text(self.now)}
        return {**entry, "protocol": PROTOCOL, "app": APP}
