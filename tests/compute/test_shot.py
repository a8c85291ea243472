"""A shot's computed figures. Extraction by its identity; tolerances and limits are common practice, no source."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.compute.recipe import against_recipe
from server.compute.shot import shot_figures, shot_reasons

quick = settings(derandomize=True, max_examples=150, deadline=None)
SHOT = {
    "pulled_at": "2026-03-10T08:00:00+00:00",
    "dose_g": 18.0,
    "yield_g": 36.0,
    "time_s": 28.0,
    "first_drop_s": 8.0,
    "strength_pct": 9.5,
}
RECIPE = {"method": "espresso", "dose_g": 18.0, "yield_g": 36.0, "time_s": 28.0, "water_temp_c": 93.0}
BAG = {"roasted_on": "2026-03-01"}
FIGURES = {
    "ratio",
    "flow_g_s",
    "extraction_pct",
    "u_extraction_pct",
    "time_to_target_s",
    "u_time_to_target_s",
    "on_recipe",
    "outside",
    "rest_days",
    "stale_days",
    "freshness",
    "doubts",
}


def test_a_measured_shot_has_all_its_figures():
    found = shot_figures(SHOT, recipe=RECIPE, bag=BAG)
    assert set(found) == FIGURES
    assert found["ratio"] == 2.0
    assert found["flow_g_s"] == pytest.approx(1.8)
    assert found["extraction_pct"] == pytest.approx(19.0)
    assert found["u_extraction_pct"] == pytest.approx(0.15469, abs=1e-4)
    assert (found["time_to_target_s"], found["on_recipe"], found["outside"]) == (28.0, True, [])
    assert (found["rest_days"], found["stale_days"], found["freshness"]) == (9.0, 9.0, "in_window")
    assert found["doubts"] == []


@pytest.mark.parametrize("assumed", ["dose_g", "yield_g", "strength_pct"])
def test_nothing_assumed_enters_an_extraction(assumed):
    found = shot_figures({**SHOT, "assumed": [assumed]})
    assert (found["extraction_pct"], found["u_extraction_pct"]) == (None, None)
    assert found["ratio"] == 2.0


@pytest.mark.parametrize(
    ("absent", "figure"),
    [
        ("dose_g", "ratio"),
        ("yield_g", "ratio"),
        ("first_drop_s", "flow_g_s"),
        ("time_s", "flow_g_s"),
        ("strength_pct", "extraction_pct"),
        ("dose_g", "extraction_pct"),
        ("time_s", "time_to_target_s"),
        ("yield_g", "time_to_target_s"),
    ],
)
def test_what_was_not_measured_gives_no_figure(absent, figure):
    found = shot_figures({name: value for name, value in SHOT.items() if name != absent}, recipe=RECIPE)
    assert found[figure] is None


def test_without_bag_or_recipe_there_is_no_age_and_no_target():
    found = shot_figures(SHOT)
    for figure in ("rest_days", "stale_days", "freshness", "time_to_target_s", "on_recipe"):
        assert found[figure] is None
    assert found["outside"] == []


def test_one_spout_stands_for_both_but_enters_no_extraction():
    found = shot_figures({**SHOT, "yield_g": 18.0, "yield_of": "one_spout", "cups": 2}, recipe=RECIPE)
    assert found["ratio"] == 2.0
    assert found["flow_g_s"] == pytest.approx(1.8)
    assert found["extraction_pct"] is None
    assert found["on_recipe"] is None
    assert "one of 2 spouts was weighed" in found["doubts"][0]
    whole = shot_figures(SHOT, recipe=RECIPE)
    assert found["u_time_to_target_s"] > 3 * whole["u_time_to_target_s"]
    assert shot_figures({**SHOT, "yield_of": "all", "cups": 2})["extraction_pct"] == pytest.approx(19.0)


def test_brix_gives_a_strength_by_the_stated_factor():
    shot = {name: value for name, value in SHOT.items() if name != "strength_pct"}
    assert shot_figures({**shot, "brix_pct": 11.2})["extraction_pct"] == pytest.approx(2 * 0.85 * 11.2)
    warm = shot_figures({**shot, "brix_pct": 11.2, "sample_temp_c": 25.0})["extraction_pct"]
    assert warm == pytest.approx(2 * 0.85 * (11.2 + 0.3624))


@pytest.mark.parametrize(
    ("spoiled", "said"),
    [
        ({"time_s": 0.47, "first_drop_s": None}, "if it was 0.47 minutes, enter 28.2"),
        ({"yield_g": 300.0}, "check dose and yield"),
        ({"dose_g": 36.0, "yield_g": 18.0}, "are dose and yield swapped?"),
        ({"strength_pct": 0.095}, "looks like a fraction"),
        ({"strength_pct": 2.0}, "outside 4 to 18 %"),
        ({"first_drop_s": 40.0}, "first_drop_s: must be from 0"),
        ({"dose_g": 0.0}, "dose_g: must be from 0.1"),
        (
            {"strength_pct": None, "brix_pct": 11.2, "sample_temp_c": 60.0},
            "sample_temp_c: must be from 10 to 30",
        ),
    ],
)
def test_what_is_odd_about_a_shot_is_said_and_stops_nothing_else(spoiled, said):
    found = shot_figures({**SHOT, **spoiled}, bag=BAG)
    assert said in " | ".join(found["doubts"])
    assert len(found["doubts"]) == len(set(found["doubts"]))
    assert found["freshness"] == "in_window"


def test_a_shot_pulled_before_the_roast_or_after_the_end_of_its_bag_is_doubted():
    early = shot_figures(SHOT, bag={"roasted_on": "2026-03-20"})
    assert (early["freshness"], len(early["doubts"])) == (None, 1)
    late = shot_figures(SHOT, bag=BAG, bag_events=[{"at": "2026-03-09T08:00:00Z", "what": "finished"}])
    assert late["doubts"] == ["the bag was finished before this shot: check the bag"]


def test_only_what_happened_before_the_shot_counts():
    opened = [{"at": "2026-03-01T09:00:00Z", "what": "opened"}]
    thawed_later = [{"at": "2026-03-11T09:00:00Z", "what": "opened"}]
    assert shot_figures(SHOT, bag=BAG, bag_events=opened)["freshness"] == "past_window"
    assert shot_figures(SHOT, bag=BAG, bag_events=thawed_later)["freshness"] == "in_window"


def test_a_corrected_time_is_the_one_that_ages_go_by():
    found = shot_figures(SHOT, bag=BAG, pulled_at="2026-03-06T08:00:00Z")
    assert (found["rest_days"], found["freshness"]) == (5.0, "resting")


def test_time_to_target_is_for_espresso_measured_and_near_its_target():
    assert shot_figures({**SHOT, "method": "filter"}, recipe=RECIPE)["time_to_target_s"] is None
    assert shot_figures({**SHOT, "assumed": ["time_s"]}, recipe=RECIPE)["time_to_target_s"] is None
    assert shot_figures({**SHOT, "yield_g": 25.0}, recipe=RECIPE)["time_to_target_s"] is None
    by_grinder = shot_figures(
        {**SHOT, "yield_g": 38.0, "first_drop_s": None}, recipe=RECIPE, first_drop_usual_s=8.0
    )
    assert by_grinder["time_to_target_s"] == pytest.approx(28.0 - 2.0 * 20.0 / (1.2 * 38.0))


def test_the_method_is_the_recipes_where_the_shot_has_none():
    brew = {
        "pulled_at": SHOT["pulled_at"],
        "dose_g": 60.0,
        "yield_g": 880.0,
        "time_s": 240.0,
        "strength_pct": 1.35,
    }
    assert shot_figures(brew, recipe={"method": "filter", "yield_g": 880.0})["doubts"] == []
    assert shot_figures(brew)["doubts"] != []


@pytest.mark.parametrize(
    ("figures", "outside"),
    [
        ({"dose_g": 18.2}, []),
        ({"dose_g": 18.21}, ["dose_g"]),
        ({"yield_g": 37.5}, []),
        ({"yield_g": 34.4}, ["yield_g"]),
        ({"time_s": 31.0}, []),
        ({"time_s": 24.9}, ["time_s"]),
        ({"water_temp_c": 93.5}, []),
        ({"water_temp_c": 92.4}, ["water_temp_c"]),
        ({"pressure_bar": 3.0}, []),
        ({"dose_g": 19.0, "time_s": 40.0}, ["dose_g", "time_s"]),
        ({"dose_g": 19.0, "assumed": ["dose_g"]}, []),
    ],
)
def test_tolerances_are_the_usual_ones_where_the_recipe_has_none(figures, outside):
    found = against_recipe({**SHOT, **figures}, RECIPE)
    assert found == {"on_recipe": not outside, "outside": outside}


def test_the_recipes_own_tolerances_come_first():
    strict = {**RECIPE, "yield_g_tol": 0.5, "pressure_bar": 9.0, "pressure_bar_tol": 0.3}
    found = against_recipe({**SHOT, "yield_g": 37.0, "pressure_bar": 8.5}, strict)
    assert found["outside"] == ["yield_g", "pressure_bar"]
    assert against_recipe({**SHOT, "dose_g": 18.0}, {**RECIPE, "dose_g_tol": 0.0})["on_recipe"] is True


def test_a_figure_on_the_edge_of_its_tolerance_is_inside_whatever_binary_makes_of_it():
    assert 18.1 - 17.9 > 0.2  # in floating point
    assert against_recipe({**SHOT, "dose_g": 18.1}, {**RECIPE, "dose_g": 17.9})["on_recipe"] is True


def test_nobody_can_call_a_shot_on_recipe_whose_time_or_yield_was_not_measured():
    assert against_recipe({**SHOT, "assumed": ["time_s"]}, RECIPE)["on_recipe"] is None
    assert against_recipe({**SHOT, "assumed": ["time_s"], "yield_g": 50.0}, RECIPE)["on_recipe"] is False


def test_each_figure_that_a_shot_has_can_be_opened_and_no_other():
    reasons = {why.figure: why for why in shot_reasons({**SHOT, "yield_g": 37.0}, recipe=RECIPE, bag=BAG)}
    figures = shot_figures({**SHOT, "yield_g": 37.0}, recipe=RECIPE, bag=BAG)
    unexplained = {"outside", "doubts", "u_time_to_target_s"}
    assert set(reasons) == set(figures) - unexplained
    assert reasons["ratio"].inputs == {"dose_g": 18.0, "yield_g": 37.0}
    assert reasons["flow_g_s"].inputs == {"yield_g": 37.0, "time_s": 28.0, "first_drop_s": 8.0}
    assert reasons["on_recipe"].inputs["tolerance yield_g"] == 1.5
    bare = {"pulled_at": SHOT["pulled_at"], "dose_g": 18.0, "yield_g": 36.0, "assumed": ["dose_g"]}
    (ratio,) = shot_reasons(bare)
    assert ratio.assumed == ("dose_g was filled in, not measured",)


@quick
@given(
    st.floats(0.001, 250.0),
    st.floats(0.001, 3000.0),
    st.floats(0.001, 3600.0),
    st.none() | st.floats(0.0, 600.0),
    st.none() | st.floats(0.001, 30.0),
    st.none() | st.floats(0.001, 40.0),
    st.none() | st.floats(0.0, 60.0),
    st.lists(st.sampled_from(["dose_g", "yield_g", "time_s"]), unique=True),
    st.sampled_from([None, "espresso", "filter"]),
)
def test_whatever_a_person_may_save_has_finite_figures_or_none(
    dose_g, yield_g, time_s, first_drop_s, strength_pct, brix_pct, sample_temp_c, assumed, method
):
    names = (
        "dose_g",
        "yield_g",
        "time_s",
        "first_drop_s",
        "strength_pct",
        "brix_pct",
        "sample_temp_c",
        "method",
    )
    values = (dose_g, yield_g, time_s, first_drop_s, strength_pct, brix_pct, sample_temp_c, method)
    shot = {"pulled_at": SHOT["pulled_at"], "assumed": assumed, **dict(zip(names, values, strict=True))}
    found = shot_figures(shot, recipe=RECIPE, bag=BAG)
    numbers = [value for value in found.values() if isinstance(value, float)]
    assert set(found) == FIGURES
    assert all(map(math.isfinite, numbers))
