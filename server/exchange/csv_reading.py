"""Reads a table as a spreadsheet exports it, whatever its encoding, its separator and its line ends."""

import codecs
import csv
import io
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

SEPARATORS = {";": "semicolon", ",": "comma", "\t": "tab"}
SAMPLE_BYTES = 65_536
SAMPLE_ROWS = 40
CHUNK_BYTES = 1 << 20


class FileRefused(ValueError):
    """The file as a whole can't be taken; nothing of it was. `field` names what is at fault, `remedy` what to do."""

    def __init__(self, field: str, remedy: str):
        super().__init__(f"{field}: {remedy}")
        self.field, self.remedy = field, remedy


@dataclass(frozen=True)
class Row:
    """One row: the line of the file that it starts on, counted from 1, and its cells without the space around them."""

    line: int
    cells: tuple[str, ...]


class CsvFile:
    """A table in a binary stream that can be rewound. Rows are read one at a time, as often as asked for."""

    def __init__(self, stream: BinaryIO):
        self._stream = stream
        self.encoding = _encoding(stream)
        sample = self._sample()
        if not sample.strip():
            raise FileRefused("file", "is empty: export the sheet again, with its header row")
        self.separator = _separator(sample)

    def rows(self) -> Iterator[Row]:
        """Every row that has anything in it. Raises FileRefused where the quotation marks don't match."""
        self._stream.seek(0)
        text = io.TextIOWrapper(self._stream, encoding=self.encoding, newline="")
        reader = csv.reader(_without_separator_line(text), delimiter=self.separator, strict=True)
        line = 1
        try:
            for cells in reader:
                start, line = line, reader.line_num + 1
                tidy = tuple(cell.strip(" \t\r\n\u00a0\ufeff") for cell in cells)
                if any(tidy):
                    yield Row(start, tidy)
        except csv.Error as wrong:
            remedy = (
                f"can't be read from line {line} on ({wrong}): look for a quotation mark without its partner"
            )
            raise FileRefused("file", remedy) from wrong
        finally:
            text.detach()

    def _sample(self) -> str:
        self._stream.seek(0)
        return self._stream.read(SAMPLE_BYTES).decode(self.encoding, errors="ignore")


def _encoding(stream: BinaryIO) -> str:
    """What the bytes are written in: by their mark, else UTF-8 if all of it is, else the Windows code page."""
    stream.seek(0)
    start = stream.read(4096)
    if start.startswith(codecs.BOM_UTF8):
        return "utf-8-sig"
    if start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    if start.count(0) > len(start) // 4:  # text in a Latin script, two bytes to the letter, without a mark
        return "utf-16-le" if start[1::2].count(0) >= start[::2].count(0) else "utf-16-be"
    for encoding in ("utf-8", "cp1252"):
        if _is_all(stream, encoding):
            return encoding
    raise FileRefused("file", "is in an encoding that can't be told: save it as CSV in UTF-8")


def _is_all(stream: BinaryIO, encoding: str) -> bool:
    decoder = codecs.getincrementaldecoder(encoding)()
    stream.seek(0)
    try:
        while chunk := stream.read(CHUNK_BYTES):
            decoder.decode(chunk)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def _separator(sample: str) -> str:
    """The separator that cuts the most rows into as many cells as the first of them has.

    A decimal comma must not be taken for one, and a title above the table has none: so how well the rows agree counts.
    """
    lines = sample.splitlines()
    if lines[0].lower().startswith("sep=") and lines[0][4:5] in SEPARATORS:
        return lines[0][4]
    best = max(SEPARATORS, key=lambda separator: _agreement(lines, separator))
    if _agreement(lines, best) == (0, 0):
        raise FileRefused(
            "file", "has one column only: export it as CSV, separated by commas, semicolons or tabs"
        )
    return best


def _agreement(lines: list[str], separator: str) -> tuple[int, int]:
    try:
        rows = [cells for cells in csv.reader(lines, delimiter=separator) if len(cells) > 1][:SAMPLE_ROWS]
    except csv.Error:
        return 0, 0
    if not rows:
        return 0, 0
    width, agreeing = Counter(map(len, rows)).most_common(1)[0]
    header_agrees = len(rows[0]) == width
    return (2 * agreeing if header_agrees else agreeing), width


def _without_separator_line(text: Iterator[str]) -> Iterator[str]:
    """Blanks the line `sep=;` that some spreadsheets put first; the count of lines stays right."""
    for number, line in enumerate(text):
        yield "\r\n" if number == 0 and line.lower().startswith("sep=") else line
