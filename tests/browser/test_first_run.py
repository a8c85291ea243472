"""The first minute of somebody who reads only the screen, on a phone just out of the pocket, with the real server."""

import pytest
from playwright.sync_api import expect

from tests.browser.phones import PHONE
from tests.browser.screens import records, shots

# What a browser answers where the app was started from the home screen.
FROM_HOME_SCREEN = """() => {
  const ask = window.matchMedia.bind(window);
  window.matchMedia = (query) => (query.includes('display-mode: standalone')
    ? { matches: true, media: query, addEventListener() {}, removeEventListener() {} } : ask(query));
}"""


@pytest.fixture
def new_phone(browser):
    """A page that has never been on this origin, in a browser tab or from the home screen."""
    contexts = []

    def take(installed=True, **options):
        context = browser.new_context(**{**PHONE, **options}, service_workers="block")
        contexts.append(context)
        if installed:
            context.add_init_script(f"({FROM_HOME_SCREEN})()")
        return context.new_page()

    yield take
    for context in contexts:
        context.close()


@pytest.fixture
def stocked(bar):
    """A bar whose manager has set up two coffees, two grinders and a person."""
    for coffee, roasted_on in (("Tarn Hollow", 10), ("Ember Ridge", 12)):
        coffee_id = bar.make("coffees", name=coffee)
        on = (bar.now().date().fromordinal(bar.now().date().toordinal() - roasted_on)).isoformat()
        bar.make("bags", coffee_id=coffee_id, roasted_on=on, mass_g=1000, site_id=bar.site_id)
        bar.make("recipes", coffee_id=coffee_id, method="espresso", dose_g=18.5, yield_g=40, time_s=27)
    for grinder in ("Quay grinder", "Spare grinder"):
        bar.make("grinders", name=grinder, site_id=bar.site_id)
    bar.make("people", name="Ida")
    return bar


def heading(page, text):
    expect(page.locator("#top h1")).to_have_text(text)


def test_from_the_home_screen_to_the_first_pull(new_phone, stocked):
    page = new_phone()
    page.clock.install()
    page.goto(stocked.url)

    heading(page, "Join the bar")
    page.get_by_label("Pairing code").fill(stocked.code().lower())
    page.get_by_role("button", name="Pair").tap()
    heading(page, "Who are you?")
    page.get_by_role("button", name="Ida").tap()
    heading(page, "What is in the hopper?")
    page.get_by_role("button", name="Tarn Hollow").tap()
    heading(page, "Which grinder?")
    page.get_by_role("button", name="Quay grinder").tap()
    heading(page, "Tarn Hollow")
    page.locator("[data-start]").tap()
    page.clock.fast_forward(27_000)
    page.locator("[data-stop]").tap()
    expect(page.locator(".saved-word")).to_be_visible()

    expect(page.locator("#chip")).to_have_text("all on the server")
    assert len(stocked.stored_ids("shot")) == 1


def test_in_a_tab_the_phone_is_told_that_it_may_forget(new_phone, stocked):
    page = new_phone(installed=False)
    page.goto(stocked.url)
    heading(page, "Onto the home screen")
    expect(page.get_by_text("this phone may forget what has not been sent")).to_be_visible()
    expect(page.get_by_role("listitem")).to_have_count(3)
    page.get_by_role("button", name="Go on in this tab").tap()
    heading(page, "Join the bar")


def test_a_wrong_code_is_told_apart_from_no_answer(new_phone, stocked):
    page = new_phone()
    page.goto(stocked.url)
    page.get_by_label("Pairing code").fill("WRONG234")
    page.get_by_role("button", name="Pair").tap()
    expect(page.locator("#code-note")).to_have_text("That code is not good: check it, or ask for a new one.")

    page.context.set_offline(True)
    page.get_by_role("button", name="Pair").tap()
    expect(page.locator("#code-note")).to_contain_text("No answer from the server")


def test_what_was_recorded_before_pairing_belongs_to_the_site_afterwards(new_phone, stocked):
    page = new_phone()
    page.clock.install()
    page.goto(stocked.url)
    page.get_by_role("button", name="Start without").tap()
    for _ in ("name", "coffee", "grinder"):
        page.get_by_role("button", name="Later").tap()
    page.locator("[data-start]").tap()
    page.clock.fast_forward(25_000)
    page.locator("[data-stop]").tap()
    expect(page.locator(".saved-word")).to_be_visible()
    assert "site_id" not in shots(page)[0]["fields"]

    page.goto(f"{stocked.url}/#/setup/phone")
    page.get_by_label("Pairing code").fill(stocked.code())
    page.get_by_role("button", name="Pair", exact=True).tap()
    expect(page.locator("#chip")).to_have_text("all on the server")
    assert shots(page)[0]["fields"]["site_id"] == stocked.site_id
    assert len(stocked.stored_ids("shot")) == 1


def test_a_bar_with_nothing_yet_is_set_up_from_the_phone(new_phone, bar):
    page = new_phone()
    page.goto(bar.url)
    page.get_by_label("Pairing code").fill(bar.code())
    page.get_by_role("button", name="Pair").tap()
    page.get_by_label("Your name").fill("Mara")
    page.get_by_role("button", name="That’s me").tap()
    page.get_by_role("link", name="Another bag").tap()
    page.get_by_label("A new coffee").fill("Ember Ridge")
    page.get_by_role("button", name="10 days ago").tap()
    page.get_by_role("button", name="Save").tap()
    heading(page, "Which grinder?")
    page.get_by_role("link", name="New grinder").tap()
    page.get_by_label("Name").fill("Quay grinder")
    page.get_by_role("button", name="Save").tap()

    heading(page, "Ember Ridge")
    expect(page.locator("#chip")).to_have_text("all on the server")
    assert [bag["fields"]["mass_g"] for bag in records(page, "bag")] == [1000]
