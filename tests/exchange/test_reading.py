"""Files as spreadsheets write them: encodings, separators, titles, quotation marks."""

import io

import pytest

from server.exchange.columns import recognise
from server.exchange.csv_reading import CsvFile, FileRefused
from server.exchange.layout import layout

TEXT = (
    "Datum;Röstdatum;Dosis (g);Bemerkung\r\n"
    '01.03.2026;20.02.2026;18,5;"süß, ""rund"""\r\n'
    "02.03.2026;20.02.2026;18,0;\r\n"
)


def table(data) -> CsvFile:
    return CsvFile(io.BytesIO(data if isinstance(data, bytes) else data.encode()))


def cells(data) -> list[tuple[str, ...]]:
    return [row.cells for row in table(data).rows()]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_a_file_reads_the_same_in_every_encoding_that_spreadsheets_write(encoding):
    assert cells(TEXT.encode(encoding)) == cells(TEXT)
    assert cells(TEXT)[1] == ("01.03.2026", "20.02.2026", "18,5", 'süß, "rund"')


@pytest.mark.parametrize("separator", [";", ",", "\t"])
def test_the_separator_is_found_though_numbers_have_decimal_commas(separator):
    def written(value: str) -> str:
        return f'"{value}"' if separator in value else value

    rows = [("Dose (g)", "Yield (g)", "Time (s)"), ("18,1", "36,2", "28,3"), ("18,0", "35,9", "27,6")]
    data = "".join(separator.join(map(written, row)) + "\n" for row in rows)

    assert table(data).separator == separator
    assert cells(data) == rows


def test_a_file_is_cut_at_commas_where_its_numbers_have_points():
    assert cells("dose,yield,time\n18.0,36.0,28\n")[1] == ("18.0", "36.0", "28")


def test_a_first_line_that_names_the_separator_is_obeyed_and_not_read_as_a_row():
    data = "sep=;\r\na;b\r\n1,5;2,5\r\n"

    assert [(row.line, row.cells) for row in table(data).rows()] == [(2, ("a", "b")), (3, ("1,5", "2,5"))]


def test_the_rules_of_rfc_4180_hold():
    # RFC 4180 section 2, rules 5 to 7, with its own examples.
    data = '"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx\r\n"aaa","b""bb","ccc"'

    assert [(row.line, row.cells) for row in table(data).rows()] == [
        (1, ("aaa", "b\r\nbb", "ccc")),
        (3, ("zzz", "yyy", "xxx")),
        (4, ("aaa", 'b"bb', "ccc")),
    ]


def test_empty_rows_are_left_out_and_still_counted():
    assert [row.line for row in table("a;b\n\n;;\n1;2\n").rows()] == [1, 4]


@pytest.mark.parametrize(
    "data", [b"", b"\r\n\r\n", b"\xef\xbb\xbf"], ids=["no bytes", "no text", "a mark only"]
)
def test_an_empty_file_is_refused(data):
    with pytest.raises(FileRefused, match="empty"):
        table(data)


def test_a_file_with_one_column_is_refused():
    with pytest.raises(FileRefused, match="one column only"):
        table("dose\n18\n")


def test_a_quotation_mark_without_its_partner_refuses_the_file_with_the_line():
    with pytest.raises(FileRefused, match="quotation mark"):
        cells('a;b\n1;2\n"3;4\n5;6\n')


def test_a_picture_is_refused():
    with pytest.raises(FileRefused):
        layout(table(b"\x89PNG\r\n\x1a\n\x00\x00\x81\x8d\x8f,\x90\x9d;\x81"), None, {})


GERMAN_SHOT = (
    "Datum",
    "Uhrzeit",
    "Bohne",
    "Röstdatum",
    "Dosis (g)",
    "Ertrag [g]",
    "Bezugszeit s",
    "Mahlgrad",
    "Barista",
    "Bemerkung",
)
ENGLISH_SHOT = (
    "Date",
    "Time",
    "Coffee",
    "Roasted on",
    "Dose in g",
    "Out, g",
    "Time (s)",
    "Grind",
    "Who",
    "Notes",
)
MEANT = ["date", "clock", "coffee", "roasted_on", "dose_g", "yield_g", "time_s", "setting", "person", "note"]


@pytest.mark.parametrize("header", [GERMAN_SHOT, ENGLISH_SHOT], ids=["German", "English"])
def test_columns_are_known_by_trade_words_with_units_in_any_form(header):
    columns, left = recognise("shot", header, {})

    assert [column.field for column in columns] == MEANT
    assert left == []
    assert {column.unit for column in columns if column.field.endswith("_g")} == {"g"}


def test_time_alone_is_how_long_it_ran_where_no_other_column_is():
    columns, _ = recognise("shot", ("Dose", "Yield", "Time"), {})

    assert [column.field for column in columns] == ["dose_g", "yield_g", "time_s"]


def test_our_own_names_are_known_with_a_dot_for_a_field_in_a_field():
    columns, left = recognise("shot", ("id", "dose_g", "taste.acidity", "bag_id", "ratio"), {})

    assert [column.field for column in columns] == ["id", "dose_g", "taste.acidity", "bag_id"]
    assert left == ["ratio"]


def test_a_column_can_be_named_by_hand():
    columns, left = recognise("shot", ("A", "Out", "Cup"), {"dose_g": "a", "yield_g": "Cup"})

    assert [(column.field, column.header) for column in columns] == [("dose_g", "A"), ("yield_g", "Cup")]
    assert left == ["Out"]


def test_naming_a_column_or_a_field_that_is_not_there_is_refused():
    with pytest.raises(FileRefused, match="no column “Weight”"):
        recognise("shot", ("A", "B"), {"dose_g": "Weight"})
    with pytest.raises(FileRefused, match="no field of a shot"):
        recognise("shot", ("A", "B"), {"brew_ratio": "A"})


def test_two_columns_for_one_field_are_refused_with_both_named():
    with pytest.raises(FileRefused, match="“Dose” and “Dosis”"):
        recognise("shot", ("Dose", "Dosis", "Out"), {})


@pytest.mark.parametrize(
    ("header", "kind"),
    [
        ("Date;Time;Dose;Yield;Seconds", "shot"),
        ("Kaffee;Röstdatum;Gewicht (kg);Charge", "bag"),
        ("Datum;Quelle;Gesamthärte (°dH);KH (°dH);pH", "water"),
    ],
)
def test_the_kind_is_found_out_from_the_headers(header, kind):
    assert layout(table(f"{header}\n{header}\n"), None, {}).kind == kind


def test_a_title_above_the_table_is_not_taken_for_its_header():
    found = layout(
        table("Shots of February;;;\n;;;\nDate;Dose (g);Yield (g);Time (s)\n2026-02-01;18;36;28\n"), None, {}
    )

    assert (found.kind, found.header.line) == ("shot", 3)


def test_a_table_of_something_else_is_refused_with_its_headers():
    with pytest.raises(FileRefused, match="Invoice"):
        layout(table("Invoice;Amount\n1;2\n"), None, {})


def test_a_missing_column_is_named_with_the_remedy():
    with pytest.raises(FileRefused, match="yield_g: has no column for a shot: name it with --map"):
        layout(table("Dose;Time (s)\n18;28\n"), "shot", {})
