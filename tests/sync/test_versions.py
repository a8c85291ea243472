"""An old phone meets a new server, and the other way round: each is told which side needs the update."""

import pytest

ROUND_OF_A_LATER_PROTOCOL = {"protocol": 2, "changes": [{"id": 1}], "since": "somewhere"}
ROUND_OF_AN_EARLIER_ONE = {"protocol": 0, "taps": []}


@pytest.mark.parametrize("protocol, update", [(0, "phone"), (2, "server"), (99, "server")])
def test_a_round_of_another_protocol_is_told_which_side_needs_the_update_and_stores_nothing(
    phone, manager, protocol, update
):
    phone.shot()

    answer = phone.http.post("/api/sync", json={**phone.request(), "protocol": protocol})

    assert (answer.status_code, answer.json["update"]) == (409, update)
    assert answer.json["oldest_app"]
    assert manager.get("/api/shots")["items"] == []
    phone.sync()  # after the update: what waited is still there, and welcome
    assert len(manager.get("/api/shots")["items"]) == 1


@pytest.mark.parametrize(
    "body, update", [(ROUND_OF_A_LATER_PROTOCOL, "server"), (ROUND_OF_AN_EARLIER_ONE, "phone")]
)
def test_a_round_of_a_form_that_this_server_cant_read_is_told_so_by_its_protocol(phone, body, update):
    """Another protocol may have other fields: refusing those by name would hide what the matter is."""
    answer = phone.http.post("/api/sync", json=body)

    assert (answer.status_code, answer.json.get("update")) == (409, update)


@pytest.mark.parametrize("protocol", [None, "1", True, 1.5, -1])
def test_a_protocol_that_is_no_number_of_a_version_is_refused_by_name(phone, protocol):
    answer = phone.http.post("/api/sync", json={**phone.request(), "protocol": protocol})

    assert answer.status_code == 422 and "protocol" in answer.json["errors"]


def test_an_entry_of_a_later_protocol_is_refused_alone_in_words_and_holds_up_no_other(phone, manager):
    phone.shot()
    phone.save("shot", {"dose_g": 18.0}, protocol=2)

    receipts = phone.round()["receipts"]

    assert [receipt["receipt"] for receipt in receipts] == ["stored", "refused"]
    assert receipts[1]["errors"] == {
        "protocol": ["is newer than this server: update the server, then send again"]
    }
