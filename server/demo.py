"""Fills a fresh store with the demo bar, through the same doors that a manager's browser and phones use.

The six weeks come from the generator in `demo_data/`, round by round. The app's clock is set to each round's own time,
so that what the ledger says about when an entry came in is as plausible as the entry.
"""

import importlib
import importlib.util
import secrets
import sys
from pathlib import Path
from types import ModuleType

from flask import Flask
from flask.testing import FlaskClient

from server.records.kinds import KINDS
from server.store import access
from server.store.database import writing
from server.sync.push import Timing, push
from server.sync.sender import Sender

SEED = 7
MANAGER = "Mara"
PASSWORD_LETTERS = 12


class DemoFailed(RuntimeError):
    """The demo's data was not taken in as it should be: the server or the generator is at fault."""


def prepare(app: Flask, days: int | None = None) -> dict:
    """Fill the app's empty store; return what the demo's page and console show.

    `{"name", "password", "codes": [{"site", "site_id", "code"}]}`: the manager's sign-in, and a pairing code per site.
    """
    running = app.extensions["evenpull"]
    real_clock, weeks = running.clock, generator()
    now = real_clock()
    letters = "".join(secrets.choice(access.CODE_ALPHABET.lower()) for _ in range(PASSWORD_LETTERS))
    password = "-".join(letters[start : start + 4] for start in range(0, PASSWORD_LETTERS, 4))
    try:
        entered = _fill(app, weeks.rounds(SEED, now, days or weeks.DAYS), password)
    finally:
        running.clock = real_clock
    browser = _signed_in(app, password)  # anew: a session that began six weeks ago would be over
    for entry in entered:
        _taken(browser.post(f"/api/{KINDS[entry['kind']].plural}", json=entry["fields"]))
    sites = _taken(browser.get("/api/sites"))["items"]
    codes = [
        {"site": site["name"], "site_id": site["id"], "code": _new_code(browser, site["id"])}
        for site in sorted(sites, key=lambda site: site["name"])
    ]
    return {"name": MANAGER, "password": password, "codes": codes}


def generator() -> ModuleType:
    """The module `demo_data/make_demo.py`: the checkout's, or the copy that a wheel carries in this package."""
    package = Path(__file__).resolve().parent
    beside = package.parent / "demo_data"
    folder = beside if (beside / "make_demo.py").exists() else package / "demo_data"
    name = "evenpull_demo_data"
    if name not in sys.modules:
        start = folder / "__init__.py"
        spec = importlib.util.spec_from_file_location(name, start, submodule_search_locations=[str(folder)])
        sys.modules[name] = module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
    return importlib.import_module(f"{name}.make_demo")


def _fill(app: Flask, rounds: list, password: str) -> list[dict]:
    """Set the bar up, then live through its weeks. Returns what the manager has to enter besides."""
    running = app.extensions["evenpull"]
    first, *rest = rounds
    running.clock = lambda: first.at
    _make_manager_and_sites(app, first, password)
    browser = _signed_in(app, password)
    phones = {sent.phone.replica_id: sent.phone for sent in rest if sent.phone.site_id}
    lines = {replica_id: _PhoneLine(app, browser, phone) for replica_id, phone in phones.items()}
    entered = []
    for sent in rest:
        running.clock = lambda at=sent.at: at
        if sent.phone.site_id:
            lines[sent.phone.replica_id].send(sent)
        else:
            entered += sent.entries
    return entered


def _make_manager_and_sites(app: Flask, first, password: str) -> None:
    """What a first start does: nobody can sign in, and nothing be paired, before there is a manager and a site."""
    if {entry["kind"] for entry in first.entries} != {"site"}:
        raise DemoFailed("the first round must make the sites, and nothing else")
    with app.app_context(), writing() as session:
        access.add_manager(session, MANAGER, password)
        sender = Sender(phone_id=None, site_id=None, is_manager=True)
        _stored(push(session, first.entries, sender, Timing(first.at, first.at)))


def _signed_in(app: Flask, password: str) -> FlaskClient:
    browser = app.test_client()
    _taken(browser.post("/api/session", json={"name": MANAGER, "password": password}))
    return browser


def _new_code(browser: FlaskClient, site_id: str) -> str:
    return _taken(browser.post("/api/pairings", json={"site_id": site_id}))["code"]


class _PhoneLine:
    """A phone's way to the server: its cookie, its cursor, and the rounds that it sends."""

    def __init__(self, app: Flask, browser: FlaskClient, phone):
        self.http, self.cursor = app.test_client(), None
        code = _new_code(browser, phone.site_id)
        _taken(self.http.post("/api/pair", json={"code": code, "name": phone.name}))

    def send(self, sent) -> None:
        """One round; then more, without entries, until nothing new waits at the server."""
        said = {"protocol": 1, "app": sent.entries[0]["app"], "replica_id": sent.phone.replica_id}
        said |= {"sent_at": sent.sent_at, "known_offset_s": sent.known_offset_s, "waiting": 0}
        answer = _taken(
            self.http.post("/api/sync", json={**said, "cursor": self.cursor, "entries": sent.entries})
        )
        _stored(answer["receipts"])
        while answer["more"]:
            self.cursor = answer["cursor"]
            answer = _taken(self.http.post("/api/sync", json={**said, "cursor": self.cursor, "entries": []}))
        self.cursor = answer["cursor"]


def _taken(answer) -> dict:
    if answer.status_code >= 400:
        what = f"{answer.request.method} {answer.request.path}"
        raise DemoFailed(f"{what}: {answer.status_code} {answer.get_data(as_text=True)}")
    return answer.get_json()


def _stored(receipts: list[dict]) -> None:
    wrong = [receipt for receipt in receipts if receipt["receipt"] != "stored"]
    if wrong:
        raise DemoFailed(f"{len(wrong)} entries were not stored, the first of them: {wrong[0]}")
