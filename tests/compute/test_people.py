"""People beside their team: against a mixed model of statsmodels on seeded data, and by coverage."""

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2
from scipy.stats import t as student
from statsmodels.regression.mixed_linear_model import MixedLM

from server.compute import mixture, spread_pooling
from server.compute.errors import BadInput
from server.compute.people import people
from server.compute.pooling import ENOUGH_SHOTS, fit, group, pooled

SEEDS = range(6)


def team_of(seed, counts=(40, 35, 60, 25, 50, 12, 30, 18), apart=3.0, spread=5.0):
    """A seeded team: true offsets from the house level, and each person's values."""
    rng = np.random.default_rng(seed)
    levels = rng.normal(0.0, apart, len(counts))
    values = {
        f"person {i}": [float(v) for v in 1.0 + levels[i] + rng.normal(0.0, spread, count)]
        for i, count in enumerate(counts)
    }
    established = [count if count >= ENOUGH_SHOTS else 0 for count in counts]
    return levels - np.average(levels, weights=established), values


def mixed_model(values):
    """statsmodels' REML fit of one random intercept per person."""
    rows = pd.DataFrame([(name, v) for name, shots in values.items() for v in shots], columns=["person", "v"])
    model = MixedLM.from_formula("v ~ 1", rows, groups="person")
    # Powell: its other optimisers stop short, or at no difference at all, on some of these seeds.
    return model.fit(reml=True, method="powell")


@pytest.mark.parametrize("seed", SEEDS)
def test_at_the_mixed_models_own_ratio_every_level_is_its_prediction(seed):
    _, values = team_of(seed)
    theirs = mixed_model(values)
    ours = fit(
        [group(shots) for shots in values.values()], math.sqrt(theirs.cov_re.iloc[0, 0] / theirs.scale)
    )
    assert ours.levels_mean == pytest.approx(theirs.fe_params.iloc[0], abs=1e-9)
    assert ours.shot_variance == pytest.approx(theirs.scale, rel=1e-9)
    predicted = [theirs.fe_params.iloc[0] + theirs.random_effects[name].iloc[0] for name in values]
    assert ours.levels == pytest.approx(predicted, abs=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_likeliest_ratio_is_the_mixed_models(seed):
    _, values = team_of(seed)
    theirs = mixed_model(values)
    groups = [group(shots) for shots in values.values()]
    best = max((step / 1000 for step in range(4000)), key=lambda ratio: fit(groups, ratio).log_likelihood)
    assert best == pytest.approx(math.sqrt(theirs.cov_re.iloc[0, 0] / theirs.scale), abs=2e-3)


@pytest.mark.parametrize("seed", SEEDS)
def test_offsets_averaged_over_the_ratio_stay_close_to_the_mixed_models(seed):
    _, values = team_of(seed)
    theirs = mixed_model(values)
    effects = np.array([theirs.random_effects[name].iloc[0] for name in values])
    effects -= np.average(effects, weights=[len(shots) for shots in values.values()])
    ours = people(values)
    for person, effect in zip(ours.people, effects, strict=True):
        low, high = person.offset_interval
        assert person.offset == pytest.approx(effect, abs=0.05 * (high - low))


@pytest.mark.parametrize("teams", [30, pytest.param(500, marks=pytest.mark.nightly)])
def test_the_95_percent_intervals_hold_the_truth_about_95_times_in_100(teams):
    held_offsets, held_spreads, told = 0, 0, 0
    rng = np.random.default_rng(20260301)
    for _ in range(teams):
        counts = rng.integers(10, 40, 6)
        levels = rng.normal(0.0, rng.choice([1.0, 2.0, 4.0]), 6)
        spreads = 5.0 * np.sqrt(16 / rng.chisquare(16, 6))
        values = {
            str(i): list(map(float, levels[i] + rng.normal(0.0, spreads[i], counts[i]))) for i in range(6)
        }
        house = np.average(levels, weights=counts)
        for person, level, spread in zip(people(values).people, levels, spreads, strict=True):
            held_offsets += person.offset_interval[0] <= level - house <= person.offset_interval[1]
            held_spreads += person.spread_interval[0] <= spread <= person.spread_interval[1]
            told += 1
    # Four standard errors of a share of 95 % either way; at least 0.02, since offsets take everybody's shots to
    # spread alike, which these don't (0.936 measured over 400 teams).
    slack = max(0.02, 4 * math.sqrt(0.95 * 0.05 / told))
    assert held_offsets / told == pytest.approx(0.95, abs=slack)
    assert held_spreads / told == pytest.approx(0.95, abs=slack)


@pytest.mark.parametrize("seed", range(20))
def test_five_shots_by_a_newcomer_never_say_anything_against_them(seed):
    _, values = team_of(seed)
    rng = np.random.default_rng(seed)
    values["newcomer"] = [float(v) for v in rng.normal(25.0, 15.0, 5)]
    newcomer = people(values).people[-1]
    assert (newcomer.offset_says, newcomer.spread_says) == ("too_early", "too_early")
    assert abs(newcomer.offset) < abs(np.mean(values["newcomer"]) - people(values).house_level)


def test_a_newcomers_interval_overlaps_most_of_the_teams():
    # So nobody can put them last: what five shots say fits most places.
    overlapping = 0
    for seed in range(20):
        _, values = team_of(seed, counts=(40, 40, 40, 40, 5))
        *others, newcomer = people(values).people
        low, high = newcomer.offset_interval
        overlapping += sum(
            low <= other.offset_interval[1] and other.offset_interval[0] <= high for other in others
        )
    assert overlapping / (20 * 4) > 0.6


def test_a_newcomers_wild_start_says_nothing_of_the_others():
    steady = [0.3, -0.2, 0.1, -0.4, 0.2] * 6
    values = {"Ida": steady, "Teo": [-v for v in steady], "Mara": [30.0, 28.0, 35.0]}
    alone = people({"Ida": values["Ida"], "Teo": values["Teo"]})
    with_mara = people(values)
    assert [person.offset_says for person in with_mara.people[:2]] == ["no_difference_shown"] * 2
    assert with_mara.house_level == pytest.approx(alone.house_level, abs=0.2)


def test_people_keep_the_order_in_which_they_were_given_and_have_no_rank():
    _, values = team_of(1)
    told = people(values).people
    assert [person.person for person in told] == list(values)
    assert not any("rank" in field or "place" in field for field in vars(told[0]))


@pytest.mark.parametrize("ratio", [0.2, 0.7, 2.0])
def test_the_doubt_of_an_offset_is_that_of_hendersons_mixed_model_equations(ratio):
    # C. R. Henderson, Best linear unbiased estimation and prediction under a selection model, Biometrics 31
    # (1975) 423-447: the inverse of the equations holds the variances of prediction; here by NumPy.
    _, values = team_of(5, counts=(40, 25, 12, 5))
    counts = np.array([40, 25, 12, 5])
    equations = np.block(
        [[np.array([[counts.sum()]]), counts[None, :]], [counts[:, None], np.diag(counts + ratio**-2)]]
    )
    covariance = np.linalg.inv(equations)
    house = np.where(counts >= ENOUGH_SHOTS, counts, 0) / counts[counts >= ENOUGH_SHOTS].sum()
    ours = fit([group(shots) for shots in values.values()], ratio)
    for i in range(4):
        contrast = np.concatenate([[0.0], np.eye(4)[i] - house])
        expected = ours.shot_variance * contrast @ covariance @ contrast
        assert ours.variances[i] == pytest.approx(expected, rel=1e-9)


def test_a_person_of_one_shot_is_given_the_teams_spread():
    _, values = team_of(2)
    team = people({**values, "new": [3.0]})
    assert team.people[-1].spread == pytest.approx(team.team_spread, rel=1e-9)


def test_a_person_who_runs_clearly_longer_and_wider_is_told_so_once_there_are_enough_shots():
    rng = np.random.default_rng(4)
    values = {name: [float(v) for v in rng.normal(0, 3, 60)] for name in ("Ida", "Teo")}
    values["Mara"] = [float(v) for v in rng.normal(10, 9, 60)]
    ida, _, mara = people(values).people
    assert (mara.offset_says, mara.spread_says) == ("above", "wider")
    assert ida.offset_says == "below"


@pytest.mark.parametrize("distance", [0.0, 4.0, 20.0])
def test_the_fewer_the_shots_the_wider_the_interval_and_the_closer_to_the_team(distance):
    _, values = team_of(3, counts=(30, 30, 30))
    others = [group(shots) for shots in values.values()]
    told = [pooled([*others, group([distance] * count)]) for count in (1, 3, 5, 9)]
    widths = [one.intervals[-1][1] - one.intervals[-1][0] for one in told]
    assert widths == sorted(widths, reverse=True)
    kept = [abs(one.offsets[-1] / (distance - one.house_level)) for one in told]
    assert kept == sorted(kept) and kept[-1] < 1.0


@given(
    st.lists(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=12), min_size=2, max_size=5),
)
@settings(max_examples=20, deadline=None)
def test_every_figure_is_finite_and_inside_its_interval(lists):
    team = people({str(i): values for i, values in enumerate(lists)})
    assert math.isfinite(team.house_level) and team.team_spread > 0 and team.people_spread >= 0
    for person in team.people:
        low, high = person.offset_interval
        slack = 1e-6 * (1.0 + abs(person.offset) + high - low)
        assert low - slack <= person.offset <= high + slack
        assert 0 < person.spread_interval[0] < person.spread_interval[1] < math.inf


def test_values_that_are_all_the_same_show_no_difference():
    team = people({"Ida": [2.0] * 12, "Teo": [2.0] * 12})
    assert [person.offset_says for person in team.people] == ["no_difference_shown"] * 2
    assert team.house_level == pytest.approx(2.0)


def test_shifting_and_stretching_the_unit_shifts_and_stretches_the_answer():
    _, values = team_of(2)
    plain = people(values)
    other = people({name: [7.0 + 10.0 * v for v in shots] for name, shots in values.items()})
    assert other.house_level == pytest.approx(7.0 + 10.0 * plain.house_level)
    for one, ten in zip(plain.people, other.people, strict=True):
        assert ten.offset == pytest.approx(10.0 * one.offset, abs=1e-6)
        assert ten.spread_interval == pytest.approx([10.0 * edge for edge in one.spread_interval], rel=1e-6)


@pytest.mark.parametrize("dof", [3, 5, 10, 40, 500])
@pytest.mark.parametrize("share", [0.005, 0.025, 0.5, 0.9, 0.975])
def test_the_approximate_t_is_within_two_thousandths_of_scipys(dof, share):
    assert mixture._t_below(student.ppf(share, dof) * 2.0, 4.0, dof) == pytest.approx(share, abs=2e-3)


@pytest.mark.parametrize("dof", [4, 6, 15, 60])
@pytest.mark.parametrize("share", [0.025, 0.5, 0.975])
def test_the_approximate_chi_square_is_within_four_thousandths_of_scipys(dof, share):
    assert spread_pooling._chi2_below(chi2.ppf(share, dof), dof) == pytest.approx(share, abs=4e-3)


@pytest.mark.parametrize(
    ("ask", "field"),
    [
        (lambda: people({}), "people"),
        (lambda: people({"Ida": [1.0, 2.0, 3.0, 4.0]}), "people"),
        (lambda: people({"Ida": [1.0], "Teo": [2.0]}), "values"),
        (lambda: people({"Ida": [1.0, 2.0, 3.0], "Teo": []}), "values"),
        (lambda: people({"Ida": [1.0, 2.0, math.nan], "Teo": [1.0]}), "values"),
        (lambda: people({str(i): [float(i)] for i in range(5)}), "values"),
        (lambda: fit([group([1.0, 2.0])] * 2, -0.1), "ratio"),
        (lambda: pooled([group([1.0, 2.0])] * 201), "people"),
    ],
)
def test_a_team_that_cannot_be_is_refused_by_the_name_of_the_field(ask, field):
    with pytest.raises(BadInput) as refused:
        ask()
    assert refused.value.field == field
