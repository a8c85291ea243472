"""What every test of the server shares: an app on a store of its own, a site, a manager and phones on it."""

import datetime as dt
import shutil

import pytest

from server import create_app
from server.settings import Settings, sqlite_url
from server.store import access
from server.store.database import db, writing
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


@pytest.fixture(scope="session")
def first_store(tmp_path_factory):
    """A migrated store with a manager, made once: each test starts from a copy of the file."""
    path = tmp_path_factory.mktemp("first") / "store.sqlite3"
    app = create_app(Settings(sqlite_url(path)))
    with app.app_context():
        with writing() as session:
            access.add_manager(session, "Mara", PASSWORD)
        db.session.remove()
        db.engine.dispose()  # closing the last connection folds the write-ahead log into the file
    return path


@pytest.fixture
def app(tmp_path, clock, first_store):
    shutil.copy(first_store, tmp_path / "store.sqlite3")
    app = create_app(Settings(sqlite_url(tmp_path / "store.sqlite3")), clock)
    yield app
    with app.app_context():
        db.session.remove()
        db.engine.dispose()


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
