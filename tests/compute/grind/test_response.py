"""The setting with the best chance: its chance against scipy, its limits, the grinder's own steps."""

import math

import pytest
from scipy import stats

from server.compute.grind.response import choose, settled
from tests.compute.grind.pulls import GRINDER, RECIPE, after, pull, pulled

# Seven shots whose steps are known well, then a level that is off: enough to move by several steps.
TAUGHT = [pull(32.0 - 1.5 * (i // 3), 5 * i, setting=4.2 + 0.1 * (i // 3), purge_g=3.0) for i in range(12)]


def chosen(*shots, grinder=GRINDER, recipe=RECIPE, **upcoming):
    state = pulled(*shots, grinder=grinder, recipe=recipe)
    return choose(state, after(state, **upcoming), recipe, grinder)


def test_the_chance_of_landing_in_tolerance_is_students_t_between_its_edges():
    now = chosen(*TAUGHT)["now"]
    dof = pulled(*TAUGHT)["belief"]["dof"]
    low, high = (math.log(edge) for edge in now["interval_80"])
    scale = (high - low) / 2 / stats.t.ppf(0.9, dof)
    t = stats.t(dof, math.log(now["predicted_time_s"]), scale)

    assert now["chance"] == pytest.approx(t.cdf(math.log(31.0)) - t.cdf(math.log(25.0)), abs=1e-6)


def test_a_slow_grinder_is_set_coarser_by_as_many_steps_as_it_takes():
    best = chosen(*TAUGHT, pull(33.0, 65, setting=4.5), pull(33.0, 70, setting=4.5), setting=4.5)["best"]

    assert best["steps"] < 0
    assert best["setting"] == pytest.approx(4.5 - 0.1 * best["steps"])
    assert best["predicted_time_s"] == pytest.approx(28.0, abs=1.5)


@pytest.mark.parametrize("time_s", [12.0, 60.0])
def test_never_more_than_three_steps(time_s):
    recipe = RECIPE | {"time_s": 28.0}

    assert abs(chosen(pull(time_s), recipe=recipe)["best"]["steps"]) <= 3


def test_a_stepless_grinder_moves_by_quarters_of_a_mark():
    best = chosen(*[pull(29.8, 5 * i, setting=4.0) for i in range(12)], grinder={"finer": "lower"})["best"]

    assert best["steps"] % 1 != 0
    assert best["setting"] == 4.0 - best["steps"]
    assert (best["steps"] * 4) % 1 == 0


def test_of_settings_that_are_as_good_the_nearest_is_taken():
    assert chosen(*[28.3] * 12)["best"]["steps"] == 0


def test_where_one_step_jumps_the_whole_tolerance_the_dose_is_moved_instead():
    coarse = GRINDER | {"seconds_per_step": 9.0}

    best = chosen(*[30.0] * 12, grinder=coarse)["best"]

    assert (best["steps"], best["dose_by_g"]) == (0.0, -0.3)
    assert best["predicted_time_s"] < 30.0
    assert best["setting"] == 4.2


def test_dialling_in_is_done_when_the_typical_shot_is_surely_in_tolerance_and_not_before():
    assert not settled(chosen(28.0))
    assert settled(chosen(28.0, 28.0, 28.0))
    assert not settled(chosen(33.0, 33.0, 33.0))


def test_where_the_bars_setting_has_been_moved_since_the_forecast_is_for_there():
    state = pulled(*TAUGHT)
    here, finer = (choose(state, after(state, setting=setting), RECIPE, GRINDER)["now"] for setting in (4.5, 4.4))

    assert (here["setting"], finer["setting"]) == (4.5, 4.4)
    assert finer["predicted_time_s"] > here["predicted_time_s"]


@pytest.mark.parametrize(("time_s", "way"), [(46.0, -1), (16.5, 1)])
def test_so_far_off_that_no_move_lands_it_still_comes_closer(time_s, way):
    """Found on the simulated bar: where every chance is near none, all moves looked as good as staying."""
    choice = chosen(*[pull(time_s, 5 * i, purpose="dial_in") for i in range(4)])

    assert choice["best"]["steps"] == 3 * way
    assert choice["gain"] == 1.0


def test_however_a_few_noisy_shots_look_finer_is_taken_to_be_slower():
    shots = [pull(30.0, 5 * i) for i in range(4)] + [pull(35.0, 20 + 5 * i, setting=4.3, purge_g=3.0) for i in range(3)]

    best = chosen(*shots, setting=4.3)["best"]

    assert best["steps"] <= 0
