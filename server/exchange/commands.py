"""The subcommands of `evenpull` that move data in and out."""

import argparse
import datetime as dt
import os
import sys
from pathlib import Path

from server.clock import now
from server.exchange.csv_reading import FileRefused
from server.exchange.exporting import FORMATS, ExportRefused, export_lines
from server.exchange.importing import Result, Wanted, import_csv
from server.exchange.layout import IMPORTED
from server.exchange.names import CREATABLE
from server.exchange.values import Unreadable, read_clock

SEPARATOR_NAMES = {";": "semicolons", ",": "commas", "\t": "tabs"}


def add_commands(commands, open_app) -> None:
    """Add them to the parser. `open_app()` gives the app on the store that the environment names."""
    _add_import(commands, open_app)
    _add_export(commands, open_app)


def _command(commands, name: str, summary: str, example: str, run) -> argparse.ArgumentParser:
    raw = argparse.RawDescriptionHelpFormatter
    parser = commands.add_parser(
        name, help=summary, description=summary, epilog=f"example: {example}", formatter_class=raw
    )
    parser.set_defaults(run=run)
    return parser


def _add_import(commands, open_app) -> None:
    summary = "take in shots, bags or waters that were typed up from paper or kept in a spreadsheet"
    example = (
        'evenpull import log.csv --site "Lantern Quay" --create person --map dose_g="Coffee in" --dry-run'
    )
    parser = _command(commands, "import", summary, example, lambda arguments: _import(arguments, open_app))
    parser.add_argument("file", metavar="FILE.csv", type=Path, help="separated by commas, semicolons or tabs")
    parser.add_argument(
        "--kind", type=_singular, choices=IMPORTED, help="what a row is; found out from the headers"
    )
    parser.add_argument(
        "--site", help="name or id of the site that it is from; needed where there are several"
    )
    parser.add_argument("--map", metavar="OURS=THEIRS", action="append", default=[], type=_pair,
                        help="a field of ours and the header of the column that holds it; may be repeated")  # fmt: skip
    parser.add_argument("--create", metavar="KIND", action="append", default=[], choices=CREATABLE,
                        help=f"let new names be made: {', '.join(CREATABLE)}; may be repeated")  # fmt: skip
    parser.add_argument(
        "--dates", choices=("day", "month"), help="what comes first in a date such as 1/3/2026"
    )
    parser.add_argument(
        "--at", metavar="HH:MM", type=_clock, help="time of day for rows that tell none (a water: 12:00)"
    )
    parser.add_argument("--dry-run", action="store_true", help="say what would happen, and store nothing")


def _import(arguments, open_app) -> int:
    wanted = Wanted(
        kind=arguments.kind,
        site=arguments.site,
        columns=dict(arguments.map),
        create=frozenset(arguments.create),
        dates=arguments.dates,
        clock=arguments.at,
        dry_run=arguments.dry_run,
    )
    try:
        with arguments.file.open("rb") as stream, open_app().app_context():
            result = import_csv(stream, wanted, now())
    except OSError as wrong:
        print(f"{arguments.file}: {wrong.strerror}", file=sys.stderr)
        return 2
    except FileRefused as refused:
        print(f"{arguments.file}: nothing was taken. {refused}", file=sys.stderr)
        return 2
    print("\n".join(said(result)))
    return 2 if result.wrong else 0


def said(result: Result) -> list[str]:
    """What became of a file, in lines to read."""
    taken = "would be taken" if result.dry_run else "taken"
    lines = [f"{result.rows} rows of {result.kind}s, read as {result.encoding} separated by "
             f"{SEPARATOR_NAMES[result.separator]}: {result.stored} {taken}, {result.known} there already, "
             f"{len(result.repeated)} repeated, {result.wrong_rows} not taken"]  # fmt: skip
    lines += [f"made: {creation.kind} {creation.called}" for creation in result.created]
    if result.ignored:
        lines.append(f"columns left alone: {', '.join(result.ignored)}")
    lines += [f"line {line}: says the same as line {first}; taken once" for line, first in result.repeated]
    for wrong in sorted(result.wrong, key=lambda wrong: wrong.line):
        column = f" (column “{wrong.column}”)" if wrong.column else ""
        lines.append(f"line {wrong.line}: {wrong.field}{column} {wrong.remedy}")
    if result.wrong:
        lines.append("Correct those lines and run it again: what was taken is recognised.")
    return lines


def _add_export(commands, open_app) -> None:
    summary = "write records out with their computed figures"
    example = "evenpull export shots --format csv --since 2026-03-01T00:00:00+00:00 > shots.csv"
    parser = _command(commands, "export", summary, example, lambda arguments: _export(arguments, open_app))
    parser.add_argument("kind", metavar="KIND", help="such as shots, bags, waters, tallies")
    parser.add_argument("--format", choices=FORMATS, default="csv", help="%(default)s unless given")
    parser.add_argument(
        "--since", metavar="T", help="from this instant on, such as 2026-03-01T00:00:00+01:00"
    )
    parser.add_argument("--until", metavar="T", help="before this instant")


def _export(arguments, open_app) -> int:
    # newline="" keeps the CRLF of RFC 4180 as it is on every platform.
    sys.stdout.reconfigure(encoding="utf-8", newline="")
    try:
        with open_app().app_context():
            for line in export_lines(
                arguments.kind, arguments.format, arguments.since, arguments.until, now()
            ):
                sys.stdout.write(line)
    except BrokenPipeError:  # whoever reads has read enough, as `head` does
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except ExportRefused as refused:
        print(f"{refused.field}: {refused.remedy}", file=sys.stderr)
        return 2
    return 0


def _singular(kind: str) -> str:
    return kind.rstrip("s")


def _pair(text: str) -> tuple[str, str]:
    ours, mark, theirs = text.partition("=")
    if not mark or not ours.strip() or not theirs.strip():
        raise argparse.ArgumentTypeError('write a field of ours and their header, such as dose_g="Coffee in"')
    return ours.strip(), theirs.strip()


def _clock(text: str) -> dt.time:
    try:
        return read_clock(text)
    except Unreadable as wrong:
        raise argparse.ArgumentTypeError(str(wrong)) from wrong
