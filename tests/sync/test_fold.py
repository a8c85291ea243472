"""The merge: a function of the set of entries. The rule is written out in DEVELOPERS.md."""

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from server.compute.fold import fold

REPLICAS = ("bar", "cart", "desk")


@st.composite
def entry_sets(draw):
    """Entries about one record as phones that come and go could have made them: each sees some of the earlier ones."""
    entries, counts = [], dict.fromkeys(REPLICAS, 0)
    for number in range(draw(st.integers(1, 9))):
        replica = draw(st.sampled_from(REPLICAS))
        counts[replica] += 1
        names = draw(st.lists(st.sampled_from(["dose_g", "yield_g"]), unique=True, max_size=2))
        ids = [entry["entry_id"] for entry in entries] + ["never arrives"]
        entries.append(
            {
                "entry_id": f"e{number}",
                "replica_id": replica,
                "n": counts[replica],
                "fields": {name: draw(st.integers(0, 3)) for name in names},
                "retract": draw(st.sampled_from([None, None, True, False])),
                "base": {
                    name: draw(st.sampled_from(ids)) for name in [*names, "retract"] if draw(st.booleans())
                },
                "effective_at": draw(st.integers(0, 5)),
            }
        )
    return entries


@given(entry_sets(), st.randoms(use_true_random=False))
def test_order_and_repetition_of_arrival_dont_matter(entries, random):
    shuffled = entries + [random.choice(entries) for _ in range(3)]
    random.shuffle(shuffled)

    assert fold(shuffled) == fold(entries)


@given(entry_sets())
def test_it_is_the_same_whether_folded_at_once_or_by_way_of_what_still_counts(entries):
    """What is out of the running may be forgotten: a snapshot without it folds to the same record, as long as it
    keeps whatever is out only because a base names it (a base that isn't there counts for nothing)."""
    whole = fold(entries)
    kept = [entry for entry in entries if entry["entry_id"] in whole["running"]]

    part = fold(kept)
    for name, head in part["heads"].items():
        assert whole["heads"][name] == head or whole["heads"][name] in whole["running"]


@given(entry_sets())
def test_a_value_never_loses_to_the_value_it_replaced(entries):
    heads = fold(entries)["heads"]
    by_id = {entry["entry_id"]: entry for entry in entries}
    for name, head in heads.items():
        setters = [
            e for e in entries if name in e["fields"] or (name == "retract" and e["retract"] is not None)
        ]
        replaced_by = [e for e in setters if (e["base"] or {}).get(name) == head and e["entry_id"] != head]
        bases_ignored = all(
            any((o["base"] or {}).get(name) == e["entry_id"] for o in setters) for e in _latest(setters)
        )
        assert not replaced_by or bases_ignored
        assert by_id[head] in _latest(setters), "a phone's later edit lost to its own earlier one"


def _latest(setters):
    newest = {}
    for entry in setters:
        newest[entry["replica_id"]] = max(newest.get(entry["replica_id"], 0), entry["n"])
    return [entry for entry in setters if entry["n"] == newest[entry["replica_id"]]]


def entry(entry_id, replica, n, at, base=None, **more):
    given_ = {"fields": {"dose_g": n}, "retract": None, **more}
    return {"entry_id": entry_id, "replica_id": replica, "n": n, "base": base, "effective_at": at, **given_}


def test_a_cycle_of_bases_still_has_a_winner_and_it_is_the_later():
    cycle = [entry("a", "bar", 1, 5, {"dose_g": "b"}), entry("b", "cart", 1, 6, {"dose_g": "a"})]

    assert all(fold(list(order))["heads"] == {"dose_g": "b"} for order in itertools.permutations(cycle))


def test_a_base_that_never_arrives_counts_for_nothing():
    assert fold([entry("a", "bar", 1, 5, {"dose_g": "lost"})])["heads"] == {"dose_g": "a"}


def test_an_edit_never_revives_a_withdrawn_record():
    made, gone = entry("a", "bar", 1, 1), entry("b", "bar", 2, 2, {"retract": None}, retract=True, fields={})
    edit = entry("c", "cart", 1, 9, {"dose_g": "a"})

    merged = fold([made, gone, edit])
    assert merged["retracted"] is True and merged["heads"]["dose_g"] == "c"


def test_equal_times_are_settled_by_the_larger_id():
    assert fold([entry("a", "bar", 1, 5), entry("b", "cart", 1, 5)])["heads"] == {"dose_g": "b"}


@settings(max_examples=50)
@given(entry_sets())
def test_clashes_are_just_the_fields_with_more_than_one_in_the_running(entries):
    merged = fold(entries)
    for name in merged["clashes"]:
        without = fold([e for e in entries if e["entry_id"] != merged["heads"][name]])
        assert name in without["heads"]
