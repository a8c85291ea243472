"""Records out as a table and as JSON lines: nothing runs as a formula, and everything comes back as it was."""

import csv
import io
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.exchange.exporting import columns_of, export_lines
from server.exchange.guarding import guarded, unguarded
from server.records.kinds import KINDS
from server.store.database import writing
from server.sync.push import Timing, push
from server.sync.sender import Sender
from tests.conftest import NOON

NOTES = ['said "rund", süß', "=1+1", "+351", "-2 sour", "@home", "'tis", "two\nlines", "semi;colon, comma"]


@pytest.fixture
def shots(manager, shelf, site_id):
    bag_id = shelf["bags"]["Tarn Hollow", "2026-01-20"]
    common = {"site_id": site_id, "bag_id": bag_id, "person_id": shelf["people"]["Ida"]}
    return [
        manager.add(
            "shots",
            pulled_at=f"2026-02-05T08:{number:02d}:00+00:00",
            dose_g=18.0 + number / 10,
            yield_g=36.5,
            time_s=28.0,
            strength_pct=9.5,
            taste={"acidity": -1, "body": 1},
            assumed=["setting"],
            note=note,
            **common,
        )
        for number, note in enumerate(NOTES)
    ]


@pytest.fixture
def lines(app):
    def lines(kind: str, form: str, since=None, until=None) -> str:
        with app.app_context():
            return "".join(export_lines(kind, form, since, until, NOON))

    return lines


def own(record: dict, kind: str) -> dict:
    return {name: record[name] for name in ("id", *KINDS[kind].fields) if name in record}


def test_json_lines_hold_every_record_with_its_computed_figures(shots, lines):
    told = [json.loads(line) for line in lines("shots", "jsonl").splitlines()]

    assert [own(record, "shot") for record in told] == [own(shot, "shot") for shot in reversed(shots)]
    assert all(record["ratio"] == pytest.approx(36.5 / record["dose_g"]) for record in told)
    assert all(record["extraction_pct"] == pytest.approx(36.5 * 9.5 / record["dose_g"]) for record in told)


def test_a_table_has_a_column_for_each_field_and_each_computed_figure(shots, lines):
    rows = list(csv.DictReader(io.StringIO(lines("shots", "csv"), newline="")))

    assert len(rows) == len(shots)
    assert list(rows[0]) == columns_of(KINDS["shot"])
    computed = (
        "ratio",
        "flow_g_s",
        "extraction_pct",
        "u_extraction_pct",
        "time_to_target_s",
        "on_recipe",
        "outside",
    )
    assert {*computed, "rest_days", "stale_days", "freshness", "pulled_at_corrected", "doubts"} <= set(
        rows[0]
    )
    assert float(rows[-1]["ratio"]) == pytest.approx(36.5 / 18.0)


def test_a_table_keeps_to_rfc_4180(shots, lines):
    # RFC 4180 section 2: CRLF after each record, a header, the same number of fields in each, quotes doubled.
    text = lines("shots", "csv")

    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "").replace("two\nlines", "")
    assert '"said ""rund"", süß"' in text
    assert len({len(row) for row in csv.reader(io.StringIO(text, newline=""), strict=True)}) == 1


def test_no_cell_of_text_starts_a_formula(shots, lines):
    # The characters that OWASP's "CSV Injection" page lists; numbers are figures, not text.
    for row in csv.DictReader(io.StringIO(lines("shots", "csv"), newline="")):
        for name, cell in row.items():
            try:
                float(cell)
            except ValueError:
                assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n")), name


@given(st.text())
def test_guarding_is_undone_exactly(text):
    assert unguarded(guarded(text)) == text


@given(st.sampled_from("=+-@\t\r＝＋－＠'"), st.text())
def test_text_that_could_run_is_guarded_whatever_follows(first, rest):
    assert guarded(first + rest) == "'" + first + rest


def test_a_table_that_is_imported_again_adds_nothing(shots, lines, take):
    again = take(lines("shots", "csv"), kind="shot")

    assert (again.stored, again.known, again.wrong) == (0, len(shots), [])


def test_a_table_makes_the_same_records_in_a_store_that_lost_them(app, shots, lines, take, all_of, manager):
    """Records with new ids, since the old ones stay in the ledger: all else is as it was."""
    table = lines("shots", "csv")
    rows = list(csv.DictReader(io.StringIO(table, newline="")))
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, [name for name in rows[0] if name != "id"], extrasaction="ignore")
    writer.writeheader()
    writer.writerows(rows)
    for shot in shots:
        manager.http.delete(f"/api/shots/{shot['id']}")
    assert all_of("shots") == []
    result = take(out.getvalue(), kind="shot")

    assert (result.stored, result.wrong) == (len(shots), [])
    before = [{k: v for k, v in own(shot, "shot").items() if k != "id"} for shot in reversed(shots)]
    after = [{k: v for k, v in own(shot, "shot").items() if k != "id"} for shot in all_of("shots")]
    assert after == before


def test_json_lines_make_the_same_records_in_another_store(app, shots, lines, tmp_path):
    """What a script would do: each line's own fields, posted under its own id."""
    from server import create_app
    from server.settings import Settings, sqlite_url

    told = [json.loads(line) for line in lines("shots", "jsonl").splitlines()]
    other = create_app(Settings(sqlite_url(tmp_path / "other.sqlite3")), lambda: NOON)
    entries = [
        {
            "entry_id": record["id"],
            "record_id": record["id"],
            "kind": "shot",
            "fields": {name: record[name] for name in KINDS["shot"].fields if name in record},
            "replica_id": record["id"],
            "n": 1,
            "made_at": "2026-03-02T11:00:00Z",
            "protocol": 1,
        }
        for record in told
    ]
    with other.app_context(), writing() as session:
        sender = Sender(phone_id=None, site_id=None, is_manager=True)
        receipts = push(session, entries, sender, Timing(NOON, NOON))
    assert {receipt["receipt"] for receipt in receipts} == {"stored"}
    with other.app_context():
        again = [json.loads(line) for line in export_lines("shots", "jsonl", None, None, NOON)]
    assert [own(record, "shot") for record in again] == [own(record, "shot") for record in told]


def test_since_is_included_and_until_is_not(shots, lines):
    told = lines("shots", "jsonl", "2026-02-05T08:02:00Z", "2026-02-05T08:05:00Z").splitlines()

    assert [json.loads(line)["pulled_at"][14:16] for line in told] == ["04", "03", "02"]


def test_more_records_than_one_slice_all_come_once(app, take, site_id, lines):
    rows = "".join(
        f"2026-02-05 {hour:02d}:{minute:02d};18;36;28\n" for hour in range(8) for minute in range(60)
    )
    take("pulled_at;dose_g;yield_g;time_s\n" + rows)
    ids = [json.loads(line)["id"] for line in lines("shots", "jsonl").splitlines()]

    assert len(ids) == len(set(ids)) == 480


@pytest.mark.parametrize("plural", [kind.plural for kind in KINDS.values()])
def test_every_kind_can_be_written_out(lines, shelf, plural):
    table = list(csv.reader(io.StringIO(lines(plural, "csv"), newline="")))

    assert table[0][0] == "id"
    assert len(table) - 1 == len(lines(plural, "jsonl").splitlines())


def test_a_bag_has_its_freshness_and_a_water_its_saturation(manager, shelf, site_id, lines):
    hardness, alkalinity = {"value": 7.0, "unit": "dh"}, {"value": 5.0, "unit": "dh"}
    manager.add(
        "waters",
        sampled_at="2026-02-05T08:00:00Z",
        site_id=site_id,
        hardness=hardness,
        alkalinity=alkalinity,
        ph=7.5,
    )
    bag = next(csv.DictReader(io.StringIO(lines("bags", "csv"), newline="")))
    water = next(csv.DictReader(io.StringIO(lines("waters", "csv"), newline="")))

    assert bag["freshness"] in ("resting", "in_window", "past_window")
    assert (water["hardness.value"], water["hardness.unit"]) == ("7.0", "dh")
    assert float(water["hardness_mg_l_caco3"]) == pytest.approx(
        7 * 17.848, abs=0.05
    )  # 1 °dH is 17.848 mg/L CaCO3


class TestOverHttp:
    @pytest.mark.parametrize(("form", "type_"), [("csv", "text/csv"), ("jsonl", "application/jsonl")])
    def test_the_answer_is_the_file_that_the_command_writes(self, manager, shots, lines, form, type_):
        answer = manager.http.get(f"/api/export/shots.{form}")

        assert (answer.status_code, answer.mimetype) == (200, type_)
        assert answer.get_data(as_text=True) == lines("shots", form)
        assert answer.headers["Content-Disposition"] == f'attachment; filename="shots.{form}"'

    def test_a_phone_and_a_stranger_are_kept_out(self, app, phone, shots):
        assert phone.http.get("/api/export/shots.csv").status_code == 403
        assert app.test_client().get("/api/export/shots.csv").status_code == 401

    @pytest.mark.parametrize(
        ("path", "status", "field"),
        [
            ("/api/export/lattes.csv", 404, "kind"),
            ("/api/export/shots.csv?since=yesterday", 422, "since"),
            ("/api/export/shots.jsonl?until=2026-02-05", 422, "until"),
            ("/api/export/shots.csv?colour=red", 422, "colour"),
            ("/api/export/people.csv?since=2026-02-05T08:00:00Z", 422, "since"),
        ],
    )
    def test_what_is_asked_wrongly_is_refused_by_name(self, manager, shots, path, status, field):
        answer = manager.http.get(path)

        assert (answer.status_code, answer.mimetype) == (status, "application/problem+json")
        assert field in answer.json["errors"]

    def test_one_site_can_be_asked_for(self, manager, shots):
        cart = manager.add("sites", name="Market cart", time_zone="Europe/Lisbon")["id"]

        assert manager.http.get(f"/api/export/shots.jsonl?site_id={cart}").get_data() == b""
