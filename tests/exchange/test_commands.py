"""`evenpull import` and `evenpull export`, as somebody types them."""

import csv
import io
import json
from pathlib import Path

import pytest

from server.cli import main
from server.store.database import writing
from server.sync.push import Timing, push
from server.sync.sender import Sender
from tests.conftest import NOON

LOG = Path(__file__).parent / "paper_log.csv"
SITE = "01890a5d-ac96-774b-bcce-b302099a8057"


@pytest.fixture
def store(tmp_path, monkeypatch):
    """A store with a site, named by the environment."""
    from server import create_app
    from server.settings import Settings

    monkeypatch.setenv("EVENPULL_DATA", str(tmp_path))
    monkeypatch.delenv("EVENPULL_DATABASE_URL", raising=False)
    app = create_app(Settings.from_environment(), lambda: NOON)
    fields = {"name": "Lantern Quay", "time_zone": "Europe/Lisbon"}
    entry = {
        "entry_id": SITE,
        "record_id": SITE,
        "kind": "site",
        "fields": fields,
        "replica_id": SITE,
        "n": 1,
    }
    with app.app_context(), writing() as session:
        sender = Sender(phone_id=None, site_id=None, is_manager=True)
        push(
            session, [{**entry, "made_at": "2026-02-01T08:00:00Z", "protocol": 1}], sender, Timing(NOON, NOON)
        )
    return app


def run(capsys, *words) -> tuple[int, str, str]:
    status = main([str(word) for word in words])
    said = capsys.readouterr()
    return status, said.out, said.err


def test_the_log_is_taken_and_each_bad_line_is_named(store, capsys):
    create = [word for kind in ("coffee", "person", "bag") for word in ("--create", kind)]
    status, out, _ = run(capsys, "import", LOG, *create)

    assert status == 2  # some rows were not taken
    assert "60 rows of shots" in out
    assert "51 taken, 0 there already, 1 repeated, 8 not taken" in out
    assert "line 19: yield_g (column “Yield g”)" in out
    assert "line 41: says the same as line 37" in out


def test_a_second_run_says_that_all_is_there_already(store, capsys):
    create = [word for kind in ("coffee", "person", "bag") for word in ("--create", kind)]
    run(capsys, "import", LOG, *create)

    assert "0 taken, 51 there already" in run(capsys, "import", LOG, *create)[1]


def test_a_dry_run_stores_nothing(store, capsys, tmp_path):
    small = tmp_path / "log.csv"
    small.write_text("date;clock;in;Cup;Time [s]\n2026-02-01;8:05;18,1;36,2;28\n", encoding="utf-8")
    status, out, _ = run(capsys, "import", small, "--kind", "shots", "--map", "yield_g=Cup", "--dry-run")

    assert (status, "1 would be taken" in out) == (0, True)
    assert run(capsys, "export", "shots", "--format", "jsonl")[1] == ""


def test_a_file_that_can_t_be_taken_says_why_and_what_to_do(store, capsys, tmp_path):
    wrong = tmp_path / "wrong.csv"
    wrong.write_text("a;b\n1;2\n", encoding="utf-8")
    status, out, err = run(capsys, "import", wrong)

    assert (status, out) == (2, "")
    assert "nothing was taken" in err
    assert "--map" in err


def test_a_file_that_isn_t_there_is_an_error_and_no_trace(store, capsys, tmp_path):
    status, _, err = run(capsys, "import", tmp_path / "nowhere.csv")

    assert status == 2
    assert "nowhere.csv" in err


@pytest.mark.parametrize(
    "words", [("--map", "dose_g"), ("--at", "noon"), ("--dates", "year"), ("--create", "site")]
)
def test_an_option_that_can_t_be_understood_is_refused(store, capsys, words):
    with pytest.raises(SystemExit) as stopped:
        main(["import", str(LOG), *words])
    assert stopped.value.code == 2


def test_what_was_imported_is_exported_in_both_forms(store, capsys, tmp_path):
    small = tmp_path / "log.csv"
    small.write_text(
        "date;clock;dose;yield;Time [s];note\n2026-02-01;8:05;18,1;36,2;28;süß\n", encoding="cp1252"
    )
    run(capsys, "import", small)
    _, table, _ = run(capsys, "export", "shots")
    _, lines, _ = run(capsys, "export", "shot", "--format", "jsonl", "--since", "2026-02-01T00:00:00Z")

    row, record = next(csv.DictReader(io.StringIO(table, newline=""))), json.loads(lines)
    assert (row["dose_g"], row["note"], row["ratio"]) == ("18.1", "süß", "2.0")
    assert (record["dose_g"], record["note"], record["ratio"]) == (18.1, "süß", 2.0)


def test_an_export_of_nothing_known_is_refused(store, capsys):
    assert run(capsys, "export", "lattes")[0] == 2
    assert run(capsys, "export", "shots", "--since", "monday")[0] == 2


@pytest.mark.parametrize("name", ["import", "export"])
def test_help_ends_with_an_example(capsys, name):
    with pytest.raises(SystemExit):
        main([name, "--help"])
    assert f"example: evenpull {name} " in capsys.readouterr().out
