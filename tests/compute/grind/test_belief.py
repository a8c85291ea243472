"""The algebra against the closed form (Gelman et al., Bayesian Data Analysis, 3rd ed., section 14.8), scipy,
ordinary least squares and the state-space filter of statsmodels."""

import math

import numpy as np
import pytest
from scipy import stats
from statsmodels.regression.linear_model import OLS
from statsmodels.tsa.statespace.structural import UnobservedComponents

from server.compute.grind.belief import Belief

# The worked case of six shot times by position.
X = np.column_stack([np.ones(6), np.arange(6.0)])
Y = np.array([28.0, 28.6, 28.9, 29.9, 30.1, 31.0])


def line(mean, variances, dof, variance):
    """A belief about a level and a slope; `variances` in units of the noise."""
    cov = [[variances[0], 0.0], [0.0, variances[1]]]
    return Belief(["level", "slope"], list(mean), cov, dof, variance)


def taught(belief, x=X, y=Y):
    for row, seen in zip(x, y, strict=True):
        belief.learn({"level": row[0], "slope": row[1]}, seen)
    return belief


def test_shot_by_shot_it_reaches_the_closed_form_of_all_shots_at_once():
    belief = taught(line((28.0, 0.0), (4.0, 0.25), 4, 0.5))

    assert belief.mean == pytest.approx([28.20173913, 0.48260870], abs=1e-8)
    assert np.array(belief.cov) == pytest.approx(
        np.array([[0.41043478, -0.10434783], [-0.10434783, 0.04347826]]), abs=1e-8
    )
    assert (belief.dof / 2, belief.dof * belief.variance / 2) == pytest.approx((5.0, 1.63652174), abs=1e-8)


def test_the_slopes_interval_is_students_t_of_the_closed_form():
    belief = taught(line((28.0, 0.0), (4.0, 0.25), 4, 0.5))

    slope = stats.t(belief.dof, belief.mean[1], math.sqrt(belief.variance * belief.cov[1][1]))

    assert slope.ppf([0.025, 0.975]) == pytest.approx([0.216809, 0.748408], abs=1e-6)
    assert slope.sf(0.0) == pytest.approx(0.99883, abs=1e-5)


def test_the_forecasts_multiply_to_the_evidence_that_scipy_gives():
    belief, log_evidence = line((28.0, 0.0), (4.0, 0.25), 4, 0.5), 0.0
    for row, seen in zip(X, Y, strict=True):
        mean, spread, _ = belief.forecast({"level": row[0], "slope": row[1]})
        log_evidence += stats.t(belief.dof, mean, math.sqrt(spread * belief.variance)).logpdf(seen)
        belief.learn({"level": row[0], "slope": row[1]}, seen)

    shape = 0.5 * (np.eye(6) + X @ np.diag([4.0, 0.25]) @ X.T)
    assert log_evidence == pytest.approx(stats.multivariate_t(X @ [28.0, 0.0], shape, df=4).logpdf(Y), abs=1e-10)
    assert log_evidence == pytest.approx(-7.2824807, abs=1e-7)


def test_with_a_flat_prior_it_is_ordinary_least_squares():
    belief = taught(line((0.0, 0.0), (1e10, 1e10), 0, 1.0))

    fit = OLS(Y, X).fit()

    assert belief.mean == pytest.approx(fit.params, abs=1e-6)
    # Flat in the coefficients takes two degrees of freedom: the same sum of squares over n - 2.
    sigma2 = belief.dof * belief.variance / fit.df_resid
    assert math.sqrt(sigma2 * belief.cov[1][1]) == pytest.approx(fit.bse[1], abs=1e-6)


def test_a_wandering_level_is_the_local_level_model_of_statsmodels():
    rng = np.random.default_rng(3)
    y = 3.3 + np.cumsum(rng.normal(0, 0.02, 60)) + rng.normal(0, 0.06, 60)
    belief = Belief(["level"], [3.3], [[0.25 / 0.06**2]], 10**9, 0.06**2)
    ours = []
    for seen in y:
        belief.learn({"level": 1.0}, seen)
        ours.append((belief.mean[0], belief.cov[0][0] * 0.06**2))
        belief.dof, belief.variance = 10**9, 0.06**2  # the filter is told the variances
        belief.loosen(["level"], 0.02)

    model = UnobservedComponents(y, "local level")
    model.ssm.tolerance = 0.0  # never take the gain as settled
    model.ssm.initialize_known(np.array([3.3]), np.array([[0.25]]))
    found = model.filter([0.06**2, 0.02**2])

    assert [mean for mean, _ in ours] == pytest.approx(found.filtered_state[0], abs=1e-9)
    assert [variance for _, variance in ours] == pytest.approx(found.filtered_state_cov[0, 0], abs=1e-9)


def test_an_unknown_around_another_shares_its_doubt():
    belief = Belief(["grinder"], [3.0], [[4.0]], 10, 0.01)

    belief.add("coffee", 0.1, 0.2, around="grinder")

    assert belief.mean == [3.0, 3.1]
    assert np.array(belief.cov) == pytest.approx(np.array([[4.0, 4.0], [4.0, 8.0]]))


def test_forgetting_one_unknown_leaves_what_it_taught():
    belief = taught(line((28.0, 0.0), (4.0, 0.25), 4, 0.5))
    kept = (belief.mean[1], belief.cov[1][1])

    belief.drop("level")

    assert (belief.names, belief.mean[0], belief.cov[0][0]) == (["slope"], *kept)


def test_levels_that_moved_together_stay_as_far_apart():
    belief = Belief(["a", "b"], [1.0, 2.0], [[1.0, 0.9], [0.9, 1.0]], 10, 0.04)
    apart = belief.forecast({"a": 1.0, "b": -1.0}, noise=0.0)[1]

    belief.loosen(["a", "b"], 0.4)

    assert belief.forecast({"a": 1.0, "b": -1.0}, noise=0.0)[1] == pytest.approx(apart)
    assert belief.cov[0][0] == pytest.approx(1.0 + 0.4**2 / 0.04)
