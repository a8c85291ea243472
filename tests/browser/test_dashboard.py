"""The manager's screen in a real browser: signing in, reading values, staying up to date, having no network."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect
from sqlalchemy import delete

from server.first_start import new_setup_token
from server.store.database import writing
from server.store.tables import Manager
from tests.browser.desk import DESK, HAND_HELD, fill, sign_in

RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    }
}
LIVE_MS = 3_000


@pytest.fixture
def open_desk(browser, bar):
    """Opens a signed-in desk; the page notes what the console complains of."""
    contexts = []

    def open_it(**options):
        context = browser.new_context(**{**DESK, "service_workers": "block", **options})
        contexts.append(context)
        page = context.new_page()
        page.complaints = []
        page.on("console", lambda said: page.complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        sign_in(page, bar)
        expect(page.locator("#decisions")).to_be_visible()
        return page

    yield open_it
    for context in contexts:
        context.close()


def test_a_wrong_password_is_told_and_the_right_one_opens_the_picture(bar, browser):
    page = browser.new_context(**DESK, service_workers="block").new_page()

    sign_in(page, bar, "something else")
    expect(page.get_by_role("alert")).to_contain_text("Type both again")
    expect(page.get_by_label("Name", exact=True)).to_have_value("Mara")  # what was typed stays
    sign_in(page, bar)

    expect(page.get_by_role("heading", name="Lantern Quay")).to_be_visible()
    page.context.close()


def test_decisions_come_first_and_lead_to_what_they_are_about(bar, open_desk):
    made = fill(bar)
    page = open_desk()

    sections = page.locator("main section").evaluate_all("(all) => all.map((one) => one.id)")
    assert sections[:3] == ["decisions", "today", "time"]
    page.get_by_role("link", name="Past its window: Tarn Hollow").click()

    expect(page.locator(f"#bag-{made['bag']}")).to_be_in_viewport()
    expect(page.locator(f"#bag-{made['bag']}")).to_contain_text("past window")


def test_from_a_decision_to_the_shot_behind_it_and_back_in_three_clicks(bar, open_desk):
    made = fill(bar)
    cart = bar.make("grinders", name="Cart grinder", site_id=bar.site_id)
    for _ in range(10):
        bar.make("shots", **shot_like(bar, made) | {"grinder_id": cart, "time_s": 40})
    page = open_desk()
    expect(page.get_by_role("heading", name="Quay grinder, Tarn Hollow")).to_be_visible()

    page.get_by_role("link", name="Look at the grinder: Cart grinder").click()
    expect(page.get_by_role("heading", name="Cart grinder, Tarn Hollow")).to_be_in_viewport()
    page.locator("#time svg .value").first.click()
    expect(page.locator("dialog")).to_contain_text("40.0 s")
    page.get_by_role("button", name="Close").click()

    expect(page.locator("dialog")).to_have_count(0)
    expect(page.locator("#time svg")).to_be_in_viewport()


def test_arrow_keys_say_each_value_and_enter_opens_the_shot_behind_it(bar, open_desk):
    """Twelve shots of 26 to 32 s; the seventh takes 26 + 6 s, and the setting was moved just before it."""
    made = fill(bar)
    page = open_desk()
    values = page.locator("#time svg .value")

    assert values.evaluate_all("(all) => all.filter((one) => one.tabIndex === 0).length") == 1  # one stop for Tab
    values.last.focus()
    page.keyboard.press("Home")
    for _ in range(6):
        page.keyboard.press("ArrowRight")
    expect(values.nth(6)).to_be_focused()
    expect(page.locator("#time .readout")).to_contain_text(
        re.compile(r"32\.0 s ± .* slow, setting 4\.4, setting 4\.2 to 4\.4")
    )
    page.keyboard.press("Enter")

    expect(page.locator("dialog")).to_contain_text("32.0 s")
    expect(page.locator("dialog")).to_contain_text("outside by time")
    page.keyboard.press("Escape")
    expect(page.locator("dialog")).to_have_count(0)
    expect(values.nth(6)).to_be_focused()
    assert len(made["shots"]) == values.count() == 12


def test_a_touch_says_the_value_under_the_finger(bar, open_desk):
    fill(bar)
    page = open_desk(**HAND_HELD)

    page.locator("#share svg .value").first.tap()

    expect(page.locator("#share .readout")).to_contain_text("on recipe")


def test_each_chart_has_its_figures_in_a_table_that_stays_open(bar, open_desk):
    made = fill(bar)
    page = open_desk()

    page.locator("#time summary").click()
    expect(page.locator("#time tbody tr")).to_have_count(12)
    bar.make("shots", **shot_like(bar, made), time_s=27.5)

    expect(page.locator("#time tbody tr")).to_have_count(13, timeout=LIVE_MS)
    expect(page.locator("#time tbody tr").first).to_contain_text("27.5")


def shot_like(bar, made: dict) -> dict:
    now = bar.now().isoformat(timespec="seconds")
    links = {"recipe_id": made["recipe"], "grinder_id": made["grinder"], "bag_id": made["bag"]}
    return {"pulled_at": now, "site_id": bar.site_id, "dose_g": 18, "yield_g": 36, **links}


def test_a_phones_sync_is_seen_within_three_seconds(bar, open_desk, make_phone):
    phone = make_phone()
    page = open_desk()
    expect(page.locator("#today dd").first).to_have_text("0")

    phone.shot(pulled_at=bar.now().isoformat(timespec="seconds"))
    assert phone.sync() == "delivered"

    expect(page.locator("#today dd").first).to_have_text("1", timeout=LIVE_MS)


def test_without_an_answer_the_last_picture_stays_and_says_of_when_it_is(bar, open_desk):
    fill(bar)
    page = open_desk()
    fresh = page.locator("#today").inner_text()

    page.context.set_offline(True)

    expect(page.locator(".plate .state")).to_contain_text(
        re.compile(r"no answer: picture of \d\d:\d\d"), timeout=10_000
    )
    assert page.locator("#today").inner_text() == fresh
    page.context.set_offline(False)
    expect(page.locator(".plate .state")).to_have_text(re.compile(r"^picture of \d\d:\d\d$"), timeout=10_000)


def test_the_page_opens_with_no_network_and_shows_the_last_picture(bar, open_desk):
    fill(bar)
    page = open_desk(service_workers="allow")
    page.wait_for_function("async () => (await caches.keys()).includes('desk')")
    page.wait_for_function("async () => Boolean(await caches.match('/dashboard/board.js'))")
    fresh = page.locator("#decisions").inner_text()

    page.context.set_offline(True)
    page.reload()

    expect(page.locator(".plate .state")).to_contain_text("no answer: picture of")
    assert page.locator("#decisions").inner_text() == fresh


def test_signing_out_leaves_nothing_behind(bar, open_desk):
    fill(bar)
    page = open_desk()

    page.get_by_role("button", name="Sign out").click()

    expect(page.get_by_label("Password")).to_be_visible()
    assert page.evaluate("localStorage.getItem('evenpull.desk.picture')") is None
    page.reload()
    expect(page.get_by_label("Password")).to_be_visible()


def test_a_code_made_here_pairs_a_phone_and_two_taps_take_the_pairing_away(bar, open_desk, make_phone):
    page = open_desk()

    page.get_by_role("button", name="Make a pairing code").click()
    code = page.locator(".code b").inner_text()
    phone = make_phone(paired=False)
    phone.call("/sync/pairing.js", "pair", code, "cart phone")
    expect(page.locator(".handsets")).to_contain_text("cart phone", timeout=LIVE_MS)

    page.get_by_role("button", name="Take the pairing of cart phone away").click()
    assert phone.sync() != "pair_again"
    page.get_by_role("button", name="Yes, cart phone is out").click()

    expect(page.get_by_text("No phone is paired yet.")).to_be_visible()
    assert phone.sync() == "pair_again"


def test_one_site_or_all_are_a_tap_apart_and_the_choice_is_kept(bar, open_desk):
    bar.make("sites", name="Market cart", time_zone="Europe/London")
    page = open_desk()
    expect(page.locator(".plate h1")).to_have_text("Lantern Quay, Market cart")

    page.locator(".sites").get_by_role("button", name="Market cart").click()
    expect(page.locator(".plate h1")).to_have_text("Market cart")
    page.reload()
    expect(page.locator(".plate h1")).to_have_text("Market cart")


def test_a_new_bar_is_added_and_a_bad_zone_is_told(bar, open_desk):
    page = open_desk()
    form = page.locator("#sites")

    form.get_by_label("Name").fill("Market cart")
    form.get_by_label("Time zone").fill("Europe/Nowhere")
    form.get_by_role("button", name="Add").click()
    expect(form.get_by_role("alert")).to_contain_text("Europe/Lisbon")
    form.get_by_label("Time zone").fill("Europe/Paris")
    form.get_by_role("button", name="Add").click()

    expect(page.locator(".plate h1")).to_have_text("Lantern Quay, Market cart", timeout=LIVE_MS)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [DESK, HAND_HELD], ids=["desk", "hand"])
def test_nothing_on_it_is_out_of_reach_unreadable_or_refused(bar, open_desk, scheme, size):
    fill(bar)
    bar.make("sites", name="Market cart", time_zone="Europe/London")
    page = open_desk(**{**size, "color_scheme": scheme})
    for summary in page.locator("summary").all():
        summary.click()

    found = Axe().run(page, options=RULES).response["violations"]

    assert [(one["id"], [node["html"] for node in one["nodes"]]) for one in found] == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert [text for text in page.complaints if "Failed to load resource" not in text] == []


def test_it_speaks_german_all_over(bar, open_desk):
    fill(bar)
    page = open_desk()

    page.get_by_label("Language").select_option("de")

    expect(page.get_by_role("heading", name="Zu entscheiden")).to_be_visible()
    assert page.locator("html").get_attribute("lang") == "de"
    expect(page.locator("#strength .value").first).to_have_attribute("aria-label", re.compile(r"Stärke 9,40 ± "))
    page.reload()
    expect(page.get_by_role("heading", name="Zu entscheiden")).to_be_visible()


def test_the_first_starts_link_makes_the_first_manager_and_shows_where_to_begin(bar, browser):
    with bar.app.app_context(), writing() as session:
        session.execute(delete(Manager))
    bar.manager.delete("/api/session")
    page = browser.new_context(**DESK, service_workers="block").new_page()
    page.goto(f"{bar.url}/manage#first={new_setup_token(bar.app)}")

    page.get_by_label("Name", exact=True).fill("Ida")
    page.get_by_label("Password").fill("three words do it")
    page.get_by_role("button", name="Make and sign in").click()

    expect(page.locator("#phones")).to_be_visible()
    assert page.url == f"{bar.url}/manage"  # the token is out of the address
    page.context.close()


def test_nothing_is_cut_off_on_a_small_screen_in_a_long_language(bar, open_desk):
    fill(bar)
    page = open_desk(**{**HAND_HELD, "viewport": {"width": 320, "height": 568}})
    page.get_by_label("Language").select_option("de")
    expect(page.get_by_role("heading", name="Zu entscheiden")).to_be_visible()

    assert page.evaluate("document.documentElement.scrollWidth") == 320


def test_the_demos_first_page_has_two_doors_with_what_opens_them(bar, browser):
    bar.limit(
        demo=True,
        demo_facts={
            "codes": [{"site": "Lantern Quay", "code": "K7QM-4TZP"}],
            "name": "Mara",
            "password": "a spoon",
        },
    )
    page = browser.new_context(**DESK, service_workers="block").new_page()
    page.goto(f"{bar.url}/start")

    expect(page.get_by_role("link", name="At the machine")).to_have_attribute("href", "/")
    expect(page.get_by_role("link", name="At the desk")).to_have_attribute("href", "/manage")
    expect(page.locator("main")).to_contain_text("K7QM-4TZP")
    expect(page.locator("main")).to_contain_text("a spoon")
    page.context.close()
