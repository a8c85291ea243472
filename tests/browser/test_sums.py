"""The phone's own sums against the server's, case by case, and by hand."""

import json

import pytest

from tests.vectors.make_sums import FILE, cases

ALL = """async (cases) => {
  const sums = await import('/compute/sums.js');
  const answers = {
    ratio: ({ yield_g, dose_g }) => sums.ratio(yield_g, dose_g),
    flow_g_s: ({ yield_g, time_s, first_drop_s }) => sums.flow_g_s(yield_g, time_s, first_drop_s),
    extraction_pct: ({ dose_g, yield_g, strength_pct }) => sums.extraction_pct(dose_g, yield_g, strength_pct),
    bag: sums.bagFreshness,
  };
  return cases.map((one) => answers[one.sum](one.in));
}"""


def answers(page, asked):
    return page.evaluate(ALL, asked)


@pytest.mark.parametrize(
    "asked", [json.loads(FILE.read_text()), cases(seed=3, each=500)], ids=["shared", "more"]
)
def test_the_phone_sums_as_the_server_does(page, asked):
    for case, answer in zip(asked, answers(page, asked), strict=True):
        wanted = (
            case["out"] if isinstance(case["out"], dict | None) else pytest.approx(case["out"], rel=1e-12)
        )
        assert answer == wanted, case


def test_a_shot_by_hand(page):
    """18 g in, 36 g out at 9.5 %: 36 x 9.5 / 18 = 19.0 %; 1 : 2; 36 g in the 20 s after the first drop."""
    asked = [
        {"sum": "ratio", "in": {"yield_g": 36, "dose_g": 18}},
        {"sum": "extraction_pct", "in": {"dose_g": 18, "yield_g": 36, "strength_pct": 9.5}},
        {"sum": "flow_g_s", "in": {"yield_g": 36, "time_s": 28, "first_drop_s": 8}},
    ]

    assert answers(page, asked) == [2, 19, 1.8]


DATES = """async ([bag, coffee, events, now]) => {
  const { bagDates } = await import('/compute/sums.js');
  const dates = bagDates(bag, coffee, events, Date.parse(now));
  return dates && [dates.window_from, dates.window_until];
}"""
BAG = {"roasted_on": "2026-03-01"}
OPENED = {"what": "opened", "at": "2026-03-20T18:00:00Z"}
NOW = "2026-03-22T09:00:00Z"


@pytest.mark.parametrize(
    ("bag", "coffee", "events", "dates"),
    [
        (BAG, None, [], ["2026-03-08", "2026-03-22"]),
        (BAG, {"rest_days": 10, "best_until_days": 40}, [OPENED], ["2026-03-11", "2026-03-25"]),
        (BAG, {}, [OPENED, {"what": "resealed", "at": "2026-03-21T09:00:00Z"}], ["2026-03-08", "2026-03-22"]),
        (BAG, {}, [{"what": "frozen", "at": "2026-03-02T09:00:00Z"}], None),
        (BAG, {}, [{"what": "moved", "at": "2026-03-02T09:00:00Z", "temp_c": 12}], None),
        ({**BAG, "parent_bag_id": "0"}, {}, [], None),
    ],
)
def test_a_new_bags_dates_come_from_its_records_or_not_at_all(page, bag, coffee, events, dates):
    assert page.evaluate(DATES, [bag, coffee, events, NOW]) == dates
