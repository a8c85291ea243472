"""Turns the cells of one row into a record's fields and the names that still have to be looked up."""

import datetime as dt
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from marshmallow import fields as ma

from server.exchange import words
from server.exchange.columns import Column
from server.exchange.csv_reading import Row
from server.exchange.guarding import unguarded
from server.exchange.units import UnknownUnit, convert, water_unit
from server.exchange.values import (
    Style,
    Unreadable,
    is_blank,
    local_instant,
    read_clock,
    read_date,
    read_duration_s,
    read_number,
)
from server.fields import Instant, LocalDate, Quantity, Text, parse_instant
from server.records.kind import Kind, Whole

NAMES = ("site", "coffee", "person", "grinder", "machine")
WATER_UNITS = {"hardness_unit": "hardness", "alkalinity_unit": "alkalinity"}
# The columns that a field is put together from or looked up by.
COMES_FROM = {
    "pulled_at": ("date", "clock"),
    "sampled_at": ("date", "clock"),
    "bag_id": ("coffee", "roasted_on", "batch"),
    **{f"{name}_id": (name,) for name in NAMES},
}
YES, NO = ("true", "yes", "1", "ja", "x"), ("false", "no", "0", "nein")


@dataclass(frozen=True)
class Wrong:
    """What is wrong with one cell, and what to do about it."""

    line: int
    field: str
    column: str
    remedy: str


@dataclass
class Said:
    """What one row says: fields with their values, names to look up, and what can't be read."""

    line: int
    fields: dict = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    wrong: list[Wrong] = field(default_factory=list)


@dataclass
class Reading:
    """How the cells of one file are read."""

    kind: Kind
    columns: list[Column]
    width: int
    style: Style
    zone: ZoneInfo
    clock: dt.time | None = None  # for rows that tell no time of day

    def header_of(self, name: str) -> str:
        """The header of the column that a field came from."""
        stem = name.partition(".")[0]
        headers = {column.field.partition(".")[0]: column.header for column in reversed(self.columns)}
        return next((headers[where] for where in (stem, *COMES_FROM.get(stem, ())) if where in headers), "")

    def see(self, row: Row) -> None:
        """Learn from a row how its file writes numbers and dates."""
        for column in self.columns:
            if column.index >= len(row.cells) or is_blank(cell := row.cells[column.index]):
                continue
            target = self.kind.fields.get(column.field)
            if isinstance(target, Quantity | Whole):
                self.style.see_number(cell)
            elif column.field in ("date", "roasted_on") or isinstance(target, LocalDate | Instant):
                self.style.see_date(cell)

    def read(self, row: Row) -> Said:
        """A row's fields. A cell that can't be read is noted, and the others are read all the same."""
        said = Said(row.line)
        if len(row.cells) > self.width:
            cells = f"has {len(row.cells)} cells under {self.width} headers"
            said.wrong.append(
                Wrong(row.line, "row", "", f"{cells}: put what contains a separator in quotation marks")
            )
            return said
        for column in self.columns:
            cell = row.cells[column.index] if column.index < len(row.cells) else ""
            if is_blank(cell):
                continue
            try:
                self._put(said, column, unguarded(cell))
            except (Unreadable, UnknownUnit) as wrong:
                said.wrong.append(Wrong(row.line, column.field, column.header, str(wrong)))
        self._put_together(said)
        return said

    def _put(self, said: Said, column: Column, cell: str) -> None:
        name, _, part = column.field.partition(".")
        if name in NAMES or (name in ("id", "batch", "roaster") and name not in self.kind.fields):
            said.names[name] = " ".join(cell.split())
        elif name in ("date", "clock", *WATER_UNITS):
            said.fields[name] = cell
        elif name == "roasted_on" and name not in self.kind.fields:
            said.names[name] = read_date(cell, self.style).isoformat()
        elif part:
            inner = self.kind.fields[name].schema.fields[part]
            said.fields.setdefault(name, {})[part] = self._value(inner, part, column, cell)
        else:
            said.fields[name] = self._value(self.kind.fields[name], name, column, cell)

    def _value(self, target: ma.Field, name: str, column: Column, cell: str):
        if isinstance(target, Quantity):
            return self._quantity(target, column, cell)
        if isinstance(target, Whole):
            return self._whole(name, column, cell)
        if isinstance(target, Instant):
            return self._instant(cell)
        if isinstance(target, LocalDate):
            return read_date(cell, self.style).isoformat()
        if isinstance(target, ma.Boolean):
            return _yes_or_no(cell)
        if isinstance(target, ma.List):
            return cell.replace(",", " ").replace(";", " ").split()
        if isinstance(target, ma.String) and not isinstance(target, Text):
            return words.choice(name, cell)
        return cell

    def _quantity(self, target: Quantity, column: Column, cell: str) -> float:
        read = read_duration_s if target.unit == "s" else read_number
        value, unit = read(cell, self.style)
        return round(convert(value, unit or column.unit, target.unit), 6)

    def _whole(self, name: str, column: Column, cell: str) -> dict:
        """A taste in a word, or a hardness with the unit of its cell or its column."""
        if name == "taste":
            if (found := words.taste(cell)) is None:
                known = ", ".join(words.TASTES)
                raise Unreadable(f"“{cell}” is no taste known here: use one of {known}, or move it to a note")
            return found
        value, unit = read_number(cell, self.style)
        unit = unit or column.unit
        return {"value": round(value, 6), "unit": water_unit(name, unit) if unit else None}

    def _instant(self, cell: str) -> str:
        """An instant with its offset as it is; a local one by the site's zone."""
        try:
            parse_instant(cell)
            return cell
        except (ValueError, OverflowError):
            pass
        day, _, clock = cell.replace("T", " ").replace(",", " ").partition(" ")
        return local_instant(read_date(day, self.style), self._clock(clock), self.zone)

    def _clock(self, cell: str) -> dt.time:
        if not is_blank(cell):
            return read_clock(cell)
        if self.clock is None:
            raise Unreadable(
                "tells no time of day: add a column with it, or give one for all rows (--at 12:00)"
            )
        return self.clock

    def _put_together(self, said: Said) -> None:
        """What needs two cells: a day and its time, a hardness and its unit."""
        day, clock = said.fields.pop("date", None), said.fields.pop("clock", "")
        if day is not None and self.kind.at and self.kind.at not in said.fields:
            self._put_at(said, day, clock)
        for name, of in WATER_UNITS.items():
            unit = said.fields.pop(name, None)
            self._put_unit(said, of, unit)

    def _put_at(self, said: Said, day: str, clock: str) -> None:
        day, _, rest = day.partition(" ")
        column = "date"
        try:
            date = read_date(day, self.style)
            column = "clock"
            said.fields[self.kind.at] = local_instant(date, self._clock(clock or rest), self.zone)
        except Unreadable as wrong:
            header = self.header_of(column) or self.header_of("date")
            said.wrong.append(Wrong(said.line, self.kind.at, header, str(wrong)))

    def _put_unit(self, said: Said, of: str, unit: str | None) -> None:
        amount = said.fields.get(of)
        if not isinstance(amount, dict) or amount.get("unit"):
            return
        try:
            amount["unit"] = water_unit(of, unit or "")
        except UnknownUnit as wrong:
            said.wrong.append(Wrong(said.line, of, self.header_of(of), str(wrong)))
            del said.fields[of]


def _yes_or_no(cell: str) -> bool:
    if cell.lower() in YES:
        return True
    if cell.lower() in NO:
        return False
    raise Unreadable(f"“{cell}” is neither yes nor no")
