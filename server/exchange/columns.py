"""Recognises the columns of a typed-up log by their headers: our field names, trade words, and units at their end."""

import re
from dataclasses import dataclass

from server.exchange.csv_reading import FileRefused
from server.exchange.headers import ASIDE, NEEDED, TIME_WORDS, WORDS, plain
from server.exchange.units import is_unit
from server.records.kind import Kind, Whole
from server.records.kinds import KINDS

UNIT_AT_END = re.compile(r"^(.*?)\s*(?:[(\[{]\s*([^)\]}]*?)\s*[)\]}]|[,/]\s*([^,/()\[\]]+)|\bin\s+(\S+))\s*$")


@dataclass(frozen=True)
class Column:
    """One column that was recognised: what it holds, where it is, its header as written, the unit in its header."""

    field: str
    index: int
    header: str
    unit: str = ""


def split_unit(header: str) -> tuple[str, str]:
    """A header's words and the unit that they end in.

    >>> split_unit("Dose (g)"), split_unit("Time [s]"), split_unit("Yield g"), split_unit("Coffee")
    (('Dose', 'g'), ('Time', 's'), ('Yield', 'g'), ('Coffee', ''))
    """
    if (found := UNIT_AT_END.match(header.strip())) and found[1]:
        return found[1], next(part for part in found.groups()[1:] if part is not None)
    words, _, last = header.strip().rpartition(" ")
    return (words, last) if words and is_unit(last) else (header.strip(), "")


def own_names(kind: Kind) -> dict[str, str]:
    """The names under which an export of ours writes a kind's fields, as headers are compared."""
    names = {}
    for name, field in kind.fields.items():
        inner = field.schema.fields if isinstance(field, Whole) else {}
        for path in (name, *(f"{name}.{part}" for part in inner)):
            names[plain(path)] = path
    return names


class Vocabulary:
    """Every header that a kind's columns are known by."""

    def __init__(self, kind_name: str):
        self.kind = KINDS[kind_name]
        self.words = own_names(self.kind)
        for field, synonyms in {**ASIDE[kind_name], **WORDS[kind_name]}.items():
            for word in (field, *synonyms):
                self.words.setdefault(plain(word), field)

    @property
    def fields(self) -> set[str]:
        return set(self.words.values())

    def column(self, index: int, header: str) -> Column | None:
        """What a header stands for; None if it isn't known. Whole headers come before those that end in a unit."""
        if field := self.words.get(plain(header)):
            return Column(field, index, header)
        words, unit = split_unit(header)
        field = self.words.get(plain(words))
        if field is None and plain(words) in TIME_WORDS:
            field = self._time(unit)
        return Column(field, index, header, unit) if field else None

    def _time(self, unit: str) -> str | None:
        """What "time" means: of a shot with a unit how long it ran, without one that is still open."""
        if self.kind.name == "shot":
            return "time_s" if unit else "time?"
        return "clock" if "clock" in self.fields else None


def recognise(
    kind_name: str, header: tuple[str, ...], named: dict[str, str]
) -> tuple[list[Column], list[str]]:
    """The columns of a kind among `header`, and the headers left over. `named` is {our field: their header}.

    Raises FileRefused where a column is missing or two would fill the same field.
    """
    vocabulary = Vocabulary(kind_name)
    given = _given(vocabulary, header, named)
    taken = {column.index for column in given}
    found = [vocabulary.column(i, text) for i, text in enumerate(header) if i not in taken and text]
    columns = _settle_time(given + [column for column in found if column and column.field not in named])
    _no_twice(columns)
    left = [text for i, text in enumerate(header) if text and i not in {column.index for column in columns}]
    return sorted(columns, key=lambda column: column.index), left


def missing(kind_name: str, columns: list[Column]) -> list[str]:
    """The needed fields that no column fills."""
    fields = {column.field for column in columns}
    return [group[0] for group in NEEDED[kind_name] if not fields & set(group)]


def _given(vocabulary: Vocabulary, header: tuple[str, ...], named: dict[str, str]) -> list[Column]:
    places, columns = {plain(text): i for i, text in enumerate(header)}, []
    for field, theirs in named.items():
        if field not in vocabulary.fields:
            raise FileRefused(
                "map", f"{field} is no field of a {vocabulary.kind.name}: use one of {_list(vocabulary)}"
            )
        if plain(theirs) not in places:
            raise FileRefused(
                "map", f"there is no column “{theirs}”: the file has {', '.join(filter(None, header))}"
            )
        index = places[plain(theirs)]
        columns.append(Column(field, index, header[index], split_unit(header[index])[1]))
    return columns


def _list(vocabulary: Vocabulary) -> str:
    return ", ".join(sorted(vocabulary.fields))


def _settle_time(columns: list[Column]) -> list[Column]:
    fields = {column.field for column in columns}
    means = "time_s" if "time_s" not in fields else "clock"
    return [Column(means, c.index, c.header, c.unit) if c.field == "time?" else c for c in columns]


def _no_twice(columns: list[Column]) -> None:
    seen: dict[str, Column] = {}
    for column in columns:
        if (first := seen.setdefault(column.field, column)) is not column:
            both = f"“{first.header}” and “{column.header}”"
            raise FileRefused(column.field, f"could be {both}: say which with --map {column.field}=...")
