"""One grinder's shots into a belief: what teaches, what doesn't, what is kept and what starts anew."""

import copy
import json
import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.compute.grind.model import end_flow_factor, intervene, observe
from server.compute.grind.response import choose
from tests.compute.grind.pulls import GRINDER, RECIPE, after, pull, pulled

DAY = 24 * 60


def believed(state, name):
    names = state["belief"]["names"]
    found = next(n for n in names if n.startswith(name))
    return state["belief"]["mean"][names.index(found)]


def doubt(state, name):
    belief = state["belief"]
    at = next(i for i, n in enumerate(belief["names"]) if n.startswith(name))
    return math.sqrt(belief["cov"][at][at] * belief["variance"])


def expected_s(state, **other):
    return choose(state, after(state, **other), RECIPE, GRINDER)["now"]["predicted_time_s"]


def test_a_state_is_plain_json_and_observing_leaves_the_old_one_alone():
    state = pulled(28.0, 29.0, 27.0)
    before = copy.deepcopy(state)

    after_one_more = observe(state, pull(30.0, 20), RECIPE, GRINDER)

    assert json.loads(json.dumps(state)) == state == before
    assert after_one_more != state


def test_steady_shots_make_their_time_the_expected_one():
    assert expected_s(pulled(*[31.0] * 12)) == pytest.approx(31.0, abs=0.1)


def test_a_step_that_was_tried_teaches_what_a_step_does():
    shots = [pull(32.0 - 1.5 * (i // 3), 5 * i, setting=4.2 + 0.1 * (i // 3), purge_g=3.0) for i in range(12)]

    state = pulled(*shots)

    assert believed(state, "slope") == pytest.approx(math.log(32.0 / 27.5) / 3, abs=0.015)
    assert doubt(state, "slope") < 0.03 < doubt(pulled(32.0), "slope")


def test_numbers_that_rise_with_fineness_turn_the_scale_around():
    other_way = {"finer": "higher", "step": 0.1}
    shots = [pull(32.0 - 1.5 * (i // 3), 5 * i, setting=4.2 - 0.1 * (i // 3), purge_g=3.0) for i in range(12)]

    assert believed(pulled(*shots, grinder=other_way), "slope") == pytest.approx(0.05, abs=0.02)


def test_a_persons_own_seconds_per_step_overrule_the_prior_at_once():
    told = GRINDER | {"seconds_per_step": -2.8}

    state = pulled(28.0, grinder=told)

    assert believed(state, "slope") == pytest.approx(0.1, abs=0.001)
    assert doubt(state, "slope") == pytest.approx(0.025, rel=0.1)


def test_a_new_bag_moves_the_level_and_keeps_the_slope():
    shots = [pull(32.0 - 1.5 * (i // 3), 5 * i, setting=4.2 + 0.1 * (i // 3), purge_g=3.0) for i in range(12)]
    state = pulled(*shots)
    slope, doubt_before = believed(state, "slope"), doubt(state, "slope")

    state = observe(state, pull(24.0, 65, setting=4.5, bag_id="second"), RECIPE, GRINDER)

    assert 24.0 < expected_s(state) < 26.0
    assert believed(state, "slope") == pytest.approx(slope, abs=0.005)
    assert doubt(state, "slope") == pytest.approx(doubt_before, rel=0.05)
    assert state["bags"][state["last"]["bag"]]["reached"] is False


def test_going_back_to_a_known_coffee_restores_its_baseline():
    state = pulled(*[31.0] * 8)
    for i in range(8):
        state = observe(state, pull(25.0, 45 + 5 * i, bag_id="guest", coffee_id="ember"), RECIPE, GRINDER)

    assert expected_s(state) == pytest.approx(25.0, abs=0.5)
    assert expected_s(state, bag_id="first", coffee_id="tarn") == pytest.approx(31.0, abs=0.7)
    # Another bag of it, too: around that coffee's level, only less surely.
    assert 28.0 < expected_s(state, bag_id="third", coffee_id="tarn") < 31.0


@pytest.mark.parametrize("what", ["cleaned", "re_zeroed", "new_burrs"])
def test_an_intervention_starts_the_level_anew_and_keeps_the_slope(what):
    state = pulled(*[28.0] * 10)

    anew = intervene(state, what)

    assert doubt(anew, "bag:") > 2 * doubt(state, "bag:")
    assert believed(anew, "slope") == believed(state, "slope")
    assert doubt(anew, "slope") == pytest.approx(math.hypot(doubt(state, "slope"), 0.02 if what == "new_burrs" else 0))
    assert [bag["reached"] for bag in anew["bags"].values()] == [False]


def test_after_re_zeroing_one_shot_says_where_it_stands():
    state = intervene(pulled(*[28.0] * 10), "re_zeroed")

    state = observe(state, pull(38.0, 60), RECIPE, GRINDER)

    assert state["last"]["verdict"] == "ok"
    assert expected_s(state) > 36.0


def test_hands_differ_by_small_shrunk_offsets():
    shots = [pull(30.0 if i % 2 else 26.0, 5 * i, person_id="ida" if i % 2 else "teo") for i in range(30)]

    state = pulled(*shots)

    apart = believed(state, "person:ida") - believed(state, "person:teo")
    assert 0.08 < apart < math.log(30.0 / 26.0)
    assert state["belief"]["variance"] < 0.07**2 / 2  # what hands explain is no spread


@pytest.mark.parametrize(
    ("odd", "verdict"),
    [
        ({"purpose": "warm_up"}, "left_out"),
        ({"purpose": "practice"}, "left_out"),
        ({"fault": "channelling"}, "fault"),
        ({"yield_g": 44.0}, "unusable"),
        ({"time_s": 0.55}, "no_time"),
        ({"assumed": ["time_s"]}, "no_time"),
        ({"time_s": 70.0}, "absurd"),
        ({"time_s": 37.0}, "look"),
    ],
)
def test_a_shot_that_says_nothing_of_the_grind_teaches_nothing(odd, verdict):
    state = pulled(*[28.0] * 10)

    told = observe(state, pull(34.0, 50) | odd, RECIPE, GRINDER)

    assert told["last"]["verdict"] == verdict
    assert (told["belief"]["mean"], told["belief"]["dof"]) == (state["belief"]["mean"], state["belief"]["dof"])


def test_two_shots_running_that_stand_out_are_a_jump_and_teach():
    state = pulled(*[28.0] * 10)
    for minute in (50, 55):
        state = observe(state, pull(38.0, minute), RECIPE, GRINDER)

    assert state["last"]["verdict"] == "jump"
    assert expected_s(state) > 34.0


def test_one_group_again_and_again_is_the_machine_and_after_five_times_is_how_it_is():
    state = pulled(*[pull(28.0, 5 * i, group="left" if i % 2 else "right") for i in range(10)])
    verdicts = []
    for i in range(10):
        left = i % 2
        state = observe(
            state, pull(38.0 if left else 28.0, 50 + 5 * i, group="left" if left else "right"), RECIPE, GRINDER
        )
        verdicts.append(state["last"]["verdict"])

    assert verdicts[1::2] == ["look", "apart", "apart", "apart", "regroup"]
    assert set(verdicts[0::2]) == {"ok"}


def test_shots_of_no_known_group_that_stand_out_are_a_jump_and_blame_no_group():
    """Found by the streams that hold the phone to the server."""
    state = pulled(*[pull(28.0, 5 * i, group="left") for i in range(10)])
    for minute in (50, 55):
        state = observe(state, pull(38.0, minute), RECIPE, GRINDER)

    assert state["last"]["verdict"] == "jump"


def test_three_shots_of_another_scale_move_the_scale_and_not_the_slope():
    state = pulled(*[28.0] * 10)
    slope, verdicts = believed(state, "slope"), []
    for minute in (50, 55, 60, 65):
        state = observe(state, pull(28.5, minute, setting=14.0), RECIPE, GRINDER)
        verdicts.append(state["last"]["verdict"])

    assert verdicts == ["absurd", "absurd", "jump", "ok"]
    assert believed(state, "slope") == pytest.approx(slope, abs=0.01)
    assert choose(state, after(state), RECIPE, GRINDER)["now"]["setting"] == 14.0


def test_the_first_shot_after_a_move_weighs_less_unless_the_grinder_was_purged():
    state = pulled(*[28.0] * 10)
    weak, strong = (
        observe(state, pull(24.0, 50, setting=4.3, purge_g=purge_g), RECIPE, GRINDER) for purge_g in (0.0, 3.0)
    )

    assert expected_s(strong) < expected_s(weak) - 0.2


def test_while_the_old_bag_is_in_the_hopper_the_new_one_is_learned_slowly():
    state = pulled(*[28.0] * 10)
    mixed, clean = (
        observe(state, pull(24.0, 50, bag_id="second", mixed_with=old), RECIPE, GRINDER) for old in ("first", None)
    )

    assert expected_s(clean) + 1.0 < expected_s(mixed) < 28.0


def test_a_setting_that_nobody_wrote_down_is_taken_as_the_last_and_weighs_less():
    state = pulled(*[28.0] * 10)
    unknown, written = (observe(state, pull(25.0, 50, setting=setting), RECIPE, GRINDER) for setting in (None, 4.2))

    assert unknown["last"]["setting"] == 4.2
    assert expected_s(written) < expected_s(unknown)


def test_without_any_setting_nothing_is_learned():
    assert pulled(pull(28.0, setting=None))["last"]["verdict"] == "no_setting"


def test_a_night_loosens_the_level_and_flags_the_first_shots():
    state = pulled(*[28.0] * 10)

    at_once, next_day = (choose(state, after(state, minutes), RECIPE, GRINDER)["now"] for minutes in (5, DAY))

    width = [high / low for low, high in (at_once["interval_80"], next_day["interval_80"])]
    assert width[1] > 1.02 * width[0]


def test_the_end_flow_is_learned_from_yields_that_differ():
    # t* is 28 s; the flow at the end is 1.8 of the mean flow, not 1.2.
    shots = []
    for i in range(150):
        yield_g = 36.0 + (-4, -2, 2, 4)[i % 4]
        gap = (36.0 - yield_g) / (1.8 * yield_g)
        shots.append(pull((28.0 + gap * 7.0) / (1 + gap), 5 * i, yield_g=yield_g))

    assert end_flow_factor(pulled(28.0)) == pytest.approx(1.2)
    assert end_flow_factor(pulled(*shots)) == pytest.approx(1.8, abs=0.3)


def test_the_usual_first_drop_stands_in_where_none_was_marked():
    state = pulled(*[pull(28.0, 5 * i, first_drop_s=9.0) for i in range(5)])

    assert state["first_drop"]["usual_s"] == pytest.approx(9.0)


def test_a_state_stays_small_however_many_bags_and_hands_pass():
    state, chance = None, random.Random(4)
    for i in range(300):
        shot = pull(28.0 * math.exp(chance.gauss(0, 0.06)), 30 * i, bag_id=f"bag {i // 12}", coffee_id=f"c{i // 25}")
        state = observe(state, shot | {"person_id": f"p{i % 15}", "group": str(i % 3)}, RECIPE, GRINDER)

    assert len(state["belief"]["names"]) <= 6 + 4 + 6 + 8 + 4 + 1
    assert len(state["bags"]) <= 5
    assert len(json.dumps(state)) < 20_000


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.lists(st.tuples(st.floats(0.1, 3000), st.floats(0.1, 100), st.floats(-1000, 10000)), min_size=1, max_size=12))
def test_nothing_that_can_be_entered_makes_a_belief_that_is_not_a_number(rows):
    shots = [
        pull(time_s, 7 * i, yield_g=yield_g, setting=setting, first_drop_s=None)
        for i, (time_s, yield_g, setting) in enumerate(rows)
    ]

    state = pulled(*shots)

    belief = state["belief"]
    assert all(math.isfinite(value) for value in belief["mean"])
    assert all(line[i] > 0 for i, line in enumerate(belief["cov"]))
    if state["last"]["setting"] is not None:
        choice = choose(state, after(state), RECIPE, GRINDER)
        assert 0 <= choice["now"]["chance"] <= choice["best"]["chance"] + 1e-9 <= 1 + 1e-8
        assert abs(choice["best"]["steps"]) <= 3
