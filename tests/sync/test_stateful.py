"""Random days over the real server, with phones in Python: nothing is lost, doubled or disputed (see machine.py)."""

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.sync.machine import Machine
from tests.sync.phones import PythonPhone

QUIET = {"deadline": None, "suppress_health_check": list(HealthCheck), "print_blob": True}
BOUNDED = settings(max_examples=25, stateful_step_count=30, derandomize=True, **QUIET)
NIGHTLY = settings(max_examples=2000, stateful_step_count=50, database=None, **QUIET)


def search(shop, how):
    run_state_machine_as_test(lambda: Machine(shop, lambda name: PythonPhone(shop, name)), settings=how)


def test_a_random_day_loses_nothing_and_ends_with_one_picture(shop):
    search(shop, BOUNDED)


@pytest.mark.nightly
def test_two_thousand_random_days_lose_nothing(shop):
    search(shop, NIGHTLY)
