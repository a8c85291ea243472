"""The world of the random days."""

import pytest

from tests.sync.shop import Shop


@pytest.fixture(scope="module")
def shop(tmp_path_factory, first_sqlite):
    opened = Shop(tmp_path_factory.mktemp("shop"), first_sqlite)
    yield opened
    opened.close()
