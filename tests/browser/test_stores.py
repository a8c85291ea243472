"""Shelf, water and set-up by touch: each happening is a record, each form says what it would take."""

import datetime as dt

import pytest
from playwright.sync_api import expect

from tests.browser.screens import go, open_app, records, set_up_bar, type_figure


@pytest.fixture
def app(page, files):
    page.ids = set_up_bar(page)
    open_app(page, files.url, "shelf")
    return page


def events(page, bag_id):
    return [one["fields"]["what"] for one in records(page, "bag_event") if one["fields"]["bag_id"] == bag_id]


def test_the_shelf_says_in_word_and_shape_where_each_bag_stands(app):
    bags = app.locator(".bag")
    expect(bags).to_have_count(3)
    expect(bags.nth(0)).to_contain_text("in window")
    expect(bags.nth(1)).to_contain_text("resting")
    expect(bags.nth(2)).to_contain_text("past window")
    shapes = {
        bags.nth(row).locator(".tag-state path, .tag-state circle").first.evaluate("e => e.outerHTML")
        for row in range(3)
    }
    assert len(shapes) == 3


@pytest.mark.parametrize(
    ("act", "what", "then"), [("Freeze", "frozen", "Thaw"), ("Finish", "finished", None)]
)
def test_what_happens_to_a_bag_is_one_tap_and_can_be_undone(app, act, what, then):
    app.locator(".bag").nth(1).tap()
    app.get_by_role("button", name=act).tap()
    expect(app.locator(".said")).to_be_visible()
    assert events(app, app.ids["second"]) == [what]
    if then:
        expect(app.get_by_role("button", name=then)).to_be_visible()

    app.locator(".said .undo").tap()
    expect(app.get_by_role("button", name=act)).to_be_visible()
    assert events(app, app.ids["second"]) == []


def test_a_bag_is_weighed_on_the_keypad(app):
    app.locator(".bag").nth(0).tap()
    app.get_by_role("button", name="Weigh").tap()
    type_figure(app, "640")
    expect(app.locator("#top small")).to_contain_text("640 g")


def test_a_bag_that_arrives_takes_three_taps(app):
    app.get_by_role("link", name="Bag arrived").tap()
    app.get_by_role("button", name="Tarn Hollow").tap()
    app.get_by_role("button", name="3 days ago").tap()
    app.get_by_role("button", name="Save").tap()
    expect(app.locator(".bag")).to_have_count(4)
    newest = records(app, "bag")[-1]["fields"]
    roasted_on = [bag["fields"]["roasted_on"] for bag in records(app, "bag")]
    assert newest["mass_g"] == 1000
    assert (dt.date.today() - dt.timedelta(days=3)).isoformat() in roasted_on


def test_a_form_says_what_is_missing_and_keeps_what_was_typed(app):
    app.get_by_role("link", name="Bag arrived").tap()
    app.get_by_label("Batch").fill("L-42")
    app.get_by_role("button", name="Save").tap()
    expect(app.locator(".field .bad").first).to_have_text("This is needed.")
    app.reload()
    expect(app.get_by_label("Batch")).to_have_value("L-42")


def test_a_roast_date_in_the_future_is_refused(app):
    app.get_by_role("link", name="Bag arrived").tap()
    app.get_by_role("button", name="Tarn Hollow").tap()
    app.get_by_label("Roasted on").fill("2087-01-01")
    app.get_by_role("button", name="Save").tap()
    expect(app.get_by_text("Lies in the future")).to_be_visible()


def test_a_drop_test_counts_taps(app):
    go(app, "water/drops")
    app.get_by_role("button", name="One drop is").tap()
    type_figure(app, "0.5")
    for _ in range(12):
        app.locator(".counter").tap()
    app.get_by_role("button", name="One drop less").tap()
    app.get_by_role("button", name="Alkalinity").tap()
    for _ in range(4):
        app.locator(".counter").tap()
    app.get_by_role("button", name="Save").tap()
    expect(app.locator(".water-last .value").first).to_contain_text("5.5")

    fields = records(app, "water")[-1]["fields"]
    assert fields["hardness"] == {"value": 5.5, "unit": "dh"}
    assert fields["alkalinity"] == {"value": 4, "unit": "dh"}


def test_counted_drops_survive_a_reload(app):
    go(app, "water/drops")
    for _ in range(3):
        app.locator(".counter").tap()
    expect(app.locator(".counter b")).to_have_text("3")
    app.reload()
    expect(app.locator(".counter b")).to_have_text("3")


def test_the_language_changes_on_the_spot_and_offline(app):
    go(app, "setup/like")
    app.get_by_role("button", name="Deutsch").tap()
    expect(app.locator("#top h1")).to_have_text("Sprache und Einheiten")
    expect(app.locator("html")).to_have_attribute("lang", "de")
    go(app, "pull")
    expect(app.locator(".figure .value").first).to_contain_text("18,5")


def test_degrees_fahrenheit_are_shown_and_typed_but_never_stored(app):
    go(app, "setup/like")
    app.get_by_role("button", name="°F", exact=True).tap()
    go(app, "pull/recipe")
    expect(app.get_by_role("button", name="Water")).to_contain_text("199.4")  # 93 °C
    app.get_by_role("button", name="Water").tap()
    type_figure(app, "203")
    app.get_by_role("button", name="Set recipe").tap()
    expect(app.locator("[data-start]")).to_be_visible()
    assert records(app, "recipe")[-1]["fields"]["water_temp_c"] == 95


def test_a_persons_name_is_set_right_and_put_back(app):
    go(app, f"setup/person/{app.ids['ida']}")
    app.get_by_label("Name").fill("Ida B")
    app.get_by_role("button", name="Save").tap()
    expect(app.locator(".said")).to_be_visible()
    assert "Ida B" in [person["fields"]["name"] for person in records(app, "person")]
    app.locator(".said .undo").tap()
    expect(app.locator(".row").first).to_contain_text("Ida")
    expect(app.locator(".row").first).not_to_contain_text("Ida B")


def test_a_number_outside_its_range_is_refused_in_the_form(app):
    go(app, "setup/coffee/new")
    app.get_by_label("Name").fill("Ember Ridge")
    app.get_by_label("Rests for").fill("999")
    app.get_by_role("button", name="Save").tap()
    expect(app.get_by_text("Enter a number from 0 to 120 days")).to_be_visible()
    assert len(records(app, "coffee")) == 2
