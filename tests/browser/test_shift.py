"""A shift at a cart with no network: forty pulls, mistakes among them, each set right at the machine or later."""

import pytest
from playwright.sync_api import expect

from tests.browser.screens import go, open_at_noon, shots, type_figure

PULLS = 40


def pull(page, seconds):
    page.locator("[data-start]").tap()
    page.clock.fast_forward(seconds * 1000)
    page.locator("[data-stop]").tap()
    expect(page.locator(".saved-word")).to_be_visible()
    page.clock.fast_forward(1000)


@pytest.fixture
def cart(page, files):
    return open_at_noon(page, files.url)


def test_a_shift_of_forty_pulls_with_mistakes_set_right(cart):
    for number in range(PULLS):
        pull(cart, 25 + number % 5)
        if number % 10 == 3:
            cart.get_by_role("button", name="Sunk").tap()
            expect(cart.get_by_role("button", name="Sunk")).to_have_attribute("aria-pressed", "true")
        if number % 10 == 5:
            cart.locator(".figure").nth(1).tap()
            type_figure(cart, "41.5")
            expect(cart.locator(".figure .value").nth(1)).to_contain_text("41.5")
        if number % 20 == 7:
            cart.locator(".saved-head").get_by_role("button", name="Undo").tap()
            expect(cart.locator(".idle")).to_be_visible()

    kept = [shot["fields"] for shot in shots(cart)]
    assert len(kept) == PULLS - 2
    assert sum(fields["fate"] == "sunk" for fields in kept) == 4
    assert [fields["yield_g"] for fields in kept if "yield_g" not in fields["assumed"]] == [41.5] * 4
    assert {round(fields["time_s"]) for fields in kept} == {25, 26, 27, 28, 29}


def test_the_days_list_opens_a_shot_to_set_it_right_later(cart):
    pull(cart, 27)
    go(cart, "today")
    expect(cart.locator(".sum")).to_have_text("1 pull logged")
    cart.locator(".shot").first.tap()
    cart.get_by_role("button", name="Yield out").tap()
    type_figure(cart, "38.4")
    cart.get_by_role("button", name="Practice").tap()
    cart.get_by_label("Note").fill("portafilter left in too long")
    cart.get_by_label("Note").blur()
    expect(cart.locator(".history li")).to_have_count(4)
    expect(cart.locator(".history")).to_contain_text("yield, g 38.4")

    (shot,) = shots(cart)
    assert (shot["fields"]["yield_g"], shot["fields"]["purpose"]) == (38.4, "practice")
    assert shot["fields"]["note"] == "portafilter left in too long"


def test_a_shot_withdrawn_from_the_list_can_be_brought_back_there(cart):
    pull(cart, 27)
    go(cart, "today")
    cart.locator(".shot").first.tap()
    cart.get_by_role("button", name="Withdraw").tap()
    expect(cart.locator("#main")).to_contain_text("Withdrawn")
    assert shots(cart) == []
    cart.get_by_role("button", name="Bring back").tap()
    expect(cart.get_by_role("button", name="Withdraw")).to_be_visible()
    assert len(shots(cart)) == 1


def test_what_nobody_logged_is_tallied(cart):
    go(cart, "tally")
    cart.get_by_role("button", name="Till").tap()
    cart.get_by_role("button", name="Shots").tap()
    type_figure(cart, "120")
    cart.get_by_role("button", name="Save").tap()
    expect(cart.locator(".sum")).to_contain_text("120 more tallied")

    cart.locator(".said .undo").tap()
    expect(cart.locator(".sum")).not_to_contain_text("tallied")
