"""Random days over the real server with the real client: several phones in one page, each on a database of its own."""

import datetime as dt
from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.stateful import run_state_machine_as_test

from server.clock import to_ms
from tests.sync.machine import Machine
from tests.sync.shop import Shop

HARNESS = Path(__file__).with_name("many_phones.js").read_text()
QUIET = {"deadline": None, "suppress_health_check": list(HealthCheck), "print_blob": True}
BOUNDED = settings(max_examples=10, stateful_step_count=25, derandomize=True, **QUIET)
NIGHTLY = settings(max_examples=2000, stateful_step_count=50, database=None, **QUIET)
numbers = count()


class PagePhone:
    """One of the page's phones; it remembers what its databases held after the last step."""

    def __init__(self, page, shop, name):
        self.page, self.shop, self.name = page, shop, f"day-{next(numbers)}/{name}"
        self.behind, self.rows = (
            dt.timedelta(0),
            dict.fromkeys(("outbox", "mirror", "refused", "records", "meta"), ()),
        )

    def held(self) -> dict:
        by_entry = {s: {row["entry_id"]: row for row in self.rows[s]} for s in ("outbox", "mirror", "refused")}
        cursor = next((row["value"] for row in self.rows["meta"] if row["key"] == "cursor"), None)
        return {**by_entry, "cursor": cursor, "records": {row["id"]: row for row in self.rows["records"]}}

    def save(self, kind, record_id, fields, retract=None, cut=0) -> dict | None:
        change = {"kind": kind, "record_id": record_id, "fields": fields, "retract": retract}
        told = {name: value for name, value in change.items() if value is not None}
        done = self._do("save", cut, told)
        return done[0] if done else None

    def sync(self, cut: int) -> None:
        self._do("sync", cut)

    def step_clock(self, seconds: int) -> None:
        self.behind = dt.timedelta(seconds=seconds)

    def copy_to(self, name: str) -> "PagePhone":
        other = PagePhone(self.page, self.shop, name)
        other.rows, other.behind = self.rows, self.behind
        whole = {"figures": [], "sheet": [], "drafts": [], **self.rows}
        self.page.evaluate("([name, rows]) => window.phones.put(name, rows)", [other.name, whole])
        return other

    def take_from(self, other: "PagePhone") -> None:
        self._do("takeIn", other._do("export"))

    def _do(self, what, *arguments):
        """Let the phone do something; None where it died over it."""
        now_ms = to_ms(self.shop.clock() - self.behind)
        call = "([what, all]) => window.phones[what](...all)"
        answer = self.page.evaluate(call, [what, [self.name, now_ms, *arguments]])
        self.rows = answer["rows"]
        return answer.get("done")


@pytest.fixture(scope="module")
def shop(tmp_path_factory, first_sqlite):
    opened = Shop(tmp_path_factory.mktemp("shop"), first_sqlite)
    yield opened
    opened.close()


@pytest.fixture
def harness(page, shop):
    page.expose_function("askShop", lambda phone, path, body: shop.answer(phone, path, body))
    page.evaluate(HARNESS)
    return page


class PageMachine(Machine):
    """The same days, on phones in a page, which forgets them afterwards."""

    def __init__(self, page, shop):
        self.page = page
        super().__init__(shop, lambda name: PagePhone(page, shop, name))

    def teardown(self):
        super().teardown()
        self.page.evaluate("() => window.phones.forget()")


def search(harness, shop, how):
    run_state_machine_as_test(lambda: PageMachine(harness, shop), settings=how)


def test_a_random_day_of_the_real_client_loses_nothing_and_ends_with_one_picture(harness, shop):
    search(harness, shop, BOUNDED)


@pytest.mark.nightly
def test_two_thousand_random_days_of_the_real_client_lose_nothing(harness, shop):
    search(harness, shop, NIGHTLY)
