"""Finds the table in a file: which row is its header, what kind of record it holds, what each column is."""

from dataclasses import dataclass, field
from itertools import islice

from server.exchange.columns import Column, missing, recognise
from server.exchange.csv_reading import CsvFile, FileRefused, Row

IMPORTED = ("shot", "bag", "water")
HEADER_ROWS = 10  # a sheet may have a title above its header


@dataclass(frozen=True)
class Layout:
    """One row read as the header of one kind."""

    kind: str
    header: Row
    columns: list[Column] = field(default_factory=list)
    ignored: list[str] = field(default_factory=list)

    @property
    def missing(self) -> list[str]:
        return missing(self.kind, self.columns)


def layout(table: CsvFile, kind: str | None, named: dict[str, str]) -> Layout:
    """The header is the row among the first few that makes most sense as one. Raises FileRefused where none does."""
    if kind not in (None, *IMPORTED):
        raise FileRefused("kind", f"is none that can be imported: use one of {', '.join(IMPORTED)}")
    kinds = [kind] if kind else list(IMPORTED)
    top = list(islice(table.rows(), HEADER_ROWS))
    if not top:
        raise FileRefused("file", "has no rows: export the sheet again, with its header row")
    tried, refused = [], None
    for one in kinds:
        for row in top:
            try:
                tried.append(Layout(one, row, *recognise(one, row.cells, named)))
            except FileRefused as wrong:  # not a header then; said if nothing else is one either
                refused = refused or wrong
    whole = [one for one in tried if not one.missing]
    if not whole:
        raise refused or _no_header(kinds, max(tried, key=lambda one: len(one.columns)))
    most = max(len(one.columns) for one in whole)
    best = [one for one in whole if len(one.columns) == most]
    if len({one.kind for one in best}) > 1:
        raise FileRefused("kind", f"could be {' or '.join(one.kind for one in best)}: say which with --kind")
    return best[0]


def _no_header(kinds: list[str], nearest: Layout) -> FileRefused:
    seen = ", ".join(cell for cell in nearest.header.cells if cell)
    if len(kinds) > 1 and not nearest.columns:
        return FileRefused(
            "file", f"has no header that is known here ({seen}): use --kind and --map OURS=THEIRS"
        )
    lacking = ", ".join(nearest.missing)
    return FileRefused(
        lacking, f"has no column for a {nearest.kind}: name it with --map OURS=THEIRS; there is {seen}"
    )
