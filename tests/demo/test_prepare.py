"""A fresh store filled with the demo: everything went in by the doors that phones and managers use."""

import datetime as dt

import pytest
from sqlalchemy import func, select

from server import create_app
from server.demo import generator, prepare
from server.settings import Settings, sqlite_url
from server.store.database import reading
from server.store.tables import Entry, Phone, RefusedEntry

NOW = dt.datetime(2026, 3, 2, 15, 36, tzinfo=dt.UTC)


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo")
    settings = Settings(sqlite_url(folder / "demo.sqlite3"), demo=True, pairing_minutes=24 * 60)
    app = create_app(settings, lambda: NOW)
    return app, prepare(app)


@pytest.fixture
def manager(demo):
    app, facts = demo
    browser = app.test_client()
    assert browser.post("/api/session", json={n: facts[n] for n in ("name", "password")}).status_code == 200
    return browser


def count(app, table) -> int:
    with app.app_context(), reading() as session:
        return session.execute(select(func.count()).select_from(table)).scalar()


def test_every_entry_of_the_six_weeks_is_in_the_ledger_and_none_was_refused(demo):
    told = sum(len(sent.entries) for sent in generator().rounds(7, NOW))

    assert count(demo[0], Entry) == told
    assert count(demo[0], RefusedEntry) == 0


def test_the_facts_name_a_manager_who_can_sign_in_and_a_code_for_each_site_that_pairs_a_phone(demo):
    app, facts = demo

    assert facts["name"] == "Mara"
    assert [code["site"] for code in facts["codes"]] == ["Lantern Quay", "Market cart"]
    for code in facts["codes"]:
        answer = app.test_client().post("/api/pair", json={"code": code["code"], "name": "a visitor's phone"})
        assert (answer.status_code, answer.json["site_id"]) == (200, code["site_id"])


def test_two_demos_have_different_passwords(demo, tmp_path):
    app = create_app(Settings(sqlite_url(tmp_path / "other.sqlite3"), demo=True), lambda: NOW)

    assert prepare(app, days=2)["password"] != demo[1]["password"]


def test_the_dashboard_has_shots_of_today_and_bags_and_a_water(manager, demo):
    site = demo[1]["codes"][0]["site_id"]
    shown = manager.get("/api/dashboard", query_string={"site_id": site}).json

    assert shown["today"][0]["logged"] >= 8
    assert shown["bags"]
    assert shown["water"][0]["sampled_at"] if "sampled_at" in shown["water"][0] else shown["water"]


def test_a_shot_has_its_computed_figures(manager):
    shots = manager.get("/api/shots", query_string={"limit": 100}).json["items"]

    assert all(shot["ratio"] > 0 for shot in shots)
    assert any("extraction_pct" in shot for shot in shots)


def test_the_phones_that_told_it_were_last_heard_of_when_they_last_sent(demo):
    with demo[0].app_context(), reading() as session:
        seen = {p.name: p.last_seen_ms for p in session.scalars(select(Phone)) if p.last_seen_ms}

    assert seen["Bar phone"] == NOW.timestamp() * 1000
    assert seen["Cart phone"] < NOW.timestamp() * 1000 - 36e5


def test_the_slow_phone_s_shots_are_corrected_and_the_one_whose_clock_was_set_is_in_doubt(manager, demo):
    shots, cursor = [], None
    while True:
        page = manager.get(
            "/api/shots", query_string={"limit": 500} | ({"cursor": cursor} if cursor else {})
        ).json
        shots, cursor = shots + page["items"], page["cursor"]
        if not cursor:
            break

    assert any("pulled_at_corrected" in shot for shot in shots)
    assert any(shot.get("clock_doubt_s") for shot in shots)


def test_a_bag_that_two_phones_changed_unseen_of_each_other_shows_the_clash(manager):
    bags = manager.get("/api/bags", query_string={"limit": 500}).json["items"]

    assert [bag["clashes"] for bag in bags if bag["clashes"]] == [["batch"]]


def test_the_manager_sees_what_bags_cost_and_a_phone_does_not(manager, demo):
    app, facts = demo
    phone = app.test_client()
    code = manager.post("/api/pairings", json={"site_id": facts["codes"][0]["site_id"]}).json["code"]
    phone.post("/api/pair", json={"code": code, "name": "curious"})

    assert len(manager.get("/api/bag_prices").json["items"]) > 10
    assert phone.get("/api/bag_prices").status_code == 403


def test_the_app_s_own_clock_is_back_afterwards(demo):
    assert demo[0].extensions["evenpull"].clock() == NOW
