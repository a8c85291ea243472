"""Student's t against scipy."""

import numpy as np
import pytest
from scipy import stats

from server.compute.errors import BadInput
from server.compute.grind.student_t import t_90, t_cdf
from server.compute.grind.watch import as_normal


@pytest.mark.parametrize("dof", [1, 2, 3, 4, 10, 11, 60, 121])
def test_the_chance_equals_scipys(dof):
    for value in np.linspace(-30, 30, 61):
        assert t_cdf(value, dof) == pytest.approx(stats.t.cdf(value, dof), abs=1e-13)


def test_the_ninety_percent_point_equals_scipys_within_what_is_stated():
    assert all(abs(t_90(dof) - stats.t.ppf(0.9, dof)) < 1e-6 for dof in range(12, 130))
    assert all(abs(t_90(dof) - stats.t.ppf(0.9, dof)) < 3e-5 for dof in range(5, 12))


@pytest.mark.parametrize("dof", [8, 20, 100])
def test_a_t_becomes_the_normal_deviate_of_the_same_tail(dof):
    for tail in (0.1, 0.01, 0.001, 0.00023):
        t = stats.t.isf(tail, dof)
        assert as_normal(t, dof) == pytest.approx(stats.norm.isf(tail), abs=0.02)
        assert as_normal(-t, dof) == -as_normal(t, dof)


@pytest.mark.parametrize("function", [lambda: t_cdf(0.0, 0), lambda: t_90(4)])
def test_too_few_degrees_of_freedom_are_refused(function):
    with pytest.raises(BadInput, match="dof"):
        function()
