"""Blind-test odds against SciPy's binomial and the published tables of minimum correct answers."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, binomtest

from server.compute.binomial import chance_at_least, chances, exact_bounds
from server.compute.errors import BadInput
from server.compute.panel import LUCK, chance_to_find, luck, needed_right, tasters_needed
from server.compute.tasting import CAUTION, tasting_odds

TESTS = list(LUCK)


def counts(least=1, most=400):
    return st.integers(least, most).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))


@pytest.mark.parametrize("of", [1, 6, 37, 400])
@pytest.mark.parametrize("share", [0.0, 0.001, 1 / 3, 0.5, 2 / 3, 0.999, 1.0])
def test_the_chances_of_each_count_are_those_of_scipy(of, share):
    assert chances(of, share) == pytest.approx(
        list(binom.pmf(range(of + 1), of, share)), rel=1e-9, abs=1e-300
    )


@given(counts(), st.floats(0, 1))
def test_the_chance_of_a_count_or_more_is_that_of_scipy(count_of, share):
    count, of = count_of
    assert chance_at_least(count, of, share) == pytest.approx(
        binom.sf(count - 1, of, share), rel=1e-9, abs=1e-12
    )


@pytest.mark.parametrize("of", [1, 6, 25, 120])
def test_the_bounds_are_those_of_clopper_and_pearson_in_scipy(of):
    for count in range(0, of + 1, max(1, of // 7)):
        theirs = binomtest(count, of).proportion_ci(0.95, method="exact")
        assert exact_bounds(count, of, 0.975) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


# FAO V7180E, appendix A, triangle test: fewest correct of n = 6..30, 36, 42, 48, 54, 60 at 5, 1 and 0.1 %.
# Duo-trio and one-sided paired: ISO 10399 and ISO 5495 by the same principle, worked with SciPy.
PANELS = [*range(6, 31), 36, 42, 48, 54, 60]
TABLE = {
    ("triangle", 0.05): "5 5 6 6 7 7 8 8 9 9 9 10 10 11 11 12 12 12 13 13 14 14 15 15 15 18 20 22 25 27",
    ("triangle", 0.01): "6 6 7 7 8 8 9 9 10 10 11 11 12 12 13 13 14 14 15 15 15 16 16 17 17 20 22 25 27 30",
    (
        "triangle",
        0.001,
    ): "- 7 8 8 9 10 10 11 11 12 12 13 13 14 14 15 15 16 16 17 17 18 18 19 19 22 25 27 30 33",
    ("duo_trio", 0.05): "6 7 7 8 9 9 10 10 11 12 12 13 13 14 15 15 16 16 17 18 18 19 19 20 20 24 27 31 34 37",
    ("paired", 0.01): "- 7 8 9 10 10 11 12 12 13 14 14 15 15 16 17 17 18 19 19 20 20 21 22 22 26 29 33 36 40",
    (
        "paired",
        0.001,
    ): "- - - - 10 11 12 13 13 14 15 16 16 17 18 18 19 20 20 21 22 22 23 24 24 28 32 36 39 43",
}


@pytest.mark.parametrize(("test", "alpha"), TABLE)
def test_the_fewest_right_answers_are_those_of_the_published_tables(test, alpha):
    published = [None if entry == "-" else int(entry) for entry in TABLE[test, alpha].split()]
    assert [needed_right(test, of, alpha) for of in PANELS] == published


def test_the_larger_triangle_panels_are_those_of_the_published_table():
    rows = {31: (16, 18, 20), 32: (16, 18, 20), 33: (17, 18, 21), 34: (17, 19, 21), 35: (17, 19, 22)}
    mine = {of: tuple(needed_right("triangle", of, alpha) for alpha in (0.05, 0.01, 0.001)) for of in rows}
    assert mine == rows


def test_the_two_sided_preference_counts_are_those_of_the_table():
    published = "6 7 8 8 9 10 10 11 12 12 13 13 14 15 15 16 17 17 18 18 19 20 20 21 21"
    mine = [needed_right("paired", of, 0.05, two_sided=True) for of in range(6, 31)]
    assert mine == [int(entry) for entry in published.split()]


@given(st.sampled_from(TESTS), st.integers(1, 400), st.floats(0.0001, 0.5))
def test_the_fewest_right_answers_are_the_smallest_tail_of_scipy_within_alpha(test, of, alpha):
    needed = needed_right(test, of, alpha)
    if needed is None:
        assert binom.sf(of - 1, of, LUCK[test]) > alpha * (1 - 1e-9)
    else:
        assert binom.sf(needed - 1, of, LUCK[test]) <= alpha * (1 + 1e-9)
        assert binom.sf(needed - 2, of, LUCK[test]) > alpha * (1 - 1e-9)


def test_six_tasters_need_five_right_in_a_triangle_and_five_tasters_four():
    assert tasting_odds("triangle", 5, 6).chance_by_luck == pytest.approx(0.018, abs=5e-4)
    assert tasting_odds("triangle", 4, 5).chance_by_luck == pytest.approx(0.045, abs=5e-4)
    assert tasting_odds("triangle", 4, 5).needed == 4


# Panel sizes at alpha 0.05 as tabulated in ISO 4120 and ASTM E1885 (from memory, not verified); the
# search itself is checked against SciPy below.
@pytest.mark.parametrize(
    ("share", "power", "tasters"),
    [(0.5, 0.8, 16), (0.5, 0.9, 20), (0.3, 0.8, 40), (0.3, 0.9, 53), (0.2, 0.8, 87), (0.1, 0.8, 325)],
)
def test_the_triangle_panel_that_finds_a_difference_is_that_of_the_standards(share, power, tasters):
    assert tasters_needed("triangle", share, 0.05, power) == tasters


@pytest.mark.parametrize("test", TESTS)
@pytest.mark.parametrize("share", [0.25, 0.5, 1.0])
def test_the_number_of_tasters_is_the_first_whose_power_reaches_the_target_by_scipy(test, share):
    by_luck = LUCK[test]
    right = share + (1 - share) * by_luck

    def power(of):
        needed = next((k for k in range(of + 1) if binom.sf(k - 1, of, by_luck) <= 0.05), None)
        return 0.0 if needed is None else binom.sf(needed - 1, of, right)

    assert tasters_needed(test, share) == next(of for of in range(1, 200) if power(of) >= 0.8)


def test_the_power_of_a_two_sided_test_counts_both_ends():
    needed = needed_right("paired", 20, 0.05, two_sided=True)
    theirs = binom.sf(needed - 1, 20, 0.75) + binom.cdf(20 - needed, 20, 0.75)
    assert chance_to_find("paired", 20, 0.5, two_sided=True) == pytest.approx(theirs, rel=1e-9)


def test_a_difference_too_small_for_four_hundred_tasters_has_no_number():
    assert tasters_needed("duo_trio", 0.1) is None
    assert "more than 400" in tasting_odds("duo_trio", 4, 8, worth_finding=0.1).sentence


@given(st.sampled_from(TESTS), counts(most=120))
def test_more_right_answers_are_less_likely_by_luck_and_show_more_who_can_tell(test, count_of):
    right, of = count_of
    if right == of:
        right -= 1
    less, more = (tasting_odds(test, count, of, worth_finding=1.0) for count in (right, right + 1))
    assert more.chance_by_luck <= less.chance_by_luck
    assert more.discriminators.at_most >= less.discriminators.at_most
    assert more.differs or not less.differs


@given(st.sampled_from(TESTS), counts(most=60), st.floats(0.001, 0.4))
def test_every_figure_is_finite_and_a_share_is_a_share(test, count_of, alpha):
    odds = tasting_odds(test, *count_of, alpha=alpha, worth_finding=1.0)
    low, high = odds.discriminators.interval
    shares = (
        odds.chance_by_luck,
        odds.discriminators.share,
        low,
        high,
        odds.discriminators.at_most,
        odds.power,
    )
    assert all(math.isfinite(share) and 0 <= share <= 1 for share in shares)
    assert low <= odds.discriminators.share + 1e-12 and odds.discriminators.share <= high + 1e-12
    assert odds.differs == (odds.needed is not None and count_of[0] >= odds.needed)


# How sure one can be that there is no difference: the exact upper bound of SciPy, carried over to tellers.
def test_how_many_might_tell_after_all_is_the_exact_upper_bound():
    odds = tasting_odds("triangle", 11, 30)
    upper = binomtest(11, 30, alternative="less").proportion_ci(0.95, method="exact").high
    assert odds.discriminators.at_most == pytest.approx((upper - 1 / 3) / (2 / 3), abs=1e-9)
    assert "doesn't prove there is none" in odds.sentence


def test_a_clear_result_is_said_plainly():
    sentence = tasting_odds("triangle", 5, 6).sentence
    assert sentence == "5 of 6 right: guessing gets that many 1.8 times in 100. People can tell them apart."


def test_an_unclear_result_says_how_many_tasters_would_do():
    sentence = tasting_odds("triangle", 3, 6).sentence
    assert "No difference is shown." in sentence
    assert sentence.endswith("35 times in 100: ask 16.")


def test_fewer_right_than_guessing_gets_asks_whether_the_cups_were_mixed_up():
    assert "mixed up" in tasting_odds("duo_trio", 0, 6).sentence


def test_a_preference_is_two_sided_and_claims_no_tellers():
    odds = tasting_odds("paired", 3, 20, two_sided=True)
    assert odds.chance_by_luck == pytest.approx(binomtest(3, 20).pvalue, rel=1e-9)
    assert (odds.differs, odds.discriminators) == (True, None)
    assert odds.chance_by_luck == tasting_odds("paired", 17, 20, two_sided=True).chance_by_luck


def test_an_even_vote_is_no_rarer_than_always():
    assert tasting_odds("paired", 5, 10, two_sided=True).chance_by_luck == 1.0


def test_the_caution_speaks_of_caffeine_and_allergens():
    assert "caffeine" in CAUTION and "allergens" in CAUTION


@pytest.mark.parametrize(
    ("ask", "field"),
    [
        (lambda: tasting_odds("tetrad", 3, 6), "test"),
        (lambda: tasting_odds("triangle", 7, 6), "right"),
        (lambda: tasting_odds("triangle", -1, 6), "right"),
        (lambda: tasting_odds("triangle", 0, 0), "of"),
        (lambda: tasting_odds("triangle", 1, 401), "of"),
        (lambda: tasting_odds("triangle", 1, 6, alpha=0.6), "alpha"),
        (lambda: tasting_odds("triangle", 1, 6, alpha=math.nan), "alpha"),
        (lambda: tasting_odds("triangle", 1, 6, worth_finding=0.0), "worth_finding"),
        (lambda: tasting_odds("triangle", 1, 6, power=1.0), "power"),
        (lambda: tasting_odds("triangle", 1, 6, two_sided=True), "two_sided"),
        (lambda: luck("duo_trio", two_sided=True), "two_sided"),
        (lambda: chances(0, 0.5), "of"),
        (lambda: chances(5, 1.1), "share"),
        (lambda: chance_at_least(-1, 5, 0.5), "count"),
        (lambda: exact_bounds(6, 5, 0.95), "count"),
        (lambda: exact_bounds(1, 5, 0.4), "confidence"),
    ],
)
def test_a_test_that_cannot_be_is_refused_by_the_name_of_the_field(ask, field):
    with pytest.raises(BadInput) as refused:
        ask()
    assert refused.value.field == field
