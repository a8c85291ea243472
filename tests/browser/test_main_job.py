"""The main job, end to end: shots tapped on a phone with no network end up computed on the manager's screen."""

import datetime as dt
import re

import pytest
from playwright.sync_api import expect

from server.ask.registry import questions
from tests.bar import Bar
from tests.browser.battery import Killable
from tests.browser.find_browser import FLAGS
from tests.browser.phones import STORED
from tests.browser.screens import go, shots, type_figure
from tests.conftest import PASSWORD
from tests.server_process import ServerProcess

ROUND = "**/api/sync"
ROASTED_DAYS_AGO = 13
# What is weighed and read for each of the three. [g, g, % by mass]
PULLS = [("18.6", "40.2", "9.12"), ("18.4", "39.1", "9.35"), ("18.5", "41.7", "8.97")]


@pytest.fixture
def served(tmp_path, first_sqlite):
    """`evenpull serve` on a store in which a manager has set up a bar; the process, and the store behind it."""
    with Bar(tmp_path, first_sqlite) as bar:
        coffee_id = bar.make("coffees", name="Tarn Hollow", roaster="Saltmarsh Roasting")
        bar.make("grinders", name="Quay grinder", site_id=bar.site_id, finer="lower", step=0.2)
        bar.roasted_on = (bar.now().date() - dt.timedelta(days=ROASTED_DAYS_AGO)).isoformat()
        bar.make("bags", coffee_id=coffee_id, roasted_on=bar.roasted_on, mass_g=1000, site_id=bar.site_id)
        bar.make(
            "recipes",
            coffee_id=coffee_id,
            method="espresso",
            dose_g=18.5,
            yield_g=40,
            time_s=27,
            time_s_tol=3,
        )
        with ServerProcess(bar.store) as process:
            yield process, bar


def set_up(page, url, code):
    """From the first screen to the first pull, as somebody does who holds the phone for the first time."""
    page.goto(f"{url}/#/start")
    page.get_by_role("button", name="Go on in this tab").tap()
    page.get_by_label("Pairing code").fill(code)
    page.get_by_label("What to call this phone").fill("Bar phone")
    page.get_by_role("button", name="Pair", exact=True).tap()
    page.get_by_label("Your name").fill("Ida")
    page.get_by_role("button", name="That’s me").tap()
    expect(page.locator("[data-start]")).to_be_visible()  # bag and grinder came with the first sync
    expect(page.locator("#top h1")).to_have_text("Tarn Hollow")
    expect(page.locator("#chip")).to_have_text("all on the server")
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")


def pull(page, dose_g, yield_g, strength_pct):
    """One shot by touch: weighed, timed, measured."""
    for place, figure in enumerate((dose_g, yield_g)):
        page.locator(".figure").nth(place).tap()
        type_figure(page, figure)
    page.locator("[data-start]").tap()
    page.clock.fast_forward("00:27")
    page.locator("[data-stop]").tap()
    expect(page.locator(".saved-word")).to_be_visible()
    page.locator("a[href^='#/strength/']").tap()
    page.get_by_role("button", name="Enter the reading").tap()
    type_figure(page, strength_pct)
    expect(page.locator(".result")).to_contain_text("extraction")
    go(page, "pull")
    page.get_by_role("button", name="Done").tap()
    expect(page.locator(".pull.ready")).to_be_visible()


def pull_all_three(page):
    page.clock.install(time=dt.datetime.now(dt.UTC) - dt.timedelta(seconds=27 * len(PULLS)))
    page.reload()  # the clock belongs to a page from its start; and it starts with no answer from the network
    for figures in PULLS:
        pull(page, *figures)


def three_are_seen(page):
    """On the day's list, as well as in the records."""
    go(page, "today")
    expect(page.locator("a.shot")).to_have_count(3)
    for dose_g, yield_g, _ in PULLS:
        expect(page.locator("ul.shots")).to_contain_text(re.compile(rf"{dose_g}.*{yield_g}"))
    assert sorted(str(shot["fields"]["dose_g"]) for shot in shots(page)) == sorted(
        dose_g for dose_g, *_ in PULLS
    )


def lose_the_first_answer(page):
    """The server takes the round and commits; its answer never arrives. After that the way is free."""
    lost = []

    def lose_once(route):
        if lost:
            return route.continue_()
        lost.append(route.fetch().status)
        return route.abort("connectionreset")

    page.route(ROUND, lose_once)
    return lost


def check_each_is_stored_once(bar, page):
    saved = {shot["id"] for shot in shots(page)}
    stored = bar.rows(
        "SELECT record_id, count(DISTINCT entry_id), count(*) FROM entry WHERE kind = 'shot' GROUP BY 1"
    )
    assert {record_id for record_id, *_ in stored} == saved
    assert all(entries == rows for _, entries, rows in stored)
    assert {shot["id"] for shot in bar.manager.get("/api/shots").json["items"]} == saved
    assert bar.rows("SELECT count(*) FROM refused_entry") == [(0,)]


@pytest.fixture
def desk(driver, browser_path):
    """The manager's browser, at a desk."""
    started = driver.chromium.launch(executable_path=browser_path, args=list(FLAGS))
    yield started.new_page(
        viewport={"width": 1280, "height": 800}, locale="en-GB", timezone_id="Europe/London"
    )
    started.close()


def check_the_desk_shows_what_is_computed(desk, url, bar):
    desk.goto(f"{url}/manage")
    desk.get_by_label("Name", exact=True).fill("Mara")
    desk.get_by_label("Password").fill(PASSWORD)
    desk.get_by_role("button", name="Sign in").click()
    expect(desk.locator("#today dd").first).to_have_text("3")
    assert sorted(facts_at_the_desk(desk)) == sorted(computed(bar, *figures) for figures in PULLS)


def facts_at_the_desk(desk):
    """Dose, yield with ratio, extraction and bag of each shot, read off the screen."""
    points = desk.locator("#strength svg .value")
    for place in range(points.count()):
        points.nth(place).click()
        expect(desk.locator("dialog dl > div").first).to_be_visible()
        facts = dict(
            desk.locator("dialog dl > div").evaluate_all(
                "(all) => all.map((one) => [...one.children].map((c) => c.innerText))"
            )
        )
        yield facts["Dose in"], facts["Yield out"], facts["Extraction, %"], facts["Bag"]
        desk.keyboard.press("Escape")


def computed(bar, dose_g, yield_g, strength_pct):
    """The same, from the server's own functions as `evenpull compute` answers them."""
    figures = {"dose_g": float(dose_g), "yield_g": float(yield_g), "strength_pct": float(strength_pct)}
    reading = questions()["extraction"].ask(figures)
    fresh = questions()["freshness"].ask({"roasted_on": bar.roasted_on, "now": bar.now().isoformat()})
    extraction = f"{reading['extraction_pct']:.1f} ± {2 * reading['u_extraction_pct']:.1f} %"
    words = {"in_window": "in window", "resting": "resting", "past_window": "past window"}
    bag = f"{words[fresh['freshness']]}, day {fresh['rest_days']:.0f}"
    return f"{dose_g} g", f"{yield_g} g, 1\u00a0:\u00a0{reading['ratio']:.2f}", extraction, bag


@pytest.mark.parametrize("cut", ["the network is cut", "the server is stopped"])
def test_shots_pulled_with_no_network_end_up_computed_on_the_managers_screen(
    driver, browser_path, desk, served, tmp_path, cut
):
    server, bar = served
    phone = Killable(driver, browser_path, tmp_path / "phone")
    set_up(phone.start(), server.url, bar.code())
    # Put away and opened again: Chromium writes a cookie to its disk up to half a minute after it was set.
    phone.context.close()
    page = phone.start()
    page.goto(server.url)

    page.context.set_offline(cut == "the network is cut")
    if cut == "the server is stopped":
        server.stop()
    pull_all_three(page)
    expect(page.locator("#chip")).to_contain_text("on this phone")
    page.reload()
    three_are_seen(page)

    phone.kill()
    page = phone.start()
    page.context.set_offline(cut == "the network is cut")
    page.goto(server.url)
    three_are_seen(page)
    assert bar.stored_ids() == []

    lost = lose_the_first_answer(page)
    if cut == "the server is stopped":
        server.start()
        go(page, "waiting")
        page.get_by_role("button", name="Send now").tap()
    page.context.set_offline(False)
    expect(page.locator("#chip")).to_have_text("all on the server", timeout=30_000)

    assert lost == [200]
    assert page.evaluate(STORED, "outbox") == []
    check_each_is_stored_once(bar, page)
    check_the_desk_shows_what_is_computed(desk, server.url, bar)
    phone.context.close()
