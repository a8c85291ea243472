import pytest

from tests.figures.stand import Stand


@pytest.fixture
def stand(manager, phone):
    return Stand(manager, phone)
