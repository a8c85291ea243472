"""Time to target, shot by shot, and what was changed in between."""

import pytest

from tests.figures.stand import at


def series(stand, **arguments):
    return stand.picture(**arguments)["time_to_target"]


def test_a_series_holds_the_shots_that_say_something_about_the_grind(stand):
    good = [
        stand.shot("2026-03-02 08:00", time_s=27),
        stand.shot("2026-03-02 08:20", purpose="practice", time_s=29),
    ]
    stand.shot("2026-03-02 08:01", purpose="warm_up")
    stand.shot("2026-03-02 08:02", fault="channelling")
    stand.shot("2026-03-02 08:03", yield_g=44)  # more than 15 % off: too far to carry the time over
    stand.shot("2026-03-02 08:04", assumed=["time_s"])
    stand.shot("2026-03-02 08:05", recipe_id=None)

    [one] = series(stand)

    assert [point["shot_id"] for point in one["points"]] == good
    assert [point["time_to_target_s"] for point in one["points"]] == [27, 29]
    assert all(point["u_s"] > 0 for point in one["points"])
    assert (one["target_s"], one["tolerance_s"]) == (28, 3)  # 3 s: common practice, no source


def test_a_time_is_carried_over_to_the_recipes_yield(stand):
    """By hand: 28 + (36 - 34) x (28 - 8) / (1.2 x 34) = 28.98 s."""
    stand.shot("2026-03-02 08:00", yield_g=34, first_drop_s=8)

    [one] = series(stand)

    assert one["points"][0]["time_to_target_s"] == pytest.approx(28 + 2 * 20 / (1.2 * 34))


def test_each_recipe_has_its_own_series_the_one_pulled_most_lately_first(stand):
    changed = stand.recipe(time_s=30, time_s_tol=2, replaces=stand.recipe_id)
    for minute in range(5):
        stand.shot(f"2026-02-14 08:0{minute}")  # many, but not in the last two weeks
    stand.shot("2026-03-02 08:00")
    stand.shot("2026-03-02 09:00", recipe_id=changed, time_s=30)
    stand.shot("2026-03-02 09:10", recipe_id=changed, time_s=30)
    stand.shot("2026-03-02 10:00", recipe_id=stand.recipe(time_s=25), time_s=25)

    newer, last, older = series(stand)

    assert (newer["recipe_id"], newer["target_s"], newer["tolerance_s"]) == (changed, 30, 2)
    assert (last["target_s"], older["recipe_id"]) == (25, stand.recipe_id)  # of as many, the one pulled last


def test_what_changed_between_two_shots_is_marked_at_the_later_one(stand):
    other_bag = stand.bag("2026-02-22", opened="2026-03-02 08:59")
    stand.shot("2026-03-02 08:00", setting=4.2)
    second = stand.shot("2026-03-02 08:30", setting=4.4)
    third = stand.shot("2026-03-02 09:00", setting=4.4, bag_id=other_bag)
    stand.phone.save("grinder_event", {"grinder_id": stand.grinder_id, "at": at("2026-03-02 09:10"), "what": "cleaned"})
    fourth = stand.shot("2026-03-02 09:20", setting=4.4, bag_id=other_bag)

    [one] = series(stand)

    said = [{name: value for name, value in mark.items() if name != "at"} for mark in one["marks"]]
    assert said == [
        {"shot_id": second, "what": "setting", "from_setting": 4.2, "to_setting": 4.4},
        {"shot_id": third, "what": "bag", "bag_id": other_bag, "roasted_on": "2026-02-22"},
        {"shot_id": fourth, "what": "cleaned"},
    ]


def test_a_shot_without_a_setting_was_pulled_at_the_last_one_before_it(stand):
    for when, setting in (("2026-03-02 07:00", 4.2), ("2026-03-02 08:30", 4.0)):
        stand.phone.save("grind_change", {"grinder_id": stand.grinder_id, "at": at(when), "setting": setting})
    stand.shot("2026-03-02 08:00")
    later = stand.shot("2026-03-02 09:00")

    [one] = series(stand)

    assert [point["setting"] for point in one["points"]] == [4.2, 4.0]
    assert [(mark["shot_id"], mark["from_setting"], mark["to_setting"]) for mark in one["marks"]] == [(later, 4.2, 4.0)]


def test_the_last_sixty_are_shown(stand):
    for minute in range(59):
        stand.shot(f"2026-03-01 08:{minute:02d}")
    last = [stand.shot(f"2026-03-02 08:0{minute}") for minute in range(5)]

    [one] = series(stand)

    assert len(one["points"]) == 60
    assert [point["shot_id"] for point in one["points"][-5:]] == last
