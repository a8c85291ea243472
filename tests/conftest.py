"""What every test of the server shares: an app on a store of its own, a site, a manager and phones on it."""

import datetime as dt
import shutil

import pytest

from server import create_app
from server.ids import uuid7
from server.settings import Settings, sqlite_url
from server.store import access
from server.store.database import db, writing
from tests import postgresql
from tests.world import Person, Phone, Script

NOON = dt.datetime(2026, 3, 2, 12, 0, tzinfo=dt.UTC)
PASSWORD = "a kettle, a spoon, a cup"


class Clock:
    """A clock that stands still until a test moves it."""

    def __init__(self, at: dt.datetime = NOON):
        self.at = at

    def __call__(self) -> dt.datetime:
        return self.at

    def pass_(self, **time) -> None:
        self.at += dt.timedelta(**time)


@pytest.fixture
def clock():
    return Clock()


def pytest_addoption(parser):
    parser.addoption(
        "--store", choices=("sqlite", "postgresql"), default="sqlite", help="the database under the server's tests"
    )


@pytest.fixture(scope="session")
def cluster():
    """A PostgreSQL server for this process's tests; skips them where there is none."""
    if postgresql.programs() is None:
        pytest.skip("no PostgreSQL on this machine")
    cluster = postgresql.Cluster()
    yield cluster
    cluster.stop()


def fill_first(url: str) -> None:
    """Migrate a store and give it a manager: checking and making a password is slow on purpose."""
    app = create_app(Settings(url))
    with app.app_context():
        with writing() as session:
            access.add_manager(session, "Mara", PASSWORD)
        close(app)  # closing the last connection folds SQLite's write-ahead log into the file


def close(app) -> None:
    with app.app_context():
        db.session.remove()
        db.engine.dispose()


@pytest.fixture(scope="session")
def first_sqlite(tmp_path_factory):
    path = tmp_path_factory.mktemp("first") / "store.sqlite3"
    fill_first(sqlite_url(path))
    return path


@pytest.fixture(scope="session")
def first_postgresql(cluster):
    fill_first(cluster.create("first"))
    return "first"


@pytest.fixture
def store(request):
    """Which database this test's server runs on: `--store` says, or the test itself by parametrizing it."""
    return request.config.getoption("--store")


@pytest.fixture
def app(request, tmp_path, clock, store):
    """A server on a store of its own: a copy of one that was made once."""
    if store == "sqlite":
        url = sqlite_url(shutil.copy(request.getfixturevalue("first_sqlite"), tmp_path / "store.sqlite3"))
    else:
        first = request.getfixturevalue("first_postgresql")
        url = request.getfixturevalue("cluster").create(uuid7(), template=first)
    app = create_app(Settings(url), clock)
    yield app
    close(app)


@pytest.fixture
def manager(app):
    """A signed-in manager's browser."""
    return Person.signed_in(app, "Mara")


@pytest.fixture
def site_id(manager):
    return manager.add("sites", name="Lantern Quay", time_zone="Europe/Lisbon")["id"]


@pytest.fixture
def phone(app, manager, site_id, clock):
    """A phone paired to the site, with nothing on it yet."""
    return Phone.paired(app, manager, site_id, clock)


@pytest.fixture
def script(app, site_id):
    """A script's token for the site."""
    return Script(app, site_id)
