"""The phone's merge against the server's, case by case."""

import json

from tests.vectors.make_fold import FILE, cases

FOLD_ALL = """async (sets) => {
  const { fold } = await import('/compute/fold.js');
  return sets.map(fold);
}"""

FIRST = {
    "entry_id": "a",
    "replica_id": "p",
    "n": 1,
    "base": {},
    "fields": {"dose_g": 18},
    "effective_at": "1",
}


def folded(page, *sets):
    return page.evaluate(FOLD_ALL, list(sets))


def test_the_shared_cases_are_what_the_servers_fold_says_today():
    assert json.loads(FILE.read_text()) == cases(seed=1, count=150)


def test_the_phone_merges_the_shared_cases_as_the_server_does(page):
    shared = json.loads(FILE.read_text())

    assert folded(page, *(case["entries"] for case in shared)) == [case["fold"] for case in shared]


def test_the_phone_merges_two_thousand_more_as_the_server_does(page):
    more = cases(seed=2, count=2000)

    assert any(len(case["fold"]["clashes"]) > 1 for case in more)  # the cases reach what is hard
    assert folded(page, *(case["entries"] for case in more)) == [case["fold"] for case in more]


def test_an_edit_wins_over_what_it_replaced_though_its_clock_says_earlier(page):
    edit = {**FIRST, "entry_id": "b", "replica_id": "q", "base": {"dose_g": "a"}, "effective_at": "0"}
    edit["fields"] = {"dose_g": 19}

    [both] = folded(page, [FIRST, edit])

    assert (both["fields"], both["clashes"]) == ({"dose_g": 19}, [])


def test_where_two_had_not_seen_each_other_the_later_counts_and_the_clash_is_named(page):
    other = {**FIRST, "entry_id": "b", "replica_id": "q", "fields": {"dose_g": 19}, "effective_at": "2"}

    [one_way, other_way] = folded(page, [FIRST, other], [other, FIRST, other])

    assert one_way == other_way
    assert (one_way["fields"], one_way["clashes"]) == ({"dose_g": 19}, ["dose_g"])


def test_an_edit_does_not_bring_a_withdrawn_record_back(page):
    gone = {**FIRST, "entry_id": "b", "fields": {}, "n": 2, "retract": True, "effective_at": "2"}
    edit = {**FIRST, "entry_id": "c", "replica_id": "q", "base": {"dose_g": "a"}, "effective_at": "3"}

    [all_three] = folded(page, [FIRST, gone, edit])

    assert all_three["retracted"]
    assert all_three["heads"] == {"dose_g": "c", "retract": "b"}
