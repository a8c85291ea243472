"""Blends: what is conserved mixes in proportion; pH and saturation are solved again, as PHREEQC does."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.compute.errors import BadInput
from server.compute.water.blend import MIXES_LINEARLY, mix, share_for
from server.compute.water.fit import properties_of
from server.compute.water.report import water_report
from server.compute.water.sample import Sample
from server.compute.water.speciation import as_sampled, closed
from tests.compute.water.waters import WATERS, in_phreeqc, random_water, solved

SOFT, HARD = WATERS["soft"], WATERS["hard"]


def index_of(water, temp_c=25.0):
    return closed(water.totals, temp_c).si_calcite


# 70 % of the soft and 30 % of the hard water in PHREEQC: calcium 41.42 mg/L, pH 7.420, index -0.34, while
# the mean of the two indices is -0.81.
def test_seven_parts_soft_to_three_hard_have_phreeqcs_ph_and_index_and_not_their_means(phreeqc):
    sample, analysis = mix(SOFT, HARD, 0.7)
    theirs = in_phreeqc(phreeqc, SOFT) * 0.7 + in_phreeqc(phreeqc, HARD) * 0.3
    index = closed(analysis.totals, 25.0).si_calcite
    assert sample.calcium_mg_l == pytest.approx(0.7 * 12 + 0.3 * 110, rel=1e-12)
    assert analysis.ph == pytest.approx(theirs.pH, abs=0.002) == pytest.approx(7.420, abs=0.001)
    assert index == pytest.approx(theirs.si("Calcite"), abs=0.003)
    averaged = 0.7 * index_of(solved(SOFT)) + 0.3 * index_of(solved(HARD))
    assert averaged == pytest.approx(-0.81, abs=0.01)
    assert index - averaged > 0.4


def test_averaging_the_ph_of_two_waters_would_be_wrong_and_is_not_done(phreeqc):
    # Half and half of pH 6.2 and 7.4 comes to 6.98 in PHREEQC, with little alkalinity in the sour one; the
    # mean is 6.80.
    sour = replace(SOFT, ph=6.2, bicarbonate_mg_l=12.0)
    _, analysis = mix(sour, HARD, 0.5)
    theirs = (in_phreeqc(phreeqc, sour) * 0.5 + in_phreeqc(phreeqc, HARD) * 0.5).pH
    assert analysis.ph == pytest.approx(theirs, abs=0.002)
    assert abs(analysis.ph - (6.2 + 7.4) / 2) > 0.15


@settings(max_examples=12, deadline=None, derandomize=True)
@given(st.integers(0, 10**6), st.integers(0, 10**6), st.floats(0.2, 0.8))
def test_no_blend_reports_the_mean_of_two_indices_or_of_two_ph(seed, other, share):
    first = replace(random_water(seed), ph=6.7)
    second = replace(random_water(other), ph=8.3)
    sample, analysis = mix(first, second, share)
    report = water_report(sample, analysis=analysis, group_temp_c=25.0)
    again = closed(analysis.totals, 25.0)
    assert report["si_calcite"]["group"] == pytest.approx(again.si_calcite, abs=1e-6)
    assert report["ph"] == pytest.approx(again.ph, abs=1e-6)
    mean_ph = share * 6.7 + (1 - share) * 8.3
    mean_index = share * index_of(solved(first)) + (1 - share) * index_of(solved(second))
    apart = abs(report["ph"] - mean_ph) + abs(report["si_calcite"]["group"] - mean_index)
    assert apart > 0.02, "this is what averaging would give"


@settings(max_examples=30, deadline=None, derandomize=True)
@given(st.integers(0, 10**6), st.integers(0, 10**6), st.floats(0, 1))
def test_ions_alkalinity_and_carbon_mix_in_proportion(seed, other, share):
    first, second = random_water(seed), random_water(other)
    sample, analysis = mix(first, second, share)
    ours, theirs, mixed = properties_of(first), properties_of(second), properties_of(sample)
    for name in MIXES_LINEARLY:
        assert mixed[name] == pytest.approx(
            share * ours[name] + (1 - share) * theirs[name], rel=1e-9, abs=1e-9
        )
    parts = solved(first).totals, solved(second).totals
    expected = share * parts[0].carbon + (1 - share) * parts[1].carbon
    assert analysis.totals.carbon == pytest.approx(expected, rel=2e-3)  # a litre isn't quite a kg


@settings(max_examples=15, deadline=None, derandomize=True)
@given(st.integers(0, 10**6))
def test_a_water_blended_with_itself_is_itself(seed):
    water = random_water(seed)
    sample, analysis = mix(water, water, 0.37)
    assert sample.ph == pytest.approx(water.ph, abs=1e-6)
    assert as_sampled(analysis.totals, analysis.ph, 25.0).totals.carbon == pytest.approx(
        solved(water).totals.carbon, rel=1e-6
    )


def test_what_one_water_lacks_the_blend_lacks():
    sample, analysis = mix(HARD, Sample(hardness_mg_l_caco3=5.0, ph=6.5), 0.5)
    assert sample.chloride_mg_l is None and sample.alkalinity_mg_l_caco3 is None and sample.ph is None
    assert sample.hardness_mg_l_caco3 == pytest.approx((348.82 + 5) / 2, abs=0.01)
    assert analysis is None


def test_what_was_assumed_names_the_water_it_was_assumed_of():
    _, analysis = mix(HARD, Sample(hardness_mg_l_caco3=5.0, alkalinity_mg_l_caco3=5.0), 0.5)
    assert any(told.startswith("Second water: pH 7.5") for told in analysis.assumed)
    assert mix(HARD, Sample(hardness_mg_l_caco3=5.0, alkalinity_mg_l_caco3=5.0), 0.5)[0].ph is None


def hard(amount):
    return Sample(hardness_mg_l_caco3=amount)


def test_the_share_for_one_target_is_the_straight_lines():
    # (68 - 5)/(250 - 5), by hand.
    share, misses = share_for(hard(250.0), hard(5.0), {"hardness_mg_l_caco3": 68.0})
    assert share == pytest.approx(63 / 245, abs=1e-9)
    assert misses == []


@given(st.floats(0, 2000), st.floats(0, 2000), st.floats(0, 1))
def test_any_target_between_two_waters_is_reached(first, second, share):
    target = share * first + (1 - share) * second
    found, misses = share_for(hard(first), hard(second), {"hardness_mg_l_caco3": target})
    assert 0.0 <= found <= 1.0 and misses == []
    assert found * first + (1 - found) * second == pytest.approx(target, rel=0.005, abs=0.06)


@pytest.mark.parametrize(("target", "share", "side"), [(500.0, 1.0, "below"), (60.0, 0.0, "above")])
def test_where_no_mix_reaches_the_target_it_says_why_and_comes_nearest(target, share, side):
    found, misses = share_for(hard(250.0), hard(80.0), {"hardness_mg_l_caco3": target})
    assert found == share
    assert len(misses) == 1 and f"both waters are {side} it" in misses[0] and "third water" in misses[0]


def test_two_targets_that_pull_apart_are_both_told():
    first = Sample(hardness_mg_l_caco3=300.0, alkalinity_mg_l_caco3=280.0)
    second = Sample(hardness_mg_l_caco3=5.0, alkalinity_mg_l_caco3=5.0)
    share, misses = share_for(first, second, {"hardness_mg_l_caco3": 120.0, "alkalinity_mg_l_caco3": 40.0})
    assert 35 / 275 < share < 115 / 295
    assert len(misses) == 2 and all("other targets pull away" in told for told in misses)


def test_ranges_that_overlap_are_met_in_their_middle():
    first = Sample(hardness_mg_l_caco3=300.0, alkalinity_mg_l_caco3=200.0)
    second = Sample(hardness_mg_l_caco3=0.0, alkalinity_mg_l_caco3=0.0)
    target = {"hardness_mg_l_caco3": {"low": 50.0, "high": 175.0}, "alkalinity_mg_l_caco3": {"high": 75.0}}
    share, misses = share_for(first, second, target)
    assert share == pytest.approx((50 / 300 + 75 / 200) / 2)
    assert misses == []


def test_a_target_met_by_both_waters_leaves_the_share_free():
    share, misses = share_for(hard(80.0), hard(80.0), {"hardness_mg_l_caco3": 80.0})
    assert share == 0.5 and misses == []


@pytest.mark.parametrize(
    ("target", "field"),
    [
        ({}, "target"),
        ({"ph": 7.0}, "target"),
        ({"si_calcite": 0.0}, "target"),
        ({"hardness_mg_l_caco3": {}}, "target"),
        ({"hardness_mg_l_caco3": {"low": 9.0, "high": 1.0}}, "target"),
        ({"sodium_mg_l": 10.0}, "first"),
    ],
)
def test_a_target_that_does_not_mix_or_was_not_measured_is_refused(target, field):
    with pytest.raises(BadInput) as refused:
        share_for(hard(250.0), hard(5.0), target)
    assert refused.value.field == field


@pytest.mark.parametrize("share", [-0.01, 1.01, float("nan")])
def test_a_share_outside_none_to_all_is_refused(share):
    with pytest.raises(BadInput, match="share_first"):
        mix(SOFT, HARD, share)
