"""A phone in a test: a page of the app's origin in which the test itself calls the client's modules."""

PHONE = {
    "viewport": {"width": 390, "height": 844},
    "has_touch": True,
    "is_mobile": True,
    "device_scale_factor": 2,
    "locale": "en-GB",
    "timezone_id": "Europe/London",
}

STORED = """async (store) => {
  const { ask, inOneTransaction } = await import('/outbox/database.js');
  return inOneTransaction([store], 'readonly', (tx) => ask(tx.objectStore(store).getAll()));
}"""

CALL = """async ([module, name, args]) => {
  const result = await (await import(module))[name](...args);
  return result === undefined ? null : result;
}"""


class Phone:
    """A phone of its own: a page in a context, and with it a storage, that no other phone has."""

    def __init__(self, page, bar):
        self.bar, self.page, self.context = bar, page, page.context
        self.page.goto(f"{bar.url}/outbox/version.js")

    def call(self, module: str, name: str, *args):
        """`await (await import(module)).name(...args)` in the page."""
        return self.page.evaluate(CALL, [module, name, list(args)])

    def pair(self, site_id: str | None = None) -> dict:
        return self.call("/sync/pairing.js", "pair", self.bar.code(site_id), "bar phone")

    def save(self, *changes) -> list[dict]:
        return self.call("/outbox/save.js", "save", list(changes))

    def shot(self, **fields) -> dict:
        """A new shot; its record."""
        known = {"pulled_at": self.bar.now().isoformat(timespec="seconds"), "site_id": self.bar.site_id}
        return self.save(
            {"kind": "shot", "fields": {"dose_g": 18.6, "yield_g": 40.2, "time_s": 27, **known, **fields}}
        )[0]

    def sync(self) -> str:
        """One cycle; how it ended."""
        return self.call("/sync/round.js", "syncCycle")["outcome"]

    def stored(self, store: str) -> list[dict]:
        return self.page.evaluate(STORED, store)

    def ids(self, store: str) -> list[str]:
        return sorted(row["entry_id"] for row in self.stored(store))

    def meta(self, key: str):
        return next((row["value"] for row in self.stored("meta") if row["key"] == key), None)

    def record(self, record_id: str) -> dict | None:
        return next((row for row in self.stored("records") if row["id"] == record_id), None)
