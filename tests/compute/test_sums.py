"""The cases that the phone's sums are held to are what the server answers today."""

import json
from collections import Counter

import pytest

from tests.vectors.make_sums import FILE, cases


def stored():
    return json.loads(FILE.read_text())


def test_the_shared_cases_are_what_the_server_answers_today():
    assert json.loads(json.dumps(cases(seed=2, each=50))) == stored()


def test_every_sum_has_cases_that_are_answered_and_cases_that_are_refused():
    count = Counter((case["sum"], case["out"] is None) for case in stored())
    assert all(
        count[name, False] >= 40 and count[name, True] >= 2
        for name in ("ratio", "flow_g_s", "extraction_pct")
    )
    states = Counter(case["out"]["freshness"] for case in stored() if case["sum"] == "bag")
    assert all(states[state] >= 15 for state in ("resting", "in_window", "past_window"))


def test_a_case_can_be_redone_by_hand():
    by_hand = [case for case in stored() if case["sum"] == "extraction_pct" and case["out"] is not None]
    for case in by_hand:
        given = case["in"]
        assert case["out"] == pytest.approx(
            given["yield_g"] * given["strength_pct"] / given["dose_g"], rel=1e-12
        )
