"""Costs by site and week, by hand and by what must hold for any list of uses."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from server.compute.errors import BadInput
from server.compute.week_costs import GROUPS, ITEMS, Use, week_costs

MONDAY = date(2026, 3, 2)
BAR, CART = "Lantern Quay", "Market cart"

USES = st.lists(
    st.builds(
        Use,
        site=st.sampled_from([BAR, CART]),
        day=st.integers(0, 40).map(lambda days: MONDAY + timedelta(days=days)),
        item=st.sampled_from(ITEMS),
        cause=st.sampled_from(list(GROUPS)),
        mass_g=st.floats(0, 1e6),
        count=st.integers(0, 1000),
        price_per_kg=st.none() | st.floats(0, 1e5),
    ),
    max_size=30,
)


def beans(cause, mass_g, count=1, day=MONDAY, site=BAR, price=25.0):
    return Use(site, day, "beans", cause, mass_g, count, price, "EUR")


def test_a_week_at_the_bar_by_hand():
    [week] = week_costs(
        [
            beans("served", 1440.0, 80),
            beans("served", 180.0, 10, day=MONDAY + timedelta(days=6)),
            beans("sunk", 90.0, 5),
            beans("practice", 54.0, 3),
            beans("warm_up", 36.0, 2),
            beans("purge", 20.0, 0),
            Use(BAR, MONDAY, "milk", "served", 12_000.0, 70, 1.0, "EUR"),
            Use(BAR, MONDAY, "milk", "poured_away", 800.0, 6, 1.0, "EUR"),
        ]
    )
    by_cause = {(cause.cause, cause.item): cause for cause in week.causes}
    assert (week.site, week.week, week.currency) == (BAR, "2026-W10", "EUR")
    assert by_cause["served", "beans"].mass_g == 1620.0
    assert by_cause["served", "beans"].cost == pytest.approx(40.50)
    assert week.waste_cost == pytest.approx(2.25 + 0.80)
    assert week.cost == pytest.approx(1820 * 25 / 1000 + 12.8)
    assert week.served_shots == 90
    assert week.per_served_shot == pytest.approx(1820 * 25 / 1000 / 90)


def test_practice_is_training_and_not_waste():
    [week] = week_costs([beans("served", 18.0), beans("practice", 180.0, 10)])
    assert week.waste_cost == 0.0
    assert {cause.group for cause in week.causes} == {"served", "training"}


def test_the_share_sunk_has_the_wilson_interval_of_statsmodels():
    [week] = week_costs([beans("served", 1710.0, 95), beans("sunk", 90.0, 5), beans("practice", 90.0, 5)])
    assert week.sunk_share == 0.05
    assert week.sunk_interval == pytest.approx(proportion_confint(5, 100, method="wilson"), abs=1e-12)


def test_weeks_begin_on_monday_and_the_year_is_the_weeks():
    # ISO 8601: 29 December 2025 is the Monday of 2026-W01, 28 December the Sunday of 2025-W52.
    days = (date(2025, 12, 28), date(2025, 12, 29), date(2026, 1, 4), date(2026, 1, 5))
    weeks = week_costs([beans("served", 18.0, day=day) for day in days])
    assert [(week.week, week.served_shots) for week in weeks] == [
        ("2025-W52", 1),
        ("2026-W01", 2),
        ("2026-W02", 1),
    ]


def test_sites_are_kept_apart():
    weeks = week_costs([beans("served", 18.0), beans("served", 36.0, 2, site=CART)])
    assert [(week.site, week.served_shots) for week in weeks] == [(BAR, 1), (CART, 2)]


def test_beans_without_a_price_count_as_mass_and_are_told():
    [week] = week_costs([beans("served", 18.0), beans("served", 20.0, price=None)])
    assert (week.unpriced_g, week.cost) == (20.0, pytest.approx(0.45))
    assert any("unpriced_g" in text for text in week.why[0].assumed)


def test_a_week_in_which_nothing_was_served_has_no_cost_per_shot():
    [week] = week_costs([beans("warm_up", 36.0, 2)])
    assert (week.per_served_shot, week.sunk_share, week.sunk_interval) == (None, None, None)


def test_no_uses_have_no_weeks():
    assert week_costs([]) == []


@given(USES)
def test_nothing_is_lost_between_the_uses_and_the_weeks(uses):
    weeks = week_costs(uses)
    assert sum(cause.mass_g for week in weeks for cause in week.causes) == pytest.approx(
        sum(use.mass_g for use in uses)
    )
    assert sum(week.cost for week in weeks) == pytest.approx(
        sum(use.mass_g * (use.price_per_kg or 0.0) / 1000 for use in uses)
    )
    assert all(0.0 <= week.waste_cost <= week.cost * (1 + 1e-9) + 1e-9 for week in weeks)


@given(USES, st.randoms(use_true_random=False))
def test_the_order_of_the_uses_does_not_matter(uses, shuffle):
    in_order = week_costs(uses)
    shuffle.shuffle(uses)
    assert week_costs(uses) == in_order


@pytest.mark.parametrize(
    ("uses", "field"),
    [
        ([Use(BAR, MONDAY, "cups", "served", 1.0)], "item"),
        ([Use(BAR, MONDAY, "beans", "lost", 1.0)], "cause"),
        ([Use(BAR, MONDAY, "beans", "served", -1.0)], "mass_g"),
        ([Use(BAR, MONDAY, "beans", "served", float("nan"))], "mass_g"),
        ([Use(BAR, MONDAY, "beans", "served", 1.0, -1)], "count"),
        ([Use(BAR, MONDAY, "beans", "served", 1.0, 1, -1.0)], "price_per_kg"),
        ([beans("served", 1.0), Use(BAR, MONDAY, "milk", "served", 1.0, 1, 1.0, "GBP")], "currency"),
    ],
)
def test_a_use_that_cannot_be_is_refused_by_the_name_of_its_field(uses, field):
    with pytest.raises(BadInput) as refused:
        week_costs(uses)
    assert refused.value.field == field
