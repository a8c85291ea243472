"""Sixty rows as a spreadsheet exports them, ten of them wrong in ten ways, one typed twice."""

from pathlib import Path

import pytest
from sqlalchemy import func, select

from server.store.database import reading
from server.store.tables import Entry, RefusedEntry

LOG = (Path(__file__).parent / "paper_log.csv").read_bytes()
# Line of the file: the field at fault, the header of its column, a word that the remedy must contain.
WRONG = {
    8: ("dose_g", "Dose (g)", "above 0"),
    13: ("dose_g", "Dose (g)", "not a number"),
    19: ("yield_g", "Yield g", "at most 3000"),
    24: ("pulled_at", "Date", "future"),
    28: ("pulled_at", "Date", "calendar"),
    33: ("yield_g", "Yield g", "needed"),
    38: ("time_s", "Time [s]", "not a number"),
    43: ("bag_id", "Coffee", "Tarn Hollow"),
    48: ("person_id", "Barista", "--create person"),
    54: ("row", "", "quotation marks"),
}


@pytest.fixture
def result(take, shelf):
    return take(LOG)


def count(app, table) -> int:
    with app.app_context(), reading() as session:
        return session.execute(select(func.count()).select_from(table)).scalar()


def test_every_good_row_arrives(result, all_of):
    assert (result.kind, result.rows, result.stored) == ("shot", 60, 49)
    assert len(all_of("shots")) == 49


def test_each_bad_row_is_listed_with_its_line_its_field_and_the_remedy(result):
    assert {w.line: (w.field, w.column) for w in result.wrong} == {n: said[:2] for n, said in WRONG.items()}
    assert len(result.wrong) == 10
    for wrong in result.wrong:
        assert WRONG[wrong.line][2] in wrong.remedy


def test_nothing_of_a_bad_row_is_stored_anywhere(app, shelf, take):
    before = count(app, Entry)
    result = take(LOG)

    assert count(app, Entry) - before == result.stored == 49
    assert count(app, RefusedEntry) == 0


def test_a_row_typed_twice_is_recognised_though_it_is_written_differently(result):
    assert result.repeated == [(41, 37)]


def test_a_second_run_adds_nothing(app, result, take):
    before = count(app, Entry)
    again = take(LOG)

    assert (again.stored, again.known, again.repeated, len(again.wrong)) == (0, 49, [(41, 37)], 10)
    assert count(app, Entry) == before


def test_a_second_run_adds_nothing_even_after_a_bag_was_added_that_would_fit_as_well(
    manager, result, take, shelf
):
    coffee_id = shelf["coffees"]["Tarn Hollow"]
    manager.add("bags", coffee_id=coffee_id, roasted_on="2026-02-20", mass_g=1000)

    assert take(LOG).stored == 0


def test_a_dry_run_says_the_same_and_stores_nothing(app, shelf, take):
    before = count(app, Entry)
    dry = take(LOG, dry_run=True)

    assert (dry.stored, len(dry.repeated), len(dry.wrong), dry.dry_run) == (49, 1, 10, True)
    assert count(app, Entry) == before
    assert take(LOG).stored == 49


def test_the_figures_are_those_of_the_sheet(result, all_of, shelf):
    shots = {shot["pulled_at"]: shot for shot in all_of("shots")}

    second = shots["2026-02-02T11:54:00+00:00"]  # line 3
    assert (second["dose_g"], second["yield_g"], second["time_s"], second["first_drop_s"]) == (
        17.9,
        36.8,
        27.3,
        5.8,
    )
    assert (second["setting"], second["note"]) == (7.5, 'first of the day, "warm"')
    assert second["bag_id"] == shelf["bags"]["Tarn Hollow", "2026-01-20"]
    assert second["person_id"] == shelf["people"]["Teo"]
    measured = shots["2026-02-03T07:09:00+00:00"]  # line 5: 38.7 g x 10.63 % / 18.2 g
    assert measured["extraction_pct"] == pytest.approx(38.7 * 10.63 / 18.2)


def test_minutes_and_seconds_are_seconds_and_both_date_styles_are_dates(result, all_of):
    shots = {shot["pulled_at"]: shot for shot in all_of("shots")}

    assert shots["2026-02-02T15:50:00+00:00"]["time_s"] == 30.0  # line 4: 0:30
    assert shots["2026-02-14T15:02:00+00:00"]["time_s"] == 25.0  # line 40: 14.02.2026, 0:25


def test_blank_cells_leave_their_field_out(result, all_of):
    shots = {shot["pulled_at"]: shot for shot in all_of("shots")}

    first = shots["2026-02-02T07:28:00+00:00"]
    assert first.keys().isdisjoint({"first_drop_s", "strength_pct", "note"})
    assert "note" not in shots["2026-02-13T07:58:00+00:00"]  # line 35: n/a


def test_a_log_without_the_names_made_first_can_make_them(manager, site_id, take, all_of):
    result = take(LOG, create=frozenset({"coffee", "person", "bag"}))

    assert {person["name"] for person in all_of("people")} == {"Ida", "Teo", "Jonas"}
    assert {coffee["name"] for coffee in all_of("coffees")} == {"Tarn Hollow", "Ember Ridge", "Tarn Holow"}
    assert result.stored == 51
    assert sorted({creation.kind for creation in result.created}) == ["bag", "coffee", "person"]


def test_a_dry_run_makes_no_names_either(manager, site_id, take, all_of):
    result = take(LOG, create=frozenset({"coffee", "person", "bag"}), dry_run=True)

    assert result.stored == 51
    assert [all_of(plural) for plural in ("people", "coffees", "bags", "shots")] == [[], [], [], []]
