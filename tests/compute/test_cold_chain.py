"""The discard clock against the text of the codes, at their very boundaries."""

from datetime import UTC, datetime, timedelta, timezone
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server.compute.cold_chain import cold_chain
from server.compute.cold_clock import Move, Reading
from server.compute.cold_rules import COLD_RULES
from server.compute.errors import BadInput

OPENING = datetime(2026, 3, 1, 8, 0, tzinfo=UTC)
SECOND = 1 / 3600


def at(hours):
    return OPENING + timedelta(seconds=round(3600 * hours))


def milk(jurisdiction, now_h, readings=(), moves=()):
    """The chain at `now_h` hours after opening, from (hours, °C) readings and (hours, what) moves."""
    return cold_chain(
        jurisdiction,
        at(now_h),
        [Reading(at(hours), temp_c) for hours, temp_c in readings],
        [Move(at(hours), what) for hours, what in moves],
    )


OUT_COLD = {"readings": [(0, 4.0)], "moves": [(0, "out")]}


# FDA Food Code 3-501.19(B)(1): 5 °C (41 °F) or less when removed from cold holding.
def test_us_time_control_begins_for_milk_at_exactly_five_degrees():
    chain = milk("us_4h", 0.0, [(0, 5.0)], [(0, "out")])
    assert (chain.state, chain.discard_by) == ("on_the_clock", at(4))


def test_us_time_control_is_not_for_milk_that_leaves_the_cold_above_five_degrees():
    chain = milk("us_4h", 0.0, [(-1, 4.0), (0, 5.1)], [(0, "out")])
    assert chain.state == "discard"
    assert any("3-501.19" in reason for reason in chain.reasons)


# 3-501.19(B)(3): served or discarded within 4 hours from the point in time of removal.
@pytest.mark.parametrize(
    ("now_h", "state", "minutes"),
    [(0, "on_the_clock", 240), (4, "on_the_clock", 0), (4 + SECOND, "discard", None)],
)
def test_us_milk_is_good_within_four_hours_and_not_a_second_after(now_h, state, minutes):
    chain = milk("us_4h", now_h, **OUT_COLD)
    assert (chain.state, chain.minutes_left, chain.discard_by) == (state, minutes, at(4))


def test_us_milk_on_the_clock_stays_on_it_though_it_is_cold_again():
    chain = milk("us_4h", 2, [(0, 4.0), (1, 4.0)], [(0, "out"), (0.5, "back")])
    assert (chain.state, chain.discard_by, chain.may_go_back) == ("on_the_clock", at(4), False)


# 3-501.16(A)(2): cold holding at 5 °C (41 °F) or less.
@pytest.mark.parametrize(("temp_c", "state"), [(5.0, "cold"), (5.01, "on_the_clock")])
def test_us_fridge_milk_is_cold_at_five_degrees_and_no_more(temp_c, state):
    assert milk("us_4h", 2, [(0, 3.0), (1, temp_c)]).state == state


def test_milk_found_warm_counts_from_its_last_cold_reading():
    chain = milk("us_4h", 2, [(0, 3.0), (1, 4.5), (2, 6.0)])
    assert (chain.state, chain.discard_by) == ("on_the_clock", at(5))


# 3-501.19(B)(4): food in unmarked containers shall be discarded.
def test_milk_found_warm_with_nothing_to_show_since_when_is_discarded():
    chain = milk("us_4h", 0, [(0, 6.0)])
    assert (chain.state, chain.discard_by) == ("discard", at(0))


def test_milk_found_warm_longer_than_the_time_after_its_last_cold_reading_is_discarded_at_once():
    chain = milk("us_4h", 5, [(0, 3.0), (5, 9.0)])
    assert (chain.state, chain.discard_by) == ("discard", at(4))


# 3-501.19(C)(1) and (2): 5 °C or less at removal, monitored, not above 21 °C (70 °F), at most 6 hours.
@pytest.mark.parametrize(
    ("now_h", "state"), [(4 + SECOND, "on_the_clock"), (6, "on_the_clock"), (6 + SECOND, "discard")]
)
def test_us_six_hours_are_for_milk_watched_at_or_below_21_degrees(now_h, state):
    chain = milk("us_6h", now_h, [(0, 5.0), (4, 21.0)], [(0, "out")])
    assert (chain.state, chain.discard_by) == (state, at(6))


def test_us_six_hour_milk_above_21_degrees_is_discarded_then():
    chain = milk("us_6h", 3, [(0, 4.0), (2, 19.0), (3, 21.1)], [(0, "out")])
    assert (chain.state, chain.discard_by) == ("discard", at(3))


def test_us_six_hours_shrink_to_four_without_a_reading_in_the_first_four():
    unwatched = {"readings": [(0, 4.0)], "moves": [(0, "out")]}
    assert milk("us_6h", 4, **unwatched).discard_by == at(4)
    assert milk("us_6h", 4 + SECOND, **unwatched).state == "discard"
    late = milk("us_6h", 5, [(0, 4.0), (4 + SECOND, 15.0)], [(0, "out")])
    assert (late.state, late.discard_by) == ("discard", at(4))


def test_us_six_hours_shrink_to_four_when_nobody_read_it_as_it_left_the_cold():
    chain = milk("us_6h", 3, [(2, 15.0)], [(0, "out")])
    assert chain.discard_by == at(4)
    assert chain.assumed


def test_us_six_hours_are_not_for_milk_found_warm_in_the_fridge():
    assert milk("us_6h", 3, [(0, 4.0), (1, 9.0), (2, 10.0)]).discard_by == at(4)


# SI 2013/2996 (England) and SR 2006/3 (Northern Ireland), Schedule 4, paragraph 2: above 8 °C is an offence.
@pytest.mark.parametrize(("temp_c", "state"), [(8.0, "cold"), (8.01, "on_the_clock")])
def test_english_milk_is_cold_at_eight_degrees_and_no_more(temp_c, state):
    assert milk("england", 1, [(0, 4.0), (1, temp_c)]).state == state


# The same Schedule, paragraph 5(1)(c): for a period of less than four hours.
@pytest.mark.parametrize(("now_h", "state"), [(4 - SECOND, "on_the_clock"), (4, "discard")])
def test_english_milk_has_less_than_four_hours(now_h, state):
    chain = milk("england", now_h, **OUT_COLD)
    assert (chain.state, chain.discard_by) == (state, at(4))


# Paragraph 5(1)(b): had not previously been kept above 8 °C.
def test_english_milk_may_be_warm_once_and_not_twice():
    once = {"readings": [(0, 4.0), (1, 12.0), (2, 6.0)], "moves": [(0, "out"), (1.5, "back")]}
    chain = milk("england", 2, **once)
    assert (chain.state, chain.may_go_back) == ("cold", True)
    again = milk("england", 3, once["readings"], [*once["moves"], (3, "out")])
    assert again.state == "discard"
    found = milk("england", 3, [*once["readings"], (3, 8.1)], once["moves"])
    assert found.state == "discard"


def test_english_milk_that_was_out_but_never_read_warm_keeps_its_one_spell():
    chain = milk("england", 3, [(0, 4.0), (1, 7.5)], [(0, "out"), (0.5, "back"), (2, "out")])
    assert (chain.state, chain.discard_by) == ("on_the_clock", at(6))


def test_english_milk_read_cold_while_out_counts_from_that_reading():
    assert milk("england", 1, [(0, 4.0), (0.5, 8.0)], [(0, "out")]).discard_by == at(4.5)


def test_english_milk_once_warm_while_out_does_not_start_afresh_from_a_cooler_reading_out():
    chain = milk("england", 2, [(0, 4.0), (0.5, 10.0), (1, 7.0)], [(0, "out")])
    assert chain.discard_by == at(4)


# NSW Food Authority / FSANZ, 2-hour / 4-hour rule: less than 2 h in all, use or put back; 2 to 4, use;
# 4 or longer, throw out; the times add up.
@pytest.mark.parametrize(
    ("now_h", "state", "may_go_back"),
    [
        (2 - SECOND, "on_the_clock", True),
        (2, "on_the_clock", False),
        (4 - SECOND, "on_the_clock", False),
        (4, "discard", False),
    ],
)
def test_australian_milk_may_go_back_below_two_hours_and_is_thrown_out_at_four(now_h, state, may_go_back):
    chain = milk("australia", now_h, **OUT_COLD)
    assert (chain.state, chain.may_go_back) == (state, may_go_back)


def test_australian_spells_add_up():
    first = [(0, "out"), (1, "back")]
    chain = milk("australia", 6, [(0, 4.0), (1.5, 5.0)], [*first, (5, "out")])
    assert (chain.state, chain.discard_by) == ("on_the_clock", at(5 + 4 - 1.5))


def test_australian_milk_out_for_two_hours_is_not_cold_again_by_being_chilled():
    chain = milk("australia", 3, [(0, 4.0), (2, 4.0)], [(0, "out"), (1.9, "back")])
    assert (chain.state, chain.discard_by, chain.may_go_back) == ("on_the_clock", at(4), False)


@pytest.mark.parametrize("jurisdiction", COLD_RULES)
def test_being_back_in_the_fridge_is_not_being_cold(jurisdiction):
    chain = milk(jurisdiction, 1, [(0, 4.0)], [(0, "out"), (0.5, "back")])
    assert (chain.state, chain.discard_by) == ("on_the_clock", at(4))


@pytest.mark.parametrize("jurisdiction", COLD_RULES)
def test_milk_that_nobody_read_or_marked_is_neither_cold_nor_warm(jurisdiction):
    chain = milk(jurisdiction, 1)
    assert (chain.state, chain.discard_by, chain.may_go_back) == ("not_read", None, False)
    assert any("thermometer" in reason for reason in chain.reasons)


@pytest.mark.parametrize("jurisdiction", COLD_RULES)
def test_every_answer_names_its_sources_and_defers_to_local_law(jurisdiction):
    chain = milk(jurisdiction, 1, **OUT_COLD)
    assert chain.sources and "local food law" in chain.cautions[0]
    assert not any(
        "safe" in text.lower().replace("food safety", "") for text in (*chain.reasons, *chain.cautions)
    )


def test_the_same_instants_in_another_zone_give_the_same_answer():
    tokyo = timezone(timedelta(hours=9))
    shifted = cold_chain(
        "us_4h",
        at(1).astimezone(tokyo),
        [Reading(at(0).astimezone(tokyo), 4.0)],
        [Move(at(0), "out")],
    )
    assert shifted == milk("us_4h", 1, **OUT_COLD)


HOURS = st.integers(0, 40).map(lambda quarter: quarter / 4)
READINGS = st.lists(
    st.tuples(HOURS, st.sampled_from([2.0, 5.0, 5.1, 8.0, 8.1, 15.0, 21.0, 21.1])), max_size=6
)
MOVES = st.lists(st.tuples(HOURS, st.sampled_from(["out", "back"])), max_size=5)


@given(st.sampled_from(list(COLD_RULES)), READINGS, MOVES)
def test_discard_is_final_as_time_goes_on_and_events_come_in(jurisdiction, readings, moves):
    states = []
    for quarter in range(44):
        now_h = quarter / 4
        chain = milk(
            jurisdiction,
            now_h,
            [reading for reading in readings if reading[0] <= now_h],
            [move for move in moves if move[0] <= now_h],
        )
        states.append(chain.state)
        assert (chain.minutes_left is not None) == (chain.state == "on_the_clock")
        assert chain.minutes_left is None or 0 <= chain.minutes_left <= 360
        assert (chain.discard_by is not None) == (chain.state in ("on_the_clock", "discard"))
    assert not any(before == "discard" != after for before, after in pairwise(states))


@given(st.sampled_from(list(COLD_RULES)), READINGS, MOVES, st.randoms(use_true_random=False))
def test_the_order_in_which_events_arrive_does_not_matter(jurisdiction, readings, moves, shuffle):
    # Two readings at one instant that disagree have no order; one is enough here.
    readings = list({hours: (hours, temp_c) for hours, temp_c in readings}.values())
    moves = list({hours: (hours, what) for hours, what in moves}.values())
    in_order = milk(jurisdiction, 11, sorted(readings), sorted(moves))
    shuffle.shuffle(readings)
    shuffle.shuffle(moves)
    assert milk(jurisdiction, 11, readings, moves) == in_order


@given(st.sampled_from(list(COLD_RULES)), READINGS, MOVES)
def test_milk_is_never_called_cold_when_its_last_reading_was_warm(jurisdiction, readings, moves):
    readings = list({hours: (hours, temp_c) for hours, temp_c in readings}.values())
    chain = milk(jurisdiction, 10, readings, moves)
    if readings and max(readings)[1] > COLD_RULES[jurisdiction].cold_at_most_c:
        assert chain.state != "cold"


@pytest.mark.parametrize(
    ("ask", "field"),
    [
        (lambda: cold_chain("atlantis", at(0)), "jurisdiction"),
        (lambda: cold_chain("us_4h", datetime(2026, 3, 1)), "now"),
        (lambda: cold_chain("us_4h", at(0), [Reading(datetime(2026, 3, 1), 4.0)]), "readings"),
        (lambda: milk("us_4h", 0, [(1, 4.0)]), "readings"),
        (lambda: milk("us_4h", 0, [(0, 101.0)]), "readings"),
        (lambda: milk("us_4h", 0, [(0, float("nan"))]), "readings"),
        (lambda: milk("us_4h", 0, (), [(1, "out")]), "moves"),
        (lambda: milk("us_4h", 0, (), [(0, "sideways")]), "moves"),
    ],
)
def test_what_cannot_be_is_refused_by_the_name_of_its_field(ask, field):
    with pytest.raises(BadInput) as refused:
        ask()
    assert refused.value.field == field
