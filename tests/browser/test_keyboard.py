"""The keyboard alone does the main job, and whoever uses it always sees where they are."""

import pytest
from playwright.sync_api import expect

from tests.browser.screens import open_app, set_up_bar, shots


@pytest.fixture
def app(page, files):
    page.clock.install()
    set_up_bar(page)
    open_app(page, files.url)
    return page


def tab_to(page, selector, most=30):
    """Tabs until the focus is on `selector`."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("(selector) => document.activeElement.matches(selector)", selector):
            return
    raise AssertionError(f"{selector} was not reached by {most} tabs")


def test_a_shot_is_pulled_and_set_right_by_keyboard_alone(app):
    tab_to(app, "[data-start]")
    app.keyboard.press("Enter")
    expect(app.locator("[data-stop]")).to_be_focused()
    app.clock.fast_forward(27_000)
    app.keyboard.press("Enter")
    expect(app.locator(".saved-word")).to_be_visible()
    expect(app.locator("[data-start]")).to_be_focused()

    app.locator("#top a").focus()
    tab_to(app, ".figure")
    app.keyboard.press("Enter")
    app.keyboard.type("18,9")
    app.keyboard.press("Enter")
    expect(app.locator(".pad")).to_have_count(0)
    expect(app.locator(".figure").first).to_be_focused()
    assert shots(app)[0]["fields"]["dose_g"] == 18.9


def test_the_keypad_keeps_the_focus_until_it_closes_and_escape_goes_back(app):
    app.locator(".figure").first.focus()
    app.keyboard.press("Enter")
    expect(app.locator("#pad-field")).to_be_focused()
    for _ in range(20):
        app.keyboard.press("Tab")
        assert app.evaluate("document.activeElement.closest('.pad') !== null")
    app.keyboard.press("Escape")
    expect(app.locator(".pad")).to_have_count(0)
    expect(app.locator(".figure").first).to_be_focused()


def test_a_screen_that_opens_takes_the_focus_to_its_heading(app):
    app.locator('a[href="#/pull/setting"]').focus()
    app.keyboard.press("Enter")
    expect(app.locator("#top h1")).to_have_text("Setting")
    expect(app.locator("#top h1")).to_be_focused()


def test_what_has_the_focus_is_never_hidden_under_the_button(app):
    for _ in range(20):
        app.keyboard.press("Tab")
        hidden = app.evaluate("""() => {
          const box = document.activeElement.getBoundingClientRect();
          const there = document.elementFromPoint(box.x + box.width / 2, box.y + Math.min(box.height / 2, 20));
          return there !== document.activeElement && !document.activeElement.contains(there);
        }""")
        assert not hidden, app.evaluate("document.activeElement.outerHTML")


def test_a_focus_ring_is_drawn_for_a_keyboard(app):
    tab_to(app, "[data-start]")
    assert app.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    assert app.evaluate("parseFloat(getComputedStyle(document.activeElement).outlineWidth)") >= 3
