"""A phone and the real server: what goes up, what comes down, and what every fault on the way costs."""

import json

import pytest

ROUND = "**/api/sync"


def test_what_was_saved_is_stored_once_and_leaves_the_outbox_when_it_comes_back(bar, make_phone):
    phone = make_phone()
    shots = [phone.shot(), phone.shot(dose_g=18.2)]

    assert phone.sync() == "delivered"

    assert len(bar.stored_ids()) == 2
    assert phone.stored("outbox") == []
    assert set(bar.stored_ids()) <= set(phone.ids("mirror"))
    assert all(not phone.record(shot["id"])["waiting"] for shot in shots)
    assert phone.call("/outbox/records.js", "figuresOf", shots[0]["id"])["ratio"] == pytest.approx(
        40.2 / 18.6
    )


def test_a_lost_answer_after_the_commit_stores_nothing_twice(bar, make_phone):
    phone = make_phone()
    phone.shot()

    def lose_the_answer(route):
        route.fetch()
        route.abort("connectionreset")

    phone.page.route(ROUND, lose_the_answer)
    assert phone.sync() == "no_network"
    assert (len(bar.stored_ids()), len(phone.stored("outbox"))) == (1, 1)

    phone.page.unroute(ROUND)
    assert phone.sync() == "delivered"
    assert (len(bar.stored_ids()), len(phone.stored("outbox"))) == (1, 0)


def portal(route):
    route.fulfill(status=200, content_type="text/html", body="<h1>Welcome to the free network</h1>")


def portal_in_json(route):
    route.fulfill(status=200, content_type="application/json", body='{"please": "accept our terms"}')


def cut_short(route):
    answer = route.fetch()
    route.fulfill(response=answer, body=answer.text()[:-20], headers={"Content-Type": "application/json"})


def problem(status, headers=None, **more):
    def answer(route):
        body = json.dumps({"type": "about:blank", "title": "no", "status": status, **more})
        known = {"Content-Type": "application/problem+json", **(headers or {})}
        route.fulfill(status=status, headers=known, body=body)

    return answer


FAULTS = {
    "no network": (lambda route: route.abort("internetdisconnected"), "no_network"),
    "a sign-in page of a free network": (portal, "no_network"),
    "the same in JSON": (portal_in_json, "no_network"),
    "an answer cut short": (cut_short, "no_network"),
    "a fault of the server": (problem(500), "no_network"),
    "no pairing": (problem(401), "pair_again"),
    "a pairing taken back": (problem(403), "pair_again"),
    "an app too old": (problem(409, update="phone"), "update_app"),
    "a server too old": (problem(409, update="server"), "update_server"),
    "too many at once": (problem(429, {"Retry-After": "7"}), "slow_down"),
    "a server that rests": (problem(503, {"Retry-After": "7"}), "slow_down"),
    "a request it can't read": (problem(400), "trouble"),
}


def test_whatever_goes_wrong_on_the_way_the_outbox_stays_and_the_outcome_has_a_name(make_phone):
    phone = make_phone()
    phone.shot()
    before = phone.stored("outbox")

    for fault, (answer, _) in FAULTS.items():
        phone.page.route(ROUND, answer)
        seen = phone.sync()
        assert (fault, seen, phone.stored("outbox")) == (fault, FAULTS[fault][1], before)
        phone.page.unroute(ROUND)

    assert phone.sync() == "delivered"
    assert phone.stored("outbox") == []


def test_a_refused_entry_holds_up_no_other_and_can_be_mended(bar, make_phone):
    phone = make_phone()
    bad, good = phone.shot(dose_g=-3), phone.shot()

    assert phone.sync() == "delivered"

    assert phone.stored("outbox") == []
    [refused] = phone.stored("refused")
    assert (refused["entry"]["record_id"], refused["reason"]) == (bad["id"], "invalid")
    assert list(refused["errors"]) == ["dose_g"]
    assert phone.record(good["id"])["waiting"] is False
    assert len(bar.stored_ids()) == 1

    phone.call("/outbox/refused.js", "resend", refused["entry_id"], {"dose_g": 18.3})
    assert phone.sync() == "delivered"

    assert phone.stored("refused") == []
    assert phone.record(bad["id"])["fields"]["dose_g"] == 18.3
    assert bar.rows("SELECT count(*) FROM refused_entry") == [(1,)]  # the server keeps what was said


def test_a_refused_entry_stays_until_a_person_lets_it_go(make_phone):
    phone = make_phone()
    phone.shot(dose_g=-3)
    phone.sync()
    phone.page.reload()
    phone.sync()
    [refused] = phone.stored("refused")

    phone.call("/outbox/refused.js", "withdraw", refused["entry_id"])

    assert phone.stored("refused") == []


def test_entries_go_up_in_slices_and_a_413_halves_them(bar, make_phone):
    phone = make_phone()
    phone.save(*[event(bar, number) for number in range(30)])
    sizes = []

    def at_most_eight(route):
        sizes.append(len(body_of(phone, route)["entries"]))
        route.continue_() if sizes[-1] <= 8 else problem(413)(route)

    phone.page.route(ROUND, at_most_eight)

    assert phone.sync() == "delivered"
    assert sizes[:3] == [30, 15, 7]
    assert max(sizes[2:]) <= 8
    assert (phone.stored("outbox"), len(bar.stored_ids("event"))) == ([], 30)


def body_of(phone, route):
    """A request's body, which may be packed."""
    import gzip

    data = route.request.post_data_buffer
    return json.loads(gzip.decompress(data) if data[:2] == b"\x1f\x8b" else data)


def test_an_entry_that_no_request_can_carry_is_put_aside_by_name(make_phone):
    phone = make_phone()
    ok, huge = phone.shot(), phone.shot(note="x" * 3_000_000)

    assert phone.sync() == "delivered"

    [refused] = phone.stored("refused")
    assert (refused["entry"]["record_id"], refused["reason"]) == (huge["id"], "too_big")
    assert phone.stored("outbox") == []
    assert phone.record(ok["id"])["waiting"] is False


def test_two_phones_that_edited_the_same_shot_offline_end_with_the_same_record(bar, make_phone):
    one, other = make_phone(), make_phone()
    shot = one.shot()
    one.sync(), other.sync()
    one.call("/outbox/save.js", "correct", shot["id"], {"yield_g": 41})
    other.call("/outbox/save.js", "correct", shot["id"], {"yield_g": 42, "note": "weighed twice"})

    for phone in (other, one, other):
        assert phone.sync() == "delivered"

    assert one.record(shot["id"]) == other.record(shot["id"])
    assert one.record(shot["id"])["clashes"] == ["yield_g"]
    history = one.call("/outbox/records.js", "historyOf", shot["id"])
    assert [step["entry"]["fields"].get("yield_g") for step in history] == [40.2, 42, 41]


def test_a_phone_that_is_paired_anew_keeps_what_it_had_not_delivered(bar, make_phone):
    phone = make_phone()
    phone.shot()
    [paired] = bar.manager.get("/api/phones").json["items"]
    bar.manager.delete(f"/api/phones/{paired['phone_id']}")

    assert phone.sync() == "pair_again"
    later = phone.shot()
    assert len(phone.stored("outbox")) == 2

    phone.pair()
    assert phone.sync() == "delivered"
    assert len(bar.stored_ids()) == 2
    assert phone.record(later["id"])["waiting"] is False


def test_a_wrong_code_names_the_field_and_changes_nothing(make_phone):
    phone = make_phone(paired=False)
    said = phone.page.evaluate(
        """async () => {
          const { pair } = await import('/sync/pairing.js');
          return pair('AAAA-AAAA', 'phone').then(() => 'paired', ({ outcome, errors }) => ({ outcome, errors }));
        }"""
    )

    assert said["outcome"] == "malformed"
    assert list(said["errors"]) == ["code"]
    assert phone.meta("phone") is None


def test_a_copied_phone_takes_a_new_name_and_nothing_of_either_is_lost(bar, make_phone, browser):
    phone = make_phone()
    first = phone.shot()
    phone.sync()
    copy = make_phone()
    copy.sync()
    copy.call("/outbox/meta.js", "setMeta", "replica", phone.meta("replica"))  # what a restored backup does
    mine, theirs = phone.shot(dose_g=18.1), copy.shot(dose_g=18.9)
    edited = copy.call("/outbox/save.js", "correct", theirs["id"], {"dose_g": 19.0})[0]

    assert (phone.sync(), copy.sync(), phone.sync()) == ("delivered",) * 3

    assert phone.meta("replica")["replica_id"] != copy.meta("replica")["replica_id"]
    assert (phone.stored("refused"), copy.stored("refused"), copy.stored("outbox")) == ([], [], [])
    doses = {shot["id"]: phone.record(shot["id"])["fields"]["dose_g"] for shot in (first, mine, theirs)}
    assert doses == {first["id"]: 18.6, mine["id"]: 18.1, theirs["id"]: edited["fields"]["dose_g"]}


def test_a_restored_server_gets_back_what_its_backup_had_not(bar, make_phone):
    phone, other = make_phone(), make_phone()
    before = phone.shot()
    phone.sync()
    backup = bar.backup()
    after, theirs = phone.shot(), other.shot()
    phone.sync(), other.sync(), phone.sync()

    bar.restore(backup)
    lost = set(bar.stored_ids())
    assert phone.sync() == "delivered"

    assert len(lost) == 1
    assert len(bar.stored_ids()) == 3  # the other phone's too: this one had seen it
    assert (phone.stored("outbox"), phone.stored("refused")) == ([], [])
    assert all(phone.record(shot["id"])["waiting"] is False for shot in (before, after, theirs))
    assert other.sync() == "delivered"
    assert other.ids("mirror") == phone.ids("mirror")


def test_pages_are_taken_one_by_one_until_all_is_here(bar, make_phone):
    first = make_phone()
    first.save(*[event(bar, number) for number in range(60)])
    first.sync()
    bar.limit(page_limit_entries=7)
    second = make_phone()

    assert second.sync() == "delivered"

    assert len(second.ids("mirror")) == 61  # with the site
    assert second.ids("mirror") == first.ids("mirror")
    assert second.meta("cursor") == first.meta("cursor")


def test_a_phone_killed_between_any_two_pages_goes_on_where_it_was(bar, make_phone):
    first = make_phone()
    first.save(*[event(bar, number) for number in range(30)])
    first.sync()
    bar.limit(page_limit_entries=7)
    second = make_phone()
    answered = []

    def cut_the_third(route):
        answered.append(route)
        route.abort() if len(answered) == 3 else route.continue_()

    second.page.route(ROUND, cut_the_third)
    assert second.sync() == "no_network"
    held = len(second.ids("mirror"))
    assert second.sync() == "delivered"

    assert 0 < held < len(first.ids("mirror"))
    assert second.ids("mirror") == first.ids("mirror")
    assert len(answered) < 10  # it did not start again


def event(bar, number):
    at = bar.now().isoformat(timespec="seconds")
    return {"kind": "event", "fields": {"at": at, "site_id": bar.site_id, "what": f"number {number}"}}


def test_an_answer_that_can_not_be_kept_moves_nothing(make_phone, bar):
    """Invariant: mirror, outbox and cursor change together or not at all, wherever the phone is cut."""
    phone = make_phone()
    phone.shot()
    phone.page.evaluate(
        """() => {
          const real = IDBObjectStore.prototype.put;
          IDBObjectStore.prototype.put = function (value) {
            if (this.name === 'meta' && value.key === 'cursor') throw new DOMException('cut here', 'AbortError');
            return real.call(this, value);
          };
          window.mend = () => { IDBObjectStore.prototype.put = real; };
        }"""
    )
    before = phone.stored("outbox")

    said = phone.page.evaluate(
        "async () => (await import('/sync/round.js')).syncCycle().then(() => 'done', () => 'failed')"
    )

    assert said == "failed"
    assert (phone.stored("outbox"), phone.stored("mirror"), phone.meta("cursor")) == (before, [], None)
    phone.page.evaluate("() => window.mend()")
    assert phone.sync() == "delivered"
    assert (phone.stored("outbox"), len(bar.stored_ids())) == ([], 1)


def test_an_erased_note_is_emptied_on_the_phone_too(bar, make_phone):
    phone = make_phone()
    shot = phone.shot(note="Mr P. again")
    phone.sync()
    entry_id = phone.record(shot["id"])["heads"]["note"]

    bar.redact(shot["id"], entry_id, ["note"])
    phone.sync()

    assert "Mr P." not in str(phone.stored("mirror")) + str(phone.stored("records"))
    assert phone.record(shot["id"])["fields"]["note"] is None


def test_a_shot_typed_up_from_months_ago_leaves_the_outbox_too(bar, make_phone):
    phone = make_phone()
    old = phone.shot(pulled_at="2026-03-02T08:15:00Z")

    assert phone.sync() == "delivered"

    assert len(bar.stored_ids()) == 1
    assert phone.stored("outbox") == []
    assert phone.record(old["id"])["waiting"] is False


def test_a_restored_server_that_has_all_but_asks_for_all_leaves_nothing_waiting(bar, make_phone):
    phone = make_phone()
    shot = phone.shot()
    for dose_g in (18.1, 18.2, 18.3):
        phone.call("/outbox/save.js", "correct", shot["id"], {"dose_g": dose_g})
    phone.sync()
    bar.rename()

    assert phone.sync() == "delivered"

    assert (phone.stored("outbox"), len(bar.stored_ids())) == ([], 4)
    assert phone.record(shot["id"])["fields"]["dose_g"] == 18.3


def test_an_exported_file_of_old_entries_taken_in_elsewhere_leaves_nothing_waiting(bar, make_phone):
    phone = make_phone()
    shot = phone.shot()
    phone.call("/outbox/save.js", "correct", shot["id"], {"dose_g": 18.1})
    phone.sync()
    text = phone.page.evaluate(
        "async () => (await (await import('/outbox/carry.js')).exportPhone()).blob.text()"
    )
    other = make_phone()
    other.sync()

    other.page.evaluate("async (text) => (await import('/outbox/carry.js')).takeIn(new Blob([text]))", text)
    assert other.sync() == "delivered"

    assert other.stored("outbox") == []
    assert other.record(shot["id"])["fields"] == phone.record(shot["id"])["fields"]
