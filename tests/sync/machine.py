"""Random days with several phones and one server: the rules are what can happen, the invariants are `sync.md`'s.

The phones are given: `tests/sync` has them in Python, `tests/browser` has the real client in a page.
"""

import datetime as dt
import json

from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from server.clock import as_text
from server.compute.fold import fold
from server.ids import uuid7
from tests.sync.shop import FATES

PHONES = {"bar": 0, "second": 0, "cart": 1}  # name -> which site
NOT_YET = "9999-12-31T23:59:59.999Z"
# Per kind, what an edit may set; a negative figure is what the server refuses.
EDITS = {"shot": ("dose_g", "note"), "coffee": ("rest_days", "roaster")}
names = st.sampled_from([*sorted(PHONES), "copy"])
picks = st.integers(0, 9)
figures = st.integers(-1, 9)


class Machine(RuleBasedStateMachine):
    """`phones` makes a phone by its name: see tests/sync/phones.py for what it can do."""

    def __init__(self, shop, phones):
        super().__init__()
        self.shop, self.phones = shop, {}
        shop.open()
        for name, site in PHONES.items():
            shop.pair(name, site)
            self.phones[name] = phones(name)
        self.made: dict[str, dt.datetime] = {}  # entry_id -> when, by a true clock
        self.saw: dict[str, dict] = {}  # entry_id -> per field, the entry whose value was on the screen
        self.slowest_s, self.clocks_are_steady, self.backed_up = 0.0, True, False

    # What people do.

    @rule(name=names, kind=st.sampled_from(sorted(EDITS)), figure=figures)
    def make(self, name, kind, figure):
        fields = {"name": "Tarn Hollow", "rest_days": figure}
        if kind == "shot":
            site_id, at = self.shop.sites[PHONES.get(name, 0)], as_text(self.shop.clock())
            fields = {"pulled_at": at, "site_id": site_id, "dose_g": figure, "yield_g": 36, "time_s": 27}
        self.save(name, kind, None, fields)

    @rule(name=names, pick=picks, field=st.integers(0, 1), figure=figures)
    def edit(self, name, pick, field, figure):
        if record := self.any_record(name, pick):
            setting = EDITS[record["kind"]][field]
            value = figure if setting in ("dose_g", "rest_days") else f"said {figure}"
            self.save(name, record["kind"], record["id"], {setting: value})

    @rule(name=names, pick=picks, retract=st.booleans())
    def withdraw_or_restore(self, name, pick, retract):
        if record := self.any_record(name, pick):
            self.save(name, record["kind"], record["id"], {}, retract=retract)

    @rule(name=names, pick=picks, figure=figures, cut=st.integers(1, 2))
    def edit_and_die(self, name, pick, figure, cut):
        """The battery ends in the middle of a save: it is all there or not at all."""
        if record := self.any_record(name, pick):
            field = EDITS[record["kind"]][0]
            self.save(name, record["kind"], record["id"], {field: figure}, cut=cut)

    @rule(name=names, pick=picks)
    def broken_client_sends_a_ring(self, name, pick):
        """Two entries that each say that they replace the other."""
        if record := self.any_record(name, pick):
            ids, now, field = [uuid7(), uuid7()], as_text(self.shop.clock()), EDITS[record["kind"]][1]
            made = {"kind": record["kind"], "record_id": record["id"], "n": 1, "made_at": now, "protocol": 1}
            ring = [
                {
                    **made,
                    "entry_id": mine,
                    "replica_id": uuid7(),
                    "base": {field: other},
                    "fields": {field: "round"},
                }
                for mine, other in (ids, ids[::-1])
            ]
            request = {"protocol": 1, "replica_id": uuid7(), "sent_at": now, "entries": ring}
            self.shop.deliver(self.there(name), "/api/sync", json.dumps(request))

    # What happens to what they did.

    @rule(name=names, fates=st.lists(st.sampled_from(FATES), max_size=4), cut=st.integers(0, 4))
    def sync(self, name, fates, cut):
        name = self.there(name)
        self.shop.fates[name] = list(fates)
        self.phones[name].sync(cut)

    @precondition(lambda self: self.shop.in_the_air)
    @rule(delay_s=st.integers(1, 60))
    def old_request_arrives(self, delay_s):
        self.shop.clock.pass_(seconds=delay_s)
        self.slowest_s = max(self.slowest_s, self.shop.old_request_arrives())

    @rule(name=names, seconds=st.integers(-3600, 3600))
    def clock_is_set(self, name, seconds):
        phone = self.phones[self.there(name)]
        self.clocks_are_steady &= not phone.held()["outbox"]
        phone.step_clock(seconds)

    @rule(seconds=st.integers(1, 50))
    def time_passes(self, seconds):
        self.shop.clock.pass_(seconds=seconds)

    @rule()
    def back_up(self):
        self.shop.back_up()
        self.backed_up = True

    @precondition(lambda self: self.backed_up)
    @rule(announced=st.booleans())
    def restore(self, announced):
        self.shop.restore(announced)

    @precondition(lambda self: self.backed_up)
    @rule(name=names, announced=st.booleans())
    def restore_in_the_middle_of_a_sync(self, name, announced):
        """The server took a round, answered, and was lost before the next one."""
        self.sync(name=name, fates=["ok", "request_lost"], cut=0)
        self.shop.restore(announced)

    @precondition(lambda self: "copy" not in self.phones)
    @rule()
    def phone_is_copied(self):
        """A phone's backup, restored onto another: the same replica twice, with the same pairing."""
        self.shop.http["copy"], self.shop.fates["copy"] = self.shop.http["bar"], []
        self.phones["copy"] = self.phones["bar"].copy_to("copy")

    @rule()
    def file_is_carried_over(self):
        self.phones["second"].take_from(self.phones["bar"])

    # What must hold after each step.

    @invariant()
    def nothing_saved_is_lost(self):
        safe = {entry["entry_id"] for entry in self.shop.ledger()} | self.shop.refused()
        for phone in self.phones.values():
            held = phone.held()
            safe |= set(held["outbox"]) | set(held["mirror"]) | set(held["refused"])
        assert set(self.made) <= safe, f"lost: {set(self.made) - safe}"

    @invariant()
    def nothing_is_doubled(self):
        ids = [entry["entry_id"] for entry in self.shop.ledger()]
        assert len(ids) == len(set(ids))

    @invariant()
    def no_cursor_runs_ahead(self):
        """Up to where it says that it has read, a phone's mirror adds up to the same records as the ledger."""
        ledger = self.shop.ledger()
        for name, phone in self.phones.items():
            held = phone.held()
            cursor = held["cursor"]
            if cursor is None or cursor.get("snapshot") or not self.is_of_this_ledger(cursor, ledger):
                continue
            read = [entry for entry in ledger if entry["seq"] <= cursor["seq"] and self.concerns(name, entry)]
            mine = [e for e in held["mirror"].values() if e["seq"] <= cursor["seq"] and self.concerns(name, e)]
            assert folds(mine) == folds(read), f"{name} skipped something"

    @invariant()
    def the_screen_shows_what_is_held(self):
        for name, phone in self.phones.items():
            held = phone.held()
            waiting = [{"effective_at": NOT_YET, **entry} for entry in held["outbox"].values()]
            wanted = folds([*held["mirror"].values(), *waiting])
            assert {i: part(record) for i, record in held["records"].items()} == wanted, name

    def teardown(self):
        if not self.phones:
            return
        while self.shop.in_the_air:
            self.slowest_s = max(self.slowest_s, self.shop.old_request_arrives())
        self.heal()
        self.check_all_drained_and_equal()
        self.check_refusals_reached_their_makers()
        self.check_the_right_edit_won()

    def heal(self):
        """The network is back and everybody syncs: once to deliver, once to hear of the others, a few times at most."""
        for turn in range(8):
            for name, phone in self.phones.items():
                self.shop.fates[name] = []
                phone.sync(0)
            if turn > 0 and not any(phone.held()["outbox"] for phone in self.phones.values()):
                return

    def check_all_drained_and_equal(self):
        ledger = self.shop.ledger()
        for name, phone in self.phones.items():
            held = phone.held()
            assert not held["outbox"], f"{name} never drains: {list(held['outbox'].values())[:2]}"
            mine = [entry for entry in held["mirror"].values() if self.concerns(name, entry)]
            assert folds(mine) == folds([entry for entry in ledger if self.concerns(name, entry)]), name

    def check_refusals_reached_their_makers(self):
        stored = {entry["entry_id"] for entry in self.shop.ledger()}
        told = set().union(*(phone.held()["refused"] for phone in self.phones.values()))
        assert self.shop.refused() - stored <= told

    def check_the_right_edit_won(self):
        ledger = {entry["entry_id"]: entry for entry in self.shop.ledger()}
        for record in group(ledger.values()).values():
            for field, head_id in fold(record)["heads"].items():
                rivals = [entry for entry in record if field in names_of(entry) and entry["entry_id"] != head_id]
                for entry in rivals:
                    if {entry["entry_id"], head_id} <= set(self.made):  # a ring is nobody's edit
                        self.check_it_lost_rightly(entry, ledger[head_id], field)

    def check_it_lost_rightly(self, lost, won, field):
        seen = self.saw[lost["entry_id"]].get(field)
        assert seen != won["entry_id"], "an edit lost to the value that it replaced"
        same = lost["replica_id"] == won["replica_id"]
        assert not (same and lost["n"] > won["n"]), "a phone's own later edit lost"
        steady = self.clocks_are_steady and "copy" not in self.phones and not self.backed_up
        if steady:
            late_s = (self.made[lost["entry_id"]] - self.made[won["entry_id"]]).total_seconds()
            assert late_s <= self.slowest_s + 5, "a clearly later edit lost"

    # Helpers.

    def there(self, name):
        return name if name in self.phones else "bar"  # nobody has copied it yet

    def save(self, name, kind, record_id, fields, retract=None, cut=0):
        name = self.there(name)
        self.shop.clock.pass_(seconds=1)
        before, records = set(self.phones[name].held()["outbox"]), self.phones[name].held()["records"]
        heads = records[record_id]["heads"] if record_id else {}
        record = self.phones[name].save(kind, record_id, fields, retract, cut)
        after = self.phones[name].held()["outbox"]
        fresh = set(after) - before
        assert len(fresh) == (record is not None), "said to be saved is saved, said to be lost is nowhere"
        self.made.update(dict.fromkeys(fresh, self.shop.clock()))
        if record is not None:
            (entry_id,) = fresh
            self.saw[entry_id] = heads
            assert all(record["heads"][field] == entry_id for field in names_of(after[entry_id]))

    def any_record(self, name, pick):
        records = sorted(self.phones[self.there(name)].held()["records"].values(), key=lambda record: record["id"])
        wanted = [record for record in records if record["kind"] in EDITS]
        return wanted[pick % len(wanted)] if wanted else None

    def concerns(self, name, entry):
        site_id = entry["site_id"] if "site_id" in entry else self.site_of(entry["record_id"])
        return site_id in (None, self.shop.sites[PHONES.get(name, 0)])

    def site_of(self, record_id):
        return next((e["site_id"] for e in self.shop.ledger() if e["record_id"] == record_id), None)

    def is_of_this_ledger(self, cursor, ledger):
        at = next((entry["entry_id"] for entry in ledger if entry["seq"] == cursor["seq"]), None)
        return cursor["database_id"] == self.shop.database_id() and at == cursor["entry_id"]


def names_of(entry) -> list[str]:
    return [*entry["fields"], *(["retract"] if entry.get("retract") is not None else [])]


def group(entries) -> dict[str, list[dict]]:
    records: dict[str, list[dict]] = {}
    for entry in entries:
        records.setdefault(entry["record_id"], []).append(entry)
    return records


def part(record) -> dict:
    return {name: record[name] for name in ("fields", "heads", "retracted", "clashes")}


def folds(entries) -> dict[str, dict]:
    return {record_id: part(fold(about)) for record_id, about in group(entries).items()}
