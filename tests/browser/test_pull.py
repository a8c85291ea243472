"""At the machine, by touch, with no server in reach: what a barista taps is what is kept."""

import pytest
from playwright.sync_api import expect

from tests.browser.screens import go, open_at_noon, records, shots, type_figure

START = "[data-start]"
STOP = "[data-stop]"


@pytest.fixture
def app(page, files):
    return open_at_noon(page, files.url)


def pull(page, seconds: str) -> None:
    page.locator(START).tap()
    page.clock.fast_forward(seconds)
    page.locator(STOP).tap()
    expect(page.locator(".saved-word")).to_be_visible()


def test_two_taps_make_a_shot_on_recipe(app):
    pull(app, "00:27")

    (shot,) = shots(app)
    assert shot["fields"]["time_s"] == 27
    assert (shot["fields"]["dose_g"], shot["fields"]["yield_g"]) == (18.5, 40)
    assert shot["fields"]["assumed"] == ["dose_g", "yield_g"]
    assert (shot["fields"]["fate"], shot["fields"]["purpose"]) == ("served", "service")
    assert shot["fields"]["setting"] == 4.2
    assert shot["waiting"]


def test_a_guess_looks_like_one_until_it_is_touched(app):
    dose = app.locator(".figure").first
    expect(dose).to_have_class("figure guess")

    dose.tap()
    type_figure(app, "18.6")

    expect(dose).not_to_have_class("guess")
    pull(app, "00:27")
    fields = shots(app)[0]["fields"]
    assert fields["dose_g"] == 18.6
    assert fields["assumed"] == ["yield_g"]


def test_done_without_a_key_says_that_the_guess_was_weighed(app):
    pull(app, "00:27")
    app.locator(".figure").nth(1).tap()
    app.locator(".pad .go").tap()

    expect(app.locator(".figure").nth(1)).not_to_have_class("figure guess")
    assert shots(app)[0]["fields"]["assumed"] == ["dose_g"]


def test_comma_and_point_are_the_same_key(app):
    app.locator(".figure").first.tap()
    app.keyboard.type("18,7")
    app.keyboard.press("Enter")
    expect(app.locator(".figure .value").first).to_contain_text("18.7")


def test_the_steppers_move_by_a_tenth(app):
    app.locator(".figure").first.tap()
    app.locator(".pad .step", has_text="+").tap()
    app.locator(".pad .step", has_text="+").tap()
    app.locator(".pad .step", has_text="−").tap()
    app.locator(".pad .go").tap()
    expect(app.locator(".figure .value").first).to_contain_text("18.6")


def test_the_keypad_says_what_it_would_take(app):
    app.locator(".figure").first.tap()
    type_figure(app, "999")
    expect(app.locator("#pad-note")).to_have_text("Outside 0.1 to 250.0 g: check it")
    app.locator(".pad .ghost").tap()
    expect(app.locator(".figure .value").first).to_contain_text("18.5")


def test_a_first_drop_before_two_seconds_is_not_one(app):
    app.locator(START).tap()
    app.clock.fast_forward(1000)
    app.locator("[data-drop]").tap()
    expect(app.locator("[data-drop]")).to_be_visible()


def test_the_first_drop_is_kept_and_can_be_taken_back(app):
    app.locator(START).tap()
    app.clock.fast_forward(6000)
    app.locator("[data-drop]").tap()
    expect(app.locator(".noted p")).to_have_text("First drop at 6.0 s")
    app.locator(".noted button").tap()
    app.clock.fast_forward(1000)
    app.locator("[data-drop]").tap()
    app.clock.fast_forward(20_000)
    app.locator(STOP).tap()
    expect(app.locator(".saved-word")).to_be_visible()

    assert shots(app)[0]["fields"]["first_drop_s"] == 7


def test_the_first_drop_area_is_the_lower_half_above_the_stop_button(app):
    app.locator(START).tap()
    area, stop = app.locator("[data-drop]").bounding_box(), app.locator(STOP).bounding_box()
    assert area["y"] < 844 / 2 < area["y"] + area["height"] < stop["y"]
    assert area["width"] > 340 and area["height"] > 200


def test_a_stop_within_two_seconds_is_a_slip_and_can_be_undone(app):
    app.locator(START).tap()
    app.clock.fast_forward(800)
    app.locator(STOP).tap()
    expect(app.locator(START)).to_be_visible()
    assert shots(app) == []

    app.locator(".said .undo").tap()
    app.clock.fast_forward(26_000)
    app.locator(STOP).tap()
    expect(app.locator(".saved-word")).to_be_visible()
    assert shots(app)[0]["fields"]["time_s"] == 26.8


def test_a_second_tap_of_the_same_slip_starts_nothing(app):
    app.locator(START).tap()
    app.clock.fast_forward(27_000)
    app.locator(STOP).tap()
    expect(app.locator(".saved-word")).to_be_visible()
    app.locator(START).tap()
    expect(app.locator(STOP)).to_have_count(0)


def test_a_timer_is_right_to_a_tenth_after_a_screen_that_was_locked(app):
    app.locator(START).tap()
    app.clock.run_for(5000)
    app.clock.fast_forward(25_000)  # no timer and no frame fires meanwhile, as when a phone sleeps
    app.clock.run_for(5000)
    app.locator(STOP).tap()
    expect(app.locator(".saved-word")).to_be_visible()
    assert shots(app)[0]["fields"]["time_s"] == 35


def test_a_timer_survives_a_reload(app):
    app.locator(START).tap()
    app.clock.fast_forward(10_000)
    app.reload()
    expect(app.locator(STOP)).to_be_visible()
    app.clock.fast_forward(17_000)
    app.locator(STOP).tap()
    expect(app.locator(".saved-word")).to_be_visible()
    assert shots(app)[0]["fields"]["time_s"] == pytest.approx(27, abs=0.5)


def test_a_shot_that_was_saved_is_not_pulled_twice_by_a_reload(app):
    """Killed between the save and the note that the bay is free."""
    app.locator(START).tap()
    app.clock.fast_forward(27_000)
    running = app.evaluate("async () => (await import('/outbox/meta.js')).getMeta('running')")
    app.locator(STOP).tap()
    expect(app.locator(".saved-word")).to_be_visible()
    app.evaluate("async (bays) => (await import('/outbox/meta.js')).setMeta('running', bays)", running)
    app.reload()

    expect(app.locator(START)).to_be_visible()
    assert len(shots(app)) == 1


def test_a_time_read_off_the_machine_is_one_tap_away(app):
    app.get_by_role("button", name="Time off the machine").tap()
    type_figure(app, "26.4")
    expect(app.locator(".saved-word")).to_be_visible()
    assert shots(app)[0]["fields"]["time_s"] == 26.4


@pytest.mark.parametrize(
    ("word", "fate", "purpose"),
    [
        ("Sunk", "sunk", "service"),
        ("Practice", "sunk", "practice"),
        ("Warm-up", "sunk", "warm_up"),
        ("Dial-in", "sunk", "dial_in"),
    ],
)
def test_what_became_of_a_shot_is_one_tap(app, word, fate, purpose):
    pull(app, "00:27")
    app.get_by_role("button", name=word).tap()
    expect(app.get_by_role("button", name=word)).to_have_attribute("aria-pressed", "true")
    fields = shots(app)[0]["fields"]
    assert (fields["fate"], fields["purpose"]) == (fate, purpose)

    app.locator(".said .undo").tap()
    expect(app.get_by_role("button", name="Served")).to_have_attribute("aria-pressed", "true")
    assert shots(app)[0]["fields"]["purpose"] == "service"


def test_a_fault_is_named(app):
    pull(app, "00:27")
    app.get_by_role("link", name="Fault").tap()
    app.get_by_role("button", name="Channelling").tap()
    expect(app.get_by_role("link", name="Channelling")).to_be_visible()
    assert shots(app)[0]["fields"]["fault"] == "channelling"


def test_taste_is_right_in_one_tap(app):
    pull(app, "00:27")
    app.get_by_role("link", name="Taste").tap()
    app.get_by_role("button", name="Right").tap()
    expect(app.locator(".saved-word")).to_be_visible()
    assert shots(app)[0]["fields"]["taste"] == {"right": True}


def test_taste_says_what_is_off_in_plain_words(app):
    pull(app, "00:27")
    app.get_by_role("link", name="Taste").tap()
    app.get_by_role("group", name="Acidity").get_by_role("button", name="far too much").tap()
    app.get_by_role("group", name="Body").get_by_role("button", name="a little too little").tap()
    app.get_by_role("button", name="Save").tap()
    expect(app.locator(".saved-word")).to_be_visible()
    assert shots(app)[0]["fields"]["taste"] == {"acidity": 2, "body": -1}


def test_a_reading_gives_an_extraction_only_from_what_was_weighed(app):
    pull(app, "00:27")
    app.get_by_role("link", name="Strength").tap()
    app.get_by_role("button", name="Enter the reading").tap()
    type_figure(app, "9.25")
    expect(app.locator(".result")).to_have_text("9.25 %")

    for figure in (0, 1):
        app.locator(".figure").nth(figure).tap()
        app.locator(".pad .go").tap()
    # 40 g x 9.25 % / 18.5 g: the definition of extraction yield
    expect(app.locator(".result")).to_have_text("9.25 %, extraction 20.0 %")


def test_a_shot_taken_back_can_be_brought_back(app):
    pull(app, "00:27")
    app.locator(".saved-head").get_by_role("button", name="Undo").tap()
    expect(app.locator(".idle")).to_be_visible()
    assert shots(app) == []

    app.locator(".said .undo").tap()
    expect(app.locator(".saved-word")).to_be_visible()
    assert len(shots(app)) == 1


def test_the_offer_to_undo_lasts_ten_seconds(app):
    pull(app, "00:27")
    app.get_by_role("button", name="Sunk").tap()
    expect(app.locator(".said")).to_be_visible()
    app.clock.run_for(9_000)
    expect(app.locator(".said")).to_be_visible()
    app.clock.run_for(2_000)
    expect(app.locator(".said")).to_have_count(0)


def test_each_lane_has_its_own_bag_one_tap_apart(app):
    app.get_by_role("button", name="Decaf").tap()
    expect(app.locator("#top h1")).to_have_text("Low Tide")
    app.get_by_role("button", name="House").tap()
    expect(app.locator("#top h1")).to_have_text("Tarn Hollow")


def test_a_changed_recipe_is_a_new_one_that_names_the_old(app):
    app.get_by_role("link", name="Recipe").tap()
    app.get_by_role("button", name="Yield out").tap()
    type_figure(app, "42")
    app.get_by_role("button", name="Set recipe").tap()
    expect(app.locator(".fact").first).to_contain_text("42 out")

    old, new = records(app, "recipe")
    assert old["fields"]["yield_g"] == 40
    assert (new["fields"]["yield_g"], new["fields"]["replaces"]) == (42, old["id"])


def test_a_move_of_the_grinder_is_a_record_and_the_next_shot_knows_it(app):
    app.get_by_role("link", name="Setting").tap()
    app.get_by_role("button", name="Finer").tap()
    app.get_by_role("button", name="Set 4").tap()
    expect(app.get_by_role("link", name="Setting")).to_contain_text("4")

    moves = [move["fields"]["setting"] for move in records(app, "grind_change")]
    assert moves == [4.2, 4]
    pull(app, "00:27")
    assert shots(app)[0]["fields"]["setting"] == 4


def test_another_bag_is_opened_by_pulling_from_it(app):
    app.locator("#top a").tap()
    app.get_by_role("button", name="sealed").first.tap()
    expect(app.locator(".idle")).to_be_visible()
    assert [event["fields"]["what"] for event in records(app, "bag_event")].count("opened") == 2

    app.locator(".said .undo").tap()
    expect(app.locator(".said")).to_have_count(0)
    assert [event["fields"]["what"] for event in records(app, "bag_event")].count("opened") == 1


def test_other_hands_are_one_tap_away(app):
    app.get_by_role("link", name="Hands").tap()
    app.get_by_role("button", name="Teo").tap()
    expect(app.get_by_role("link", name="Hands")).to_contain_text("Teo")


def test_a_shot_that_runs_is_one_tap_away_from_any_screen(app):
    app.locator(START).tap()
    go(app, "shelf")
    app.get_by_role("link", name="A pull is running").tap()
    expect(app.locator(STOP)).to_be_visible()


def test_two_groups_have_two_timers(page, files):
    open_at_noon(page, files.url, groups=2)
    page.locator('[data-start="left"]').tap()
    page.clock.fast_forward(5000)
    page.locator('[data-start="right"]').tap()
    page.clock.fast_forward(20_000)
    page.locator('[data-stop="left"]').tap()
    expect(page.locator('[data-start="left"]')).to_be_visible()
    page.clock.fast_forward(6000)
    page.locator('[data-stop="right"]').tap()
    expect(page.locator(".saved-word")).to_be_visible()

    kept = {shot["fields"]["group"]: shot["fields"]["time_s"] for shot in shots(page)}
    assert kept == {"left": 25, "right": 26}
    page.get_by_role("button", name="left 25").tap()
    expect(page.locator(".time.stopped")).to_contain_text("25")


def test_a_disk_that_is_full_is_said_and_the_figures_stay(page, files):
    open_at_noon(page, files.url)
    page.locator(START).tap()
    page.clock.fast_forward(27_000)
    page.evaluate("""() => {
      const add = IDBObjectStore.prototype.add;
      window.mend = () => { IDBObjectStore.prototype.add = add; };
      IDBObjectStore.prototype.add = () => { throw new DOMException('no room', 'QuotaExceededError'); };
    }""")
    page.locator(STOP).tap()
    expect(page.locator(".alarm")).to_contain_text("Not saved: keep the app open")
    expect(page.locator(".alarm")).to_contain_text("The storage of this phone is full")
    expect(page.locator(".time")).to_contain_text("27")

    page.clock.fast_forward(60_000)
    page.evaluate("window.mend()")
    page.get_by_role("button", name="Save again").tap()
    expect(page.locator(".saved-word")).to_be_visible()
    assert shots(page)[0]["fields"]["time_s"] == 27


def test_a_stop_that_would_not_save_is_not_forgotten_by_a_reload(page, files):
    open_at_noon(page, files.url)
    page.locator(START).tap()
    page.clock.fast_forward(27_000)
    page.evaluate("""() => {
      IDBObjectStore.prototype.add = () => { throw new DOMException('no room', 'QuotaExceededError'); };
    }""")
    page.locator(STOP).tap()
    expect(page.locator(".alarm")).to_be_visible()
    page.clock.fast_forward(60_000)
    page.reload()

    expect(page.locator(".saved-word")).to_be_visible()
    assert shots(page)[0]["fields"]["time_s"] == 27
