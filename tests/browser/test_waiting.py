"""What is on this phone only: said in plain words, mended, let go, carried as a file."""

import json

import pytest
from playwright.sync_api import expect

from tests.browser.screens import go, records, shots, wait_for_all_screens


@pytest.fixture
def app(make_phone, bar):
    """A paired phone's app, with the real server in reach."""
    phone = make_phone()
    page = phone.page
    page.evaluate("async () => (await import('/outbox/preferences.js')).write('started', true)")
    page.goto(f"{bar.url}/#/pull")
    expect(page.locator("#chip")).to_have_text("all on the server")
    wait_for_all_screens(page)
    page.phone = phone
    return page


def test_a_cart_without_a_network_counts_and_is_not_alarmed(app):
    app.context.set_offline(True)
    app.phone.shot()
    app.phone.shot()
    expect(app.locator("#chip")).to_have_text("2 on this phone")
    expect(app.locator("#chip a")).to_have_class("chip-state ")
    go(app, "waiting")
    expect(app.get_by_text("it goes on by itself when there is one")).to_be_visible()

    app.context.set_offline(False)
    expect(app.locator("#chip")).to_have_text("all on the server")


def test_a_refused_shot_is_mended_and_sent_again(app, bar):
    app.phone.shot(yield_g=4000)
    expect(app.locator("#chip")).to_have_text("1 needs you")
    app.locator("#chip a").tap()
    expect(app.locator(".refused")).to_contain_text("yield, g")
    app.get_by_role("link", name="Mend").tap()
    app.get_by_label("yield, g").fill("40,0")
    app.get_by_role("button", name="Send again").tap()

    expect(app.locator("#chip")).to_have_text("all on the server")
    assert [shot["fields"]["yield_g"] for shot in shots(app)] == [40]
    assert len(bar.stored_ids("shot")) == 1


def test_a_refused_shot_can_be_let_go(app):
    app.phone.shot(yield_g=4000)
    expect(app.locator("#chip")).to_have_text("1 needs you")
    go(app, "waiting")
    app.get_by_role("button", name="Let go").tap()
    expect(app.locator("#chip")).to_have_text("all on the server")
    expect(app.locator(".refused")).to_have_count(0)


def test_a_phone_that_the_manager_shut_out_says_pair_again_and_goes_on(app, bar):
    app.context.clear_cookies()
    app.phone.shot()
    expect(app.locator("#chip")).to_have_text("pair this phone again")
    app.phone.shot()
    assert len(shots(app)) == 2

    go(app, "setup/phone")
    app.get_by_role("button", name="Pair again").tap()
    app.get_by_label("Pairing code").fill(bar.code())
    app.get_by_role("button", name="Pair", exact=True).tap()
    expect(app.locator("#chip")).to_have_text("all on the server")
    assert len(bar.stored_ids("shot")) == 2


def test_everything_here_goes_into_a_file_and_out_of_it_again(app, make_phone, bar):
    app.context.set_offline(True)
    app.phone.shot()
    go(app, "waiting")
    with app.expect_download() as download:
        app.get_by_role("button", name="Everything here as a file").tap()
    path = download.value.path()
    lines = [json.loads(line) for line in path.read_text().splitlines()]
    assert [line["held"] for line in lines[1:]].count("outbox") == 1

    other = make_phone().page
    other.evaluate("async () => (await import('/outbox/preferences.js')).write('started', true)")
    other.goto(f"{bar.url}/#/waiting")
    expect(other.locator("#chip")).to_have_text(
        "all on the server"
    )  # so that the one shot is all that is new to it
    other.locator("input[type=file]").set_input_files(
        {"name": "phone.jsonl", "mimeType": "", "buffer": path.read_bytes()}
    )
    expect(other.get_by_text("Taken in 1")).to_be_visible()
    expect(other.locator("#chip")).to_have_text("all on the server")
    assert len(records(other, "shot")) == 1


def test_an_update_is_not_offered_while_a_shot_runs(app):
    app.clock.install()
    app.locator("[data-start]").tap()
    app.evaluate("async () => (await import('/sync/update.js')).updates.dispatchEvent(new Event('ready'))")
    expect(app.locator(".strip")).to_have_count(0)
    app.clock.fast_forward(27_000)
    app.locator("[data-stop]").tap()
    expect(app.get_by_role("button", name="Update now")).to_be_visible()
