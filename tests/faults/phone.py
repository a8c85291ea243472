"""A phone on a real connection, which notes for the proof what it ever saved and what it was ever told."""

import json
from collections import Counter
from pathlib import Path

from tests.faults.wire import Http, NoAnswer
from tests.world import Phone

KEPT = ("replica_id", "n", "outbox", "mirror", "refused", "cursor", "known_offset_s", "phone_id", "site_id")


class LivePhone(Phone):
    """The protocol's phone. What it adds takes no part in the protocol: it is what the end is compared with."""

    def __init__(self, app, clock, http):
        super().__init__(app, clock, http)
        self.saved: dict[str, dict] = {}
        self.acknowledged: set[str] = set()
        self.statuses: Counter[int | None] = Counter()  # None: no whole answer

    def save(self, *args, **more) -> dict:
        entry = super().save(*args, **more)
        self.saved[entry["entry_id"]] = entry
        return entry

    def take(self, answer: dict) -> None:
        taken = [receipt for receipt in answer["receipts"] if receipt["receipt"] != "refused"]
        self.acknowledged |= {receipt["entry_id"] for receipt in taken}
        super().take(answer)

    def try_round(self, limit: int = 500) -> dict | None:
        """One round; the answer, or None where none came whole or the server had trouble: all is kept, as it was."""
        try:
            answer = self.http.post("/api/sync", json=self.request(limit))
        except NoAnswer:
            self.statuses[None] += 1
            return None
        self.statuses[answer.status_code] += 1
        if answer.status_code != 200:
            assert answer.status_code >= 500, answer
            return None
        self.take(answer.json)
        return answer.json

    def drain(self, tries: int = 500) -> None:
        """Try until nothing waits, here or there."""
        for _ in range(tries):
            answer = self.try_round()
            if answer and not answer["more"] and not self.outbox and "restart" not in answer:
                return
        raise AssertionError(f"never drains: {len(self.outbox)} wait after {tries} tries, {self.statuses}")

    def switch_off(self, path: Path) -> None:
        """Write down what a phone keeps: all that is left of it after a restart."""
        kept = {name: getattr(self, name) for name in KEPT}
        path.write_text(json.dumps({**kept, "cookie": self.http.cookie}))

    @classmethod
    def switched_on(cls, path: Path, clock, port: int) -> "LivePhone":
        kept = json.loads(path.read_text())
        phone = cls(None, clock, Http(port, kept.pop("cookie")))
        for name, value in kept.items():
            setattr(phone, name, value)
        return phone
