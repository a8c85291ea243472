"""Milks by composition, and their heat capacity against Choi and Okos, Kessler and the dairy handbooks."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.compute.errors import BadInput
from server.compute.milk_kinds import MILKS, mean_specific_heat_kj_kg_k, milk_kind

SHARES = ("water", "protein", "fat", "carbohydrate", "ash")
# Annex II of Regulation (EU) No 1169/2011, by our short words.
DECLARED = {"milk", "oats", "gluten", "soya", "nuts"}


@pytest.mark.parametrize("kind", MILKS.values(), ids=MILKS)
def test_the_shares_of_a_milk_add_up_to_the_whole(kind):
    assert sum(getattr(kind, share) for share in SHARES) == pytest.approx(1.0, abs=1e-12)
    assert all(getattr(kind, share) >= 0 for share in SHARES)


@pytest.mark.parametrize("kind", MILKS.values(), ids=MILKS)
def test_a_milk_says_where_its_composition_comes_from_and_which_allergens_it_holds(kind):
    assert kind.source
    assert set(kind.allergens) <= DECLARED
    assert kind.allergens or kind.name == "coconut"


# Choi and Okos (1986), coefficients as printed, worked by hand for these two compositions.
@pytest.mark.parametrize(
    ("name", "temp_c", "heat"), [("whole", 4, 3.881), ("whole", 30, 3.888), ("whole", 55, 3.900)]
)
def test_heat_capacity_at_a_temperature_is_that_of_choi_and_okos(name, temp_c, heat):
    assert mean_specific_heat_kj_kg_k(MILKS[name], temp_c, temp_c) == pytest.approx(heat, abs=1e-3)


@pytest.mark.parametrize(("name", "heat"), [("whole", 3.8884), ("skim", 3.9570)])
def test_mean_heat_capacity_from_fridge_to_jug_is_that_of_choi_and_okos(name, heat):
    assert mean_specific_heat_kj_kg_k(MILKS[name], 4, 55) == pytest.approx(heat, abs=1e-3)


# An older and simpler rule: 4.18 w + 1.4 c + 1.6 p + 1.7 f + 0.8 a, Kessler, Food Engineering and Dairy
# Technology (1981), quoted by IASRI's dairy engineering course; and the handbook figures beside it.
@pytest.mark.parametrize("name", MILKS)
def test_heat_capacity_is_within_two_percent_of_kesslers_rule(name):
    kind = MILKS[name]
    shares = (kind.water, kind.carbohydrate, kind.protein, kind.fat, kind.ash)
    kessler = sum(share * heat for share, heat in zip(shares, (4.18, 1.4, 1.6, 1.7, 0.8), strict=True))
    assert mean_specific_heat_kj_kg_k(kind, 4, 55) == pytest.approx(kessler, rel=0.02)


@pytest.mark.parametrize(
    ("name", "handbook"),
    [("whole", 3.85), ("whole", 3.93), ("skim", 3.98)],  # Geankoplis App. A.4-1; IASRI; Geankoplis
)
def test_heat_capacity_is_within_two_and_a_half_percent_of_the_handbooks(name, handbook):
    assert mean_specific_heat_kj_kg_k(MILKS[name], 4, 55) == pytest.approx(handbook, rel=0.025)


@given(st.sampled_from(list(MILKS)), st.floats(0, 100), st.floats(0, 100))
def test_the_mean_lies_between_fat_and_water_and_does_not_depend_on_the_order(name, start_c, end_c):
    heat = mean_specific_heat_kj_kg_k(MILKS[name], start_c, end_c)
    assert 3.6 < heat < 4.23
    assert heat == pytest.approx(mean_specific_heat_kj_kg_k(MILKS[name], end_c, start_c), rel=1e-12)


def test_a_milk_nobody_knows_is_refused_with_the_names_that_exist():
    with pytest.raises(BadInput) as refused:
        milk_kind("whle")
    assert refused.value.field == "milk"
    assert "whole" in refused.value.errors["milk"][0]


@pytest.mark.parametrize(("start_c", "end_c", "field"), [(-1, 50, "start_c"), (4, 101, "end_c")])
def test_a_temperature_that_milk_cannot_have_is_refused_by_name(start_c, end_c, field):
    with pytest.raises(BadInput) as refused:
        mean_specific_heat_kj_kg_k(MILKS["whole"], start_c, end_c)
    assert refused.value.field == field
