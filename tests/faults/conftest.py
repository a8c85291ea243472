"""A live bar for every test here, on the database that `--store` or the test names; and what they measured."""

import shutil

import pytest

from server.ids import uuid7
from server.settings import sqlite_url
from tests.faults.live import LiveBar


@pytest.fixture
def bar(request, tmp_path, store):
    """A bar with its server running."""
    if store == "sqlite":
        url = sqlite_url(shutil.copy(request.getfixturevalue("first_sqlite"), tmp_path / "store.sqlite3"))
    else:
        first = request.getfixturevalue("first_postgresql")
        url = request.getfixturevalue("cluster").create(uuid7(), template=first)
    bar = LiveBar(url)
    with bar.server:
        yield bar
    assert not [line for line in bar.server.said if "a fault of ours" in line]


def pytest_terminal_summary(terminalreporter):
    """What the tests recorded (`record_property`): counts, seconds, bytes."""
    for report in terminalreporter.stats.get("passed", []):
        if report.when == "call" and report.user_properties:
            figures = ", ".join(f"{name} {value}" for name, value in report.user_properties)
            terminalreporter.write_line(f"{report.nodeid.rpartition('::')[2]}: {figures}")
