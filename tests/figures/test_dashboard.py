"""The dashboard's numbers, each worked out by hand on a small store. The clock stands at 2026-03-02 12:00 UTC."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import event
from statsmodels.stats.proportion import proportion_confint

from server.figures.today import tallied
from server.store.database import db
from tests.conftest import PASSWORD
from tests.figures.stand import UTC, at

FEW = ("site", "coffee", "grinder", "machine", "bag", "water")


def test_a_shot_before_the_day_starts_belongs_to_the_day_before(stand):
    stand.shot("2026-03-02 03:59")
    stand.shot("2026-03-02 04:00")

    [today] = stand.picture()["today"]

    assert (today["day"], today["logged"]) == ("2026-03-02", 1)


def test_today_counts_what_each_shot_was_for_and_what_became_of_it(stand):
    stand.shot("2026-03-02 07:00", purpose="warm_up")
    stand.shot("2026-03-02 07:05", purpose="dial_in", fate="sunk")
    stand.shot("2026-03-02 08:00", fate="served")
    stand.shot("2026-03-02 08:30", fate="sunk", dose_g=18.6, time_s=41)
    stand.shot("2026-03-02 09:00", fate="sunk", dose_g=18.2, time_s=16)
    stand.shot("2026-03-02 09:30", purpose="practice")

    [today] = stand.picture()["today"]

    assert today["logged"] == 6
    assert (today["sunk"], today["sunk_g"]) == (2, pytest.approx(18.6 + 18.2))  # the dial-in was for nobody
    assert (today["dial_in"], today["practice"], today["warm_up"]) == (1, 1, 1)
    assert today["on_recipe"] | {"low": 0, "high": 0} == {
        "on": 1,
        "of": 3,
        "share": 1 / 3,
        "low": 0,
        "high": 0,
    }


def test_the_share_on_recipe_has_wilsons_interval(stand):
    """Against statsmodels, proportion_confint(method="wilson")."""
    for minute in range(23):
        stand.shot(f"2026-03-02 08:{minute:02d}", time_s=28 if minute < 19 else 35)

    [today] = stand.picture()["today"]

    low, high = proportion_confint(19, 23, method="wilson")
    assert (today["on_recipe"]["on"], today["on_recipe"]["of"]) == (19, 23)
    assert today["on_recipe"]["low"] == pytest.approx(low, rel=1e-9)
    assert today["on_recipe"]["high"] == pytest.approx(high, rel=1e-9)


def test_a_yield_that_nobody_weighed_is_not_judged(stand):
    stand.shot("2026-03-02 08:00", assumed=["yield_g"])

    [today] = stand.picture()["today"]

    assert (today["logged"], today["on_recipe"]["of"], today["on_recipe"]["share"]) == (1, 0, None)


def test_each_site_has_its_own_working_day_and_all_together_are_their_sum(stand, manager, app, clock):
    """At noon UTC it is 21:00 in Tokyo (+9, no summer time): 19:30 UTC of the day before is 04:30 there, today."""
    from tests.world import Phone

    cart = manager.add("sites", name="Market cart", time_zone="Asia/Tokyo")["id"]
    cart_phone = Phone.paired(app, manager, cart, clock, "cart phone")
    cart_phone.shot(pulled_at=at("2026-03-01 19:30"), site_id=cart)
    cart_phone.sync()
    stand.shot("2026-03-01 19:30")
    stand.shot("2026-03-02 10:00")

    picture = stand.picture()

    assert [(line["site_id"], line["logged"]) for line in picture["today"]] == [
        (None, 2),
        (stand.site_id, 1),
        (cart, 1),
    ]
    assert [line["logged"] for line in stand.picture(site_id=cart)["today"]] == [1]


@pytest.mark.parametrize(
    "rows, shots",
    [
        ([], None),
        ([("08:00", "12:00", 90, "machine_counter")], 90),
        ([("08:00", "12:00", 90, "machine_counter"), ("12:00", "16:00", 60, "machine_counter")], 150),
        ([("08:00", "12:00", 90, "machine_counter"), ("08:00", "12:00", 200, "guess")], 90),
        ([("02:00", "12:00", 100, "till")], 80),  # the day starts at 04:00: eight of ten hours lie in it
        ([("08:00", "12:00", None, "weighing")], None),
        ([("00:00", "03:00", 40, "till")], None),
        ([("08:00", "08:00", 40, "till")], None),  # no time at all holds no shots
    ],
)
def test_a_days_tally_believes_the_best_source_and_takes_its_part_of_a_longer_time(rows, shots):
    counted = [
        {"from": at(f"2026-03-02 {first}"), "to": at(f"2026-03-02 {last}"), "shots": n, "source": source}
        for first, last, n, source in rows
    ]

    began = dt.datetime(2026, 3, 2, 4, tzinfo=UTC)

    assert tallied(counted, began, began + dt.timedelta(days=1)) == shots


def test_a_usual_day_is_the_median_of_the_days_that_were_counted(stand):
    for day, shots in ((24, 150), (26, 190), (27, 160), (28, 900)):
        counted = {"from": at(f"2026-02-{day} 06:00"), "to": at(f"2026-02-{day} 18:00"), "shots": shots}
        stand.phone.save("tally", {"site_id": stand.site_id, "source": "machine_counter", **counted})

    [today] = stand.picture()["today"]

    assert (today["tallied"], today["usual"]) == (None, 175)


def test_the_shares_go_by_week_from_monday_on(stand):
    stand.shot("2026-02-22 09:00")  # a Sunday
    stand.shot("2026-02-23 03:00", time_s=50)  # by the clock a Monday, but Sunday's working day
    stand.shot("2026-02-23 09:00")  # a Monday
    stand.shot("2026-03-01 09:00", purpose="practice")

    weeks = stand.picture()["share_on_recipe"]

    assert [(week["week"], week["on"], week["of"]) for week in weeks] == [
        ("2026-02-16", 1, 2),
        ("2026-02-23", 1, 1),
    ]


def test_only_the_range_that_was_asked_for_is_shown(stand):
    stand.shot("2026-01-18 09:00")  # the 43rd day back
    stand.shot("2026-01-20 09:00")
    stand.shot("2026-02-10 09:00")

    def weeks(**asked):
        return [week["week"] for week in stand.picture(**asked)["share_on_recipe"]]

    assert weeks() == ["2026-01-19", "2026-02-09"]
    assert weeks(**{"from": "2026-01-01", "to": "2026-01-19"}) == ["2026-01-12"]


def test_waste_is_summed_by_cause_and_week_in_grams(stand):
    stand.shot("2026-02-24 08:00", fate="sunk", dose_g=18.5)
    stand.shot("2026-02-24 08:10", purpose="practice", fate="sunk", dose_g=18)
    stand.shot("2026-02-25 08:10", purpose="warm_up", dose_g=17)
    stand.shot("2026-03-02 08:00", purpose="dial_in", dose_g=18)
    stand.shot("2026-03-02 08:05")
    stand.phone.save(
        "grind_change",
        {"grinder_id": stand.grinder_id, "at": at("2026-03-02 08:01"), "setting": 4, "purge_g": 5},
    )
    stand.phone.save(
        "milk_jug",
        {"site_id": stand.site_id, "at": at("2026-02-26 10:00"), "milk": "whole", "poured_away_g": 80},
    )

    first, second = stand.picture()["waste"]

    nothing = dict.fromkeys(("sunk_g", "dial_in_g", "practice_g", "warm_up_g", "purge_g", "milk_g"), 0)
    assert first == nothing | {
        "week": "2026-02-23",
        "sunk_g": 18.5,
        "practice_g": 18,
        "warm_up_g": 17,
        "milk_g": 80,
    }
    assert second == nothing | {"week": "2026-03-02", "dial_in_g": 18, "purge_g": 5}


def test_hours_are_the_sites_own_over_a_change_of_clocks(stand, clock):
    """In Lisbon 2026-03-29 01:00 is followed by 02:00: against the standard library's zone data."""
    clock.at = dt.datetime(2026, 3, 29, 12, tzinfo=UTC)
    stand.manager.sign_in("Mara", PASSWORD)  # the session was for two weeks
    instants = [dt.datetime(2026, 3, 29, hour, 30, tzinfo=UTC) for hour in (0, 1, 9)]
    for instant in instants:
        stand.shot(f"2026-03-29 {instant:%H:%M}")

    hours = [line["hour"] for line in stand.picture()["hours"] if line["shots"]]

    assert hours == [instant.astimezone(ZoneInfo("Europe/Lisbon")).hour for instant in instants] == [0, 2, 10]


def test_strength_and_extraction_come_with_their_uncertainty(stand):
    """18.0 g in, 36.0 g out at 9.5 %: 36 x 9.5 / 18 = 19.0 %, by the definition of extraction yield."""
    shot_id = stand.shot("2026-03-02 08:00", strength_pct=9.5)
    stand.shot("2026-03-02 08:10")

    [point] = stand.picture()["strength_extraction"]

    assert (point["shot_id"], point["strength_pct"], point["extraction_pct"]) == (shot_id, 9.5, 19.0)
    assert 0 < point["u_strength_pct"] < 0.2 and 0 < point["u_extraction_pct"] < 0.5


def test_a_bag_has_its_window_and_what_is_left_of_it(stand):
    """Roasted on 20 February, so in window from 27 February; opened on 1 March in a hopper: 5 days, until 6 March."""
    stand.shot("2026-03-01 08:00")
    stand.happened(stand.bag_id, "weighed", "2026-03-01 20:00", mass_g=700)
    stand.shot("2026-03-02 08:00")
    stand.shot("2026-03-02 09:00", dose_g=18.4)

    [bag] = stand.picture()["bags"]

    assert (bag["condition"], bag["freshness"]) == ("open", "in_window")
    assert (bag["window_from"], bag["window_until"], bag["days_left"]) == ("2026-02-27", "2026-03-06", 4)
    assert bag["left_g"] == pytest.approx(700 - 18 - 18.4)


def test_a_bag_that_moved_is_on_the_other_sites_shelf_and_a_finished_one_on_none(stand, manager):
    cart = manager.add("sites", name="Market cart", time_zone="Europe/Lisbon")["id"]
    moved = stand.bag("2026-02-22")
    stand.happened(moved, "moved", "2026-02-28 09:00", to_site_id=cart)
    stand.happened(stand.bag_id, "finished", "2026-03-02 09:00")

    assert [bag["id"] for bag in stand.picture(site_id=cart)["bags"]] == [moved]
    assert stand.picture(site_id=stand.site_id)["bags"] == []


def test_the_last_water_of_a_site_comes_with_its_figures(stand):
    """7 °dH are 125 mg/L as CaCO3: 17.848 to the degree (10 mg/L CaO; molar masses from IUPAC)."""
    for when, value in (("2026-02-10 09:00", 12), ("2026-03-01 09:00", 7)):
        water = {"sampled_at": at(when), "site_id": stand.site_id, "hardness": {"value": value, "unit": "dh"}}
        stand.phone.save("water", water)

    [water] = stand.picture()["water"]

    assert water["sampled_at"] == "2026-03-01T09:00:00.000Z"
    assert water["figures"]["hardness_mg_l_caco3"] == pytest.approx(7 * 17.848, rel=1e-4)


def test_phones_come_with_when_they_were_last_heard_from_and_what_waits(stand, clock):
    stand.phone.sync()
    clock.pass_(hours=3)

    [phone] = stand.manager.get("/api/dashboard")["phones"]

    assert (phone["name"], phone["hours_since"], phone["waiting"]) == ("bar phone", 3.0, 0)


def test_the_work_does_not_grow_with_what_lies_before_the_range(stand, app, clock):
    scans = []

    def statements() -> int:
        asked = []

        def count(connection, cursor, statement, parameters, *rest):
            asked.append(statement)
            if connection.dialect.name == "sqlite" and "FROM record_" in statement:
                plan = connection.connection.cursor().execute(f"EXPLAIN QUERY PLAN {statement}", parameters).fetchall()
                scans.extend(step[-1] for step in plan if step[-1].startswith("SCAN record_"))

        with app.app_context():
            event.listen(db.engine, "before_cursor_execute", count)
        stand.manager.get("/api/dashboard", **{"from": "2026-02-01"})
        with app.app_context():
            event.remove(db.engine, "before_cursor_execute", count)
        return len(asked)

    for minute in range(5):
        stand.shot(f"2026-03-02 08:{minute:02d}")
    stand.phone.sync()
    few = statements()
    for day in range(1, 29):
        stand.shot(f"2025-02-{day:02d} 08:00", recipe_id=None, bag_id=None)
    for minute in range(50):
        stand.shot(f"2026-03-02 09:{minute:02d}")
    stand.phone.sync()

    assert statements() == few
    # Read whole are only the few shared things: none of what a day adds to.
    assert {step.split()[1] for step in scans} <= {f"record_{kind}" for kind in FEW}


def test_nothing_new_is_told_in_one_word_and_anything_new_is_told(stand, clock):
    stand.shot("2026-03-02 08:00")
    stand.phone.sync()
    first = stand.manager.http.get("/api/dashboard")

    def again():
        return stand.manager.http.get("/api/dashboard", headers={"If-None-Match": first.headers["ETag"]}).status_code

    assert again() == 304
    assert (
        stand.manager.http.get(
            "/api/dashboard?site_id=" + stand.site_id, headers={"If-None-Match": first.headers["ETag"]}
        ).status_code
        == 200
    )
    stand.shot("2026-03-02 08:05")
    stand.phone.sync()
    assert again() == 200


def test_an_empty_store_has_an_empty_picture(manager):
    picture = manager.get("/api/dashboard")

    assert (picture["sites"], picture["today"], picture["decisions"], picture["bags"]) == ([], [], [], [])
    assert (picture["from"], picture["to"]) == ("2026-01-20", "2026-03-02")


@pytest.mark.parametrize(
    "query, field",
    [
        ("from=2026-03-02&to=2026-03-01", "from"),
        ("from=2020-01-01", "from"),
        ("from=0001-01-01&to=2026-03-02", "from"),
        ("to=9999-12-31", "to"),
        ("to=yesterday", "to"),
        ("weeks=6", "weeks"),
        ("site_id=7", "site_id"),
    ],
)
def test_a_range_that_makes_no_sense_is_refused_by_name(manager, query, field):
    answer = manager.http.get(f"/api/dashboard?{query}")

    assert (answer.status_code, list(answer.json["errors"])) == (422, [field])


def test_only_a_manager_sees_it(app, phone):
    assert app.test_client().get("/api/dashboard").status_code == 401
    assert phone.http.get("/api/dashboard").status_code == 403
