"""A figure outside its range is refused by name."""

import math

import pytest

from server.compute.errors import BadInput
from server.compute.ranges import within


@pytest.mark.parametrize("value", [0.0, 100.0, 55])
def test_a_figure_at_or_between_its_limits_comes_back_unchanged(value):
    assert within("target_c", value, 0.0, 100.0, "°C") == value


@pytest.mark.parametrize("value", [-0.001, 100.001, math.nan, math.inf, -math.inf])
def test_a_figure_beyond_its_limits_is_refused_with_name_range_and_unit(value):
    with pytest.raises(BadInput) as refused:
        within("target_c", value, 0.0, 100.0, "°C")
    assert refused.value.field == "target_c"
    assert "from 0 to 100 °C" in refused.value.errors["target_c"][0]
