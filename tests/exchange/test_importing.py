"""Bags and waters, names that are matched, files that are refused whole."""

import datetime as dt

import pytest

from server.exchange.csv_reading import FileRefused

SHOTS = "pulled_at;coffee;roasted_on;dose_g;yield_g;time_s;person\n"


def only(rows: list):
    assert len(rows) == 1
    return rows[0]


def test_bags_are_taken_with_their_mass_in_kilograms_and_a_new_coffee_on_request(take, shelf, all_of):
    text = "Kaffee;Rösterei;Röstdatum;Gewicht (kg);Charge\nLow Tide;Saltmarsh Roasting;24.02.2026;1,5;LT-7\n"
    refused = take(text)
    made = take(text, create=frozenset({"coffee"}))

    assert (refused.stored, only(refused.wrong).field) == (0, "coffee_id")
    assert "--create coffee" in only(refused.wrong).remedy
    assert made.stored == 1
    coffee = only([coffee for coffee in all_of("coffees") if coffee["name"] == "Low Tide"])
    bag = only([bag for bag in all_of("bags") if bag.get("batch") == "LT-7"])
    assert (bag["coffee_id"], bag["mass_g"], bag["roasted_on"]) == (coffee["id"], 1500.0, "2026-02-24")
    assert coffee["roaster"] == "Saltmarsh Roasting"


def test_a_coffee_is_found_by_its_name_in_any_case_and_with_its_roaster(take, shelf, all_of):
    result = take(
        "coffee;roasted_on;mass_g\ntarn  HOLLOW;2026-02-10;1000\nSaltmarsh Roasting Tarn Hollow;2026-02-11;1000\n"
    )

    assert (result.stored, result.wrong) == (2, [])
    new = [bag for bag in all_of("bags") if bag["roasted_on"] >= "2026-02-10"]
    assert {bag["coffee_id"] for bag in new} == {shelf["coffees"]["Tarn Hollow"]}


def test_a_water_takes_the_unit_from_its_header_its_cell_or_a_column(take, site_id, all_of):
    take("Date;Time;Source;Hardness (°dH);Alkalinity (mg/L CaCO3)\n2026-02-01;8:00;tap;17;214,5\n")
    take("Datum;Uhrzeit;Quelle;Härte;KH\n02.02.2026;8:00;tap;7 °dH;5 °dH\n")
    take("date;clock;source;hardness;hardness unit\n2026-02-03;8:00;tap;12;°fH\n")

    found = {water["sampled_at"][:10]: water for water in all_of("waters")}
    assert found["2026-02-01"]["hardness"] == {"value": 17.0, "unit": "dh"}
    assert found["2026-02-01"]["alkalinity"] == {"value": 214.5, "unit": "mg_l_caco3"}
    assert found["2026-02-02"]["alkalinity"] == {"value": 5.0, "unit": "dh"}
    assert found["2026-02-03"]["hardness"] == {"value": 12.0, "unit": "fh"}


def test_a_hardness_without_a_unit_is_refused_and_the_row_with_it(take, site_id, all_of):
    result = take("Date;Time;Hardness;pH\n2026-02-01;8:00;17;7,4\n")

    assert (result.stored, only(result.wrong).field, all_of("waters")) == (0, "hardness", [])


def test_a_water_that_tells_its_day_only_is_put_at_noon(take, site_id, all_of):
    take("Datum;Härte (°dH)\n01.02.2026;7\n")

    assert only(all_of("waters"))["sampled_at"] == "2026-02-01T12:00:00+00:00"


def test_a_lab_report_is_taken_ion_by_ion(take, site_id, all_of):
    take(
        "sampled;Ca (mg/l);Mg (mg/l);HCO3;Chlorid;pH-Wert;Leitfähigkeit\n2026-02-01 08:00;52;8,0;140;28;7,6;395\n"
    )

    water = only(all_of("waters"))
    assert [water[n] for n in ("magnesium_mg_l", "bicarbonate_mg_l", "chloride_mg_l", "ph", "conductivity_us_cm")] == [
        8.0, 140.0, 28.0, 7.6, 395.0,
    ]  # fmt: skip


def test_a_day_without_a_time_needs_one_for_all_rows(take, site_id, all_of):
    text = "date;dose;yield;time (s)\n2026-02-01;18;36;28\n"
    without = take(text)
    assert only(without.wrong).field == "pulled_at"
    assert "--at" in only(without.wrong).remedy

    given = take(text, clock=dt.time(12, 0))
    assert given.stored == 1
    assert only(all_of("shots"))["pulled_at"] == "2026-02-01T12:00:00+00:00"


def test_a_row_reports_everything_that_is_wrong_with_it_at_once(take, shelf):
    result = take(SHOTS + "2026-02-01 08:00;Tarn Hollow;2026-01-20;x;y;z;Nobody\n")

    assert [wrong.field for wrong in result.wrong] == ["dose_g", "yield_g", "time_s", "person_id"]
    assert result.wrong_rows == 1


def test_a_time_with_its_own_offset_stays_the_instant_that_it_is(take, shelf, all_of):
    take(SHOTS + "2026-02-01T08:00:00-05:00;;;18;36;28;\n")

    assert only(all_of("shots"))["pulled_at"] == "2026-02-01T08:00:00-05:00"


def test_a_shot_that_names_only_its_coffee_is_from_the_bag_that_was_open(manager, take, shelf, all_of):
    older, newer = (shelf["bags"]["Tarn Hollow", day] for day in ("2026-01-20", "2026-02-01"))
    manager.add("bag_events", bag_id=older, at="2026-02-02T08:00:00Z", what="opened")
    manager.add("bag_events", bag_id=older, at="2026-02-10T08:00:00Z", what="finished")
    manager.add("bag_events", bag_id=newer, at="2026-02-10T08:01:00Z", what="opened")
    result = take(
        SHOTS + "2026-02-05 08:00;Tarn Hollow;;18;36;28;\n2026-02-12 08:00;Tarn Hollow;;18;36;28;\n"
    )

    assert result.stored == 2
    assert {s["pulled_at"][:10]: s["bag_id"] for s in all_of("shots")} == {
        "2026-02-05": older,
        "2026-02-12": newer,
    }


def test_a_shot_whose_bag_can_t_be_told_is_refused_with_what_would_tell_it(take, shelf):
    result = take(SHOTS + "2026-02-05 08:00;Tarn Hollow;;18;36;28;\n")

    assert only(result.wrong).field == "bag_id"
    assert "roast date" in only(result.wrong).remedy


def test_a_row_of_another_site_is_not_stored_under_this_one(manager, take, shelf):
    manager.add("sites", name="Market cart", time_zone="Europe/Lisbon")
    rows = ("2026-02-05 08:00;Market cart;18;36;28", "2026-02-05 09:00;Lantern Quay;18;36;28")
    result = take("\n".join(("pulled_at;site;dose_g;yield_g;time_s", *rows)), site="Lantern Quay")

    assert (result.stored, only(result.wrong).field, only(result.wrong).line) == (1, "site_id", 2)


def test_with_several_sites_the_import_asks_which(manager, take, shelf):
    manager.add("sites", name="Market cart", time_zone="Europe/Lisbon")

    with pytest.raises(FileRefused, match="Lantern Quay, Market cart"):
        take(SHOTS)
    with pytest.raises(FileRefused, match="no site here"):
        take(SHOTS, site="Harbour bar")


def test_a_log_of_another_site_is_another_log(manager, take, shelf, site_id):
    cart = manager.add("sites", name="Market cart", time_zone="Europe/Lisbon")["id"]
    text = "pulled_at;dose_g;yield_g;time_s\n2026-02-05 08:00;18;36;28\n"

    assert [take(text, site=site).stored for site in (site_id, cart)] == [1, 1]


def test_the_derived_id_is_of_version_8_and_the_same_however_figures_are_written(take, shelf, all_of):
    take(SHOTS + "2026-02-05 08:00;Tarn Hollow;2026-01-20;18,0;36,0;28;Ida\n")
    header = "Person;Dose (g);Out (g);Time (s);Coffee;Roast date;pulled_at\n"
    again = take(header + "IDA;18.00;36;0:28;tarn hollow;20.01.2026;05.02.2026 8:00\n")

    assert (again.stored, again.known) == (0, 1)
    assert only(all_of("shots"))["id"][14] == "8"  # RFC 9562 section 5.8: the version's nibble


def test_a_taste_in_a_word_is_understood_and_an_unknown_one_refused(take, shelf, all_of):
    result = take(
        "pulled_at;dose_g;yield_g;time_s;taste\n2026-02-05 08:00;18;36;28;sauer\n2026-02-05 09:00;18;36;28;plummy\n"
    )

    assert only(all_of("shots"))["taste"] == {"acidity": 1}
    assert "note" in only(result.wrong).remedy


def test_a_yield_in_millilitres_is_refused_since_it_is_a_mass(take, shelf):
    result = take("pulled_at;Dose (g);Yield (ml);Time (s)\n2026-02-05 08:00;18;36;28\n")

    assert (only(result.wrong).field, result.stored) == ("yield_g", 0)
    assert "never a volume" in only(result.wrong).remedy


def test_columns_that_nobody_knows_are_listed_and_left_alone(take, shelf):
    result = take("pulled_at;dose_g;yield_g;time_s;Weather\n2026-02-05 08:00;18;36;28;rain\n")

    assert (result.stored, result.ignored) == (1, ["Weather"])


def test_a_file_broken_further_down_is_refused_before_anything_is_stored(take, shelf, all_of):
    rows = "".join(f"2026-02-05 08:{minute:02d};18;36;28\n" for minute in range(50))

    with pytest.raises(FileRefused):
        take("pulled_at;dose_g;yield_g;time_s\n" + rows * 10 + '"2026-02-05 10:00;18;36;28\n')
    assert all_of("shots") == []


def test_more_rows_than_one_batch_holds_all_arrive(take, shelf, all_of):
    rows = "".join(
        f"2026-02-{day:02d} {hour:02d}:{m:02d};18;36;28\n"
        for day in (5, 6)
        for hour in range(5)
        for m in range(45)
    )
    result = take("pulled_at;dose_g;yield_g;time_s\n" + rows)

    assert (result.rows, result.stored) == (450, 450)
    assert len(all_of("shots")) == 450


def test_an_imported_shot_travels_to_the_phones_of_its_site(take, phone):
    take("pulled_at;dose_g;yield_g;time_s\n2026-02-05 08:00;18;36;28\n")
    phone.sync()

    assert [entry["app"] for entry in phone.mirror.values() if entry["kind"] == "shot"] == ["import"]
