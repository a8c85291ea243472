"""Bad input on each endpoint: a 4xx with the field and the remedy, never a 500, and nothing stored."""

import gzip
import json

import pytest

from server.ids import uuid7

SHOT = {"pulled_at": "2026-03-02T11:58:00Z", "dose_g": 18.0, "yield_g": 36.0, "time_s": 28.0}
BAD_SHOTS = {
    "a string for a number": ({"dose_g": "18"}, "dose_g"),
    "a boolean for a number": ({"dose_g": True}, "dose_g"),
    "an unknown field": ({"doze_g": 18}, "doze_g"),
    "a negative dose": ({"dose_g": -18}, "dose_g"),
    "no dose at all": ({"dose_g": 0}, "dose_g"),
    "a yield of 4 kg": ({"yield_g": 4000}, "yield_g"),
    "a date in 2087": ({"pulled_at": "2087-03-02T11:58:00Z"}, "pulled_at"),
    "a time without its offset": ({"pulled_at": "2026-03-02T11:58:00"}, "pulled_at"),
    "a date before espresso": ({"pulled_at": "1899-03-02T11:58:00Z"}, "pulled_at"),
    "a null for a needed field": ({"dose_g": None}, "dose_g"),
    "a word that isn't offered": ({"fate": "eaten"}, "fate"),
    "an id that is no UUID": ({"bag_id": "bag 3"}, "bag_id"),
    "a UUID of version 4": ({"bag_id": "7d444840-9dc0-41d1-b245-5ffdce74fad2"}, "bag_id"),
    "a taste that says two things": ({"taste": {"right": True, "acidity": 2}}, "taste.right"),
    "a taste off the scale": ({"taste": {"acidity": 9}}, "taste.acidity"),
    "control characters": ({"note": "a\u0000b"}, "note"),
    "a field of the server's": ({"seq": 3}, "seq"),
    "a computed field": ({"ratio": 2.0}, "ratio"),
}


@pytest.mark.parametrize("wrong", BAD_SHOTS)
def test_a_bad_shot_is_refused_by_field_and_nothing_is_stored(wrong, manager, site_id):
    changes, field = BAD_SHOTS[wrong]

    answer = manager.http.post("/api/shots", json={**SHOT, "site_id": site_id, **changes})

    assert answer.status_code == 422, answer.json
    assert answer.mimetype == "application/problem+json"
    assert len(answer.json["errors"][field][0]) > 10
    assert manager.get("/api/shots")["items"] == []


@pytest.mark.parametrize("figure", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_what_is_no_figure_is_refused(figure, manager, site_id):
    body = json.dumps({**SHOT, "site_id": site_id}).replace("18.0", figure)

    answer = manager.http.post("/api/shots", data=body, content_type="application/json")

    assert answer.status_code == 422 and "dose_g" in answer.json["errors"]


def test_a_good_shot_is_stored_with_its_ratio(manager, site_id):
    made = manager.add("shots", **SHOT, site_id=site_id)

    assert made["ratio"] == 2.0
    assert manager.get(f"/api/shots/{made['id']}")["ratio"] == 2.0


JSON_DOORS = (
    "/api/sync",
    "/api/shots",
    "/api/bags",
    "/api/waters",
    "/api/session",
    "/api/pair",
    "/api/pairings",
    "/api/compute/extraction",
    "/api/compute/freshness",
    "/api/compute/time_to_target",
)
BAD_BODIES = {
    "broken JSON": (b'{"dose_g": 18,', "application/json", {}, 400),
    "no body": (b"", "application/json", {}, 400),
    "a list": (b"[1, 2]", "application/json", {}, 422),
    "a bare number": (b"18", "application/json", {}, 422),
    "a form": (b"dose_g=18", "application/x-www-form-urlencoded", {}, 415),
    "no type": (b"{}", None, {}, 415),
    "text that isn't UTF-8": (b'{"a": "\xff\xfe"}', "application/json", {}, 400),
    "5 MB": (b'{"note": "' + b"x" * 5_000_000 + b'"}', "application/json", {}, 413),
    "a hundred thousand brackets": (b"[" * 100_000, "application/json", {}, 400),
    "gzip that isn't": (b"not gzip", "application/json", {"Content-Encoding": "gzip"}, 400),
    "gzip cut short": (gzip.compress(b'{"a": 1}')[:-6], "application/json", {"Content-Encoding": "gzip"}, 400),
    "a small body that unpacks to a huge one": (
        gzip.compress(b" " * 20_000_000),
        "application/json",
        {"Content-Encoding": "gzip"},
        413,
    ),
    "a compression nobody offered": (b"{}", "application/json", {"Content-Encoding": "br"}, 415),
}


@pytest.mark.parametrize("wrong", BAD_BODIES)
@pytest.mark.parametrize("door", JSON_DOORS)
def test_a_body_that_cant_be_read_is_refused_plainly(door, wrong, manager, phone):
    data, content_type, headers, status = BAD_BODIES[wrong]
    asker = phone if door in ("/api/sync",) else manager

    answer = asker.http.post(door, data=data, content_type=content_type, headers=headers)

    assert answer.status_code == status, answer.json
    assert answer.json["detail"] and answer.json["title"]


ROUND = {"protocol": 1, "replica_id": uuid7(), "sent_at": "2026-03-02T12:00:00Z", "entries": []}
BAD_ROUNDS = {
    "no replica": ({"replica_id": None}, "replica_id"),
    "a time that is none": ({"sent_at": "noon"}, "sent_at"),
    "entries that are no list": ({"entries": {}}, "entries"),
    "an unknown field": ({"entrys": []}, "entrys"),
    "a cursor that is no object": ({"cursor": 7}, "cursor"),
}


@pytest.mark.parametrize("wrong", BAD_ROUNDS)
def test_a_bad_round_is_refused_by_field(wrong, phone):
    changes, field = BAD_ROUNDS[wrong]

    answer = phone.http.post("/api/sync", json={**ROUND, **changes})

    assert answer.status_code == 422 and field in answer.json["errors"]


@pytest.mark.parametrize(
    "cursor", [{}, {"seq": "1"}, {"seq": -1}, {"seq": 10**30}, {"snapshot": True, "seq": 0}, {"seq": [1]}]
)
def test_a_cursor_that_nobody_gave_out_starts_the_phone_again(cursor, phone):
    answer = phone.http.post("/api/sync", json={**ROUND, "cursor": cursor})

    assert answer.status_code == 200 and answer.json["restart"] == "database"


def test_too_many_entries_at_once_are_turned_away_whole(phone, manager):
    phone.shot()
    answer = phone.http.post("/api/sync", json={**phone.request(), "entries": list(phone.outbox.values()) * 501})

    assert answer.status_code == 413 and answer.json["limit_entries"] == 500
    assert manager.get("/api/shots")["items"] == []


@pytest.mark.parametrize(
    "query",
    ["limit=0", "limit=x", "since=yesterday", "site_id=1", "colour=red", "cursor=zz", "limit=1&limit=2"],
)
def test_a_bad_question_to_a_list_names_the_argument(query, manager):
    answer = manager.http.get(f"/api/shots?{query}")

    assert answer.status_code == 422 and query.split("=")[0] in answer.json["errors"]


@pytest.mark.parametrize("query", ["from=March", "to=2026-13-01", "from=2026-03-02&to=2026-03-01", "week=9"])
def test_a_bad_question_to_the_dashboard_names_the_argument(query, manager):
    answer = manager.http.get(f"/api/dashboard?{query}")

    assert answer.status_code == 422 and answer.json["errors"]


def test_what_isnt_there_is_404_and_a_wrong_method_405(manager):
    assert manager.http.get("/api/spoons").status_code == 404
    assert manager.http.get(f"/api/shots/{uuid7()}").status_code == 404
    assert manager.http.get("/api/a/b/c/d").status_code == 404
    answer = manager.http.put("/api/sync", json={})
    assert answer.status_code == 405 and "POST" in answer.headers["Allow"]


def test_an_idempotency_key_makes_one_record_however_often_it_is_sent(script, manager, site_id):
    body = {**SHOT, "site_id": site_id}
    first, second = (script.post("/api/shots", body, **{"Idempotency-Key": "shot 41"}) for _ in range(2))
    other = script.post("/api/shots", {**body, "dose_g": 19}, **{"Idempotency-Key": "shot 41"})

    assert (first.status_code, second.status_code, other.status_code) == (201, 200, 422)
    assert first.json["id"] == second.json["id"]
    assert len(manager.get("/api/shots")["items"]) == 1


def test_a_recipe_is_never_edited(manager):
    coffee_id = manager.add("coffees", name="Tarn Hollow")["id"]
    whole = {"coffee_id": coffee_id, "method": "espresso", "dose_g": 18.5, "yield_g": 40, "time_s": 27}
    recipe = manager.add("recipes", **whole)

    answer = manager.http.patch(f"/api/recipes/{recipe['id']}", json={"yield_g": 42})

    assert answer.status_code == 422 and "new one" in answer.json["errors"]["yield_g"][0]
