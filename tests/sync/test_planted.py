"""Mistakes planted on purpose, which the random days have to find: a search that finds nothing proves nothing else."""

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from server.compute import fold
from server.sync import pull
from tests.sync.machine import Machine
from tests.sync.phones import PythonPhone

SEARCH = settings(
    max_examples=300,
    stateful_step_count=40,
    derandomize=True,
    deadline=None,
    database=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


class GoneWhenSent(PythonPhone):
    """An entry leaves the outbox with the request, not with the proof."""

    def request(self, batch):
        self.outbox = {i: entry for i, entry in self.outbox.items() if entry not in batch}
        return super().request(batch)


class GoneWhenAcknowledged(PythonPhone):
    """An entry leaves the outbox at its receipt, before it has come back."""

    def settle(self, receipts):
        for receipt in receipts:
            if receipt["receipt"] != "refused":
                self.outbox.pop(receipt["entry_id"], None)
        return super().settle(receipts)


class DeafToRefusals(PythonPhone):
    """A refused entry is dropped without a word."""

    def settle(self, receipts):
        cloned = super().settle(receipts)
        self.refused = {}
        return cloned


class CursorFirst(PythonPhone):
    """The cursor is kept before the page is."""

    def take(self, answer):
        self.cursor = answer["cursor"]
        if len(self.mirror) % 3 == 2:
            return set()  # and here the battery ends
        return super().take(answer)


class CountsAnew(PythonPhone):
    """A copied phone goes on under the same name."""

    def settle(self, receipts):
        return super().settle([r for r in receipts if r.get("reason") != "cloned"])


@pytest.mark.nightly
@pytest.mark.parametrize("phone", [GoneWhenSent, GoneWhenAcknowledged, DeafToRefusals, CursorFirst, CountsAnew])
def test_a_mistake_in_the_phone_is_found(shop, phone):
    with pytest.raises(AssertionError):
        run_state_machine_as_test(lambda: Machine(shop, lambda name: phone(shop, name)), settings=SEARCH)


def any_cursor_will_do(monkeypatch):
    monkeypatch.setattr(pull, "_why_restart", lambda *args: None)


def nothing_is_sent_back(monkeypatch):
    monkeypatch.setattr(pull.ledger, "these", lambda *args: [])


def the_clock_alone_decides(monkeypatch):
    monkeypatch.setattr(fold, "in_the_running", lambda name, group: group)


@pytest.mark.nightly
@pytest.mark.parametrize("mistake", [any_cursor_will_do, nothing_is_sent_back, the_clock_alone_decides])
def test_a_mistake_in_the_server_is_found(shop, monkeypatch, mistake):
    mistake(monkeypatch)
    with pytest.raises(AssertionError):
        run_state_machine_as_test(lambda: Machine(shop, lambda name: PythonPhone(shop, name)), settings=SEARCH)
