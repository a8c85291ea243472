"""Cost of a drink, by hand and by what must hold for any prices."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.compute.cost import drink_cost, milk_price_per_kg, price_per_kg
from server.compute.errors import BadInput

SHARE = st.floats(0, 0.3)


def test_a_milk_drink_by_hand():
    # 18 g at 24.00 a kilogram, 150 g of milk at 1.03 a litre (that is 1.00 a kilogram).
    cost = drink_cost(18.0, price_per_kg(6.0, 250.0), 150.0, milk_price_per_kg(1.03))
    assert cost.beans == pytest.approx(0.432)
    assert cost.milk == pytest.approx(0.150)
    assert (cost.lost, cost.per_drink) == (0.0, pytest.approx(0.582))


def test_the_served_drinks_of_a_day_together_pay_for_all_that_was_pulled():
    # 100 shots pulled: 8 sunk, 5 practice, 2 to warm up; 85 are served.
    cost = drink_cost(18.0, 25.0, sunk_share=0.08, practice_share=0.05, warm_up_share=0.02)
    assert 85 * cost.per_drink == pytest.approx(100 * 18.0 * 25.0 / 1000)


def test_milk_that_is_poured_away_is_paid_for_by_the_milk_that_is_drunk():
    cost = drink_cost(0.0, 0.0, 200.0, 1.0, milk_lost_share=0.2)
    assert 0.8 * cost.per_drink == pytest.approx(0.2)


@given(
    st.floats(0, 250), st.floats(0, 1000), st.floats(0, 2000), st.floats(0, 100), SHARE, SHARE, SHARE, SHARE
)
def test_every_cost_is_finite_adds_up_and_rises_with_what_is_lost(
    dose_g, beans_kg, milk_g, milk_kg, sunk, practice, warm_up, milk_lost
):
    shares = {"sunk_share": sunk, "practice_share": practice, "warm_up_share": warm_up}
    cost = drink_cost(dose_g, beans_kg, milk_g, milk_kg, **shares, milk_lost_share=milk_lost)
    assert all(math.isfinite(part) and part >= 0 for part in (cost.beans, cost.milk, cost.lost))
    assert cost.per_drink == pytest.approx(cost.beans + cost.milk + cost.lost)
    assert cost.per_drink >= drink_cost(dose_g, beans_kg, milk_g, milk_kg).per_drink


def test_the_reasons_hold_everything_that_the_sum_needs():
    why = drink_cost(18.0, 25.0, 150.0, 1.2, sunk_share=0.1).why[0]
    redone = why.inputs["dose_g"] * why.inputs["bean_price_per_kg"] / 1000 / (1 - why.inputs["sunk_share"])
    redone += why.inputs["milk_g"] * why.inputs["milk_price_per_kg"] / 1000
    assert redone == pytest.approx(drink_cost(18.0, 25.0, 150.0, 1.2, sunk_share=0.1).per_drink)


@pytest.mark.parametrize(
    ("ask", "field"),
    [
        (lambda: price_per_kg(-1.0, 250.0), "price"),
        (lambda: price_per_kg(10.0, 0.0), "mass_g"),
        (lambda: milk_price_per_kg(math.nan), "price_per_litre"),
        (lambda: drink_cost(251.0, 25.0), "dose_g"),
        (lambda: drink_cost(18.0, -1.0), "bean_price_per_kg"),
        (lambda: drink_cost(18.0, 25.0, 2001.0), "milk_g"),
        (lambda: drink_cost(18.0, 25.0, 100.0, math.inf), "milk_price_per_kg"),
        (lambda: drink_cost(18.0, 25.0, practice_share=0.96), "practice_share"),
        (lambda: drink_cost(18.0, 25.0, sunk_share=0.5, warm_up_share=0.5), "sunk_share"),
        (lambda: drink_cost(18.0, 25.0, milk_lost_share=-0.1), "milk_lost_share"),
    ],
)
def test_a_price_or_share_that_cannot_be_is_refused_by_the_name_of_its_field(ask, field):
    with pytest.raises(BadInput) as refused:
        ask()
    assert refused.value.field == field
