"""What can happen to a phone's storage, and what of it a person has to know."""

import pytest

from tests.browser.battery import Killable
from tests.browser.test_outbox import SHOT, saved, stored

SAVE_AND_TELL = """async (changes) => {
  const { save } = await import('/outbox/save.js');
  return save(changes).then(() => 'saved', (error) => error.name);
}"""

# The browser's end of the connection dies: every later transaction on that handle throws, as WebKit's does.
LOSE_HANDLE = """async (times) => {
  const real = IDBDatabase.prototype.transaction;
  window.lost = 0;
  IDBDatabase.prototype.transaction = function (...args) {
    if (window.lost < times) {
      window.lost += 1;
      this.close();
    }
    return real.apply(this, args);
  };
}"""


def test_a_lost_handle_is_opened_anew_and_the_tap_is_kept_once(page):
    saved(page, SHOT)
    page.evaluate(LOSE_HANDLE, 1)

    assert page.evaluate(SAVE_AND_TELL, [SHOT]) == "saved"
    assert page.evaluate("() => window.lost") == 1
    assert [entry["n"] for entry in stored(page, "outbox")] == [1, 2]


def test_a_handle_that_stays_lost_is_said_so_and_nothing_is_half_kept(page):
    saved(page, SHOT)
    page.evaluate(LOSE_HANDLE, 2)

    assert page.evaluate(SAVE_AND_TELL, [SHOT]) == "StorageLost"
    assert page.evaluate(SAVE_AND_TELL, [SHOT]) == "saved"  # the next tap finds a handle that lives
    assert [entry["n"] for entry in stored(page, "outbox")] == [1, 2]


def test_a_database_that_the_browser_closes_in_the_middle_of_a_tap_is_opened_anew(page):
    saved(page, SHOT)
    page.evaluate(
        """() => {
          const real = IDBDatabase.prototype.transaction;
          let once = true;
          IDBDatabase.prototype.transaction = function (stores, mode, options) {
            const tx = real.call(this, stores, mode, options);
            if (once && mode === 'readwrite') {
              once = false;
              tx.objectStore('outbox').count().onsuccess = () => {
                this.close();
                this.onclose(new Event('close')); // what a browser does that drops a connection
                tx.abort();
              };
            }
            return tx;
          };
        }"""
    )

    assert page.evaluate(SAVE_AND_TELL, [SHOT]) == "saved"
    assert [entry["n"] for entry in stored(page, "outbox")] == [1, 2]


def test_a_tap_that_was_committed_before_the_handle_died_is_not_kept_twice(page):
    saved(page, SHOT)
    page.evaluate(
        """() => {
          // The commit happens; the page never hears of it, and the handle reports a failure instead.
          const real = IDBDatabase.prototype.transaction;
          let once = true;
          IDBDatabase.prototype.transaction = function (stores, mode, options) {
            const tx = real.call(this, stores, mode, options);
            if (!once || mode !== 'readwrite') return tx;
            once = false;
            return new Proxy(tx, {
              get: (target, name) => {
                if (name === 'error') return new DOMException('connection lost', 'UnknownError');
                const value = target[name];
                return typeof value === 'function' ? value.bind(target) : value;
              },
              set: (target, name, value) => {
                if (name === 'onabort') target.oncomplete = value;
                else if (name !== 'oncomplete') target[name] = value;
                return true;
              },
            });
          };
        }"""
    )

    assert page.evaluate(SAVE_AND_TELL, [SHOT]) == "saved"
    assert [entry["n"] for entry in stored(page, "outbox")] == [1, 2]


FILL = """async () => {
  const { save } = await import('/outbox/save.js');
  const noise = () => Array.from(crypto.getRandomValues(new Uint8Array(40_000)), (byte) => byte.toString(36)).join('');
  for (let kept = 0; kept < 200; kept += 1) {
    try {
      await save([{ kind: 'event', fields: { at: '2026-03-02T08:15:00Z', note: noise() } }]);
    } catch (error) {
      return [kept, error.name];
    }
  }
  return [200, 'never full'];
}"""


def test_a_full_disk_is_named_and_whatever_was_told_to_be_saved_stays(page, phone):
    origin = page.evaluate("() => location.origin")
    phone.new_cdp_session(page).send("Storage.overrideQuotaForOrigin", {"origin": origin, "quotaSize": 2_000_000})

    kept, error = page.evaluate(FILL)

    assert (kept > 3, error) == (True, "StorageFull")
    assert len(stored(page, "outbox")) == kept
    assert len(stored(page, "records")) == kept


@pytest.mark.parametrize(
    ("usage", "quota", "nearly"),
    [(1_000_000, 500_000_000, False), (410_000_000, 500_000_000, True), (35_000_000, 50_000_000, True)],
)
def test_nearly_full_is_noticed_before_it_is_full(page, usage, quota, nearly):
    state = page.evaluate(
        """async (estimate) => {
          navigator.storage.estimate = async () => estimate;
          return (await import('/outbox/safety.js')).storageState();
        }""",
        {"usage": usage, "quota": quota},
    )

    assert (state["usage"], state["nearlyFull"], state["standalone"]) == (usage, nearly, False)


def test_an_app_that_went_back_a_version_still_opens_what_the_newer_one_left(page):
    saved(page, SHOT)
    page.evaluate(
        """() => new Promise((resolve, reject) => {
          const opening = indexedDB.open('evenpull', 99);
          opening.onupgradeneeded = () => opening.result.createObjectStore('of_a_later_version');
          opening.onsuccess = () => { opening.result.close(); resolve(); };
          opening.onerror = () => reject(opening.error);
          opening.onblocked = () => reject(new Error('an open page held the upgrade up'));
        })"""
    )

    saved(page, SHOT)

    assert [entry["n"] for entry in stored(page, "outbox")] == [1, 2]


def test_two_tabs_that_save_at_once_share_one_count(phone, page, files):
    other = phone.new_page()
    other.goto(f"{files.url}/outbox/version.js")
    many = """async (change) => {
      const { save } = await import('/outbox/save.js');
      window.all = Promise.all(Array.from({ length: 20 }, () => save([change])));
    }"""
    page.evaluate(many, SHOT)
    other.evaluate(many, SHOT)
    for tab in (page, other):
        tab.evaluate("() => window.all.then(() => null)")

    entries = stored(page, "outbox")
    assert sorted(entry["n"] for entry in entries) == list(range(1, 41))
    assert len({entry["replica_id"] for entry in entries}) == 1


SAVE_WITHOUT_END = """async (change) => {
  const { save } = await import('/outbox/save.js');
  for (let number = 1; ; number += 1) {
    const [shot] = await save([{ ...change, fields: { ...change.fields, setting: number } }]);
    document.title = `saved ${number} ${shot.id}`;
    await tell(shot.id);
  }
}"""


def kill_while_saving(killable, url, moment):
    """Saves until `moment` of them were told to be kept, then the end; what was told, and what the disk says."""
    told = []
    page = killable.start()
    page.goto(f"{url}/outbox/version.js")
    page.expose_function("tell", lambda record_id: told.append(record_id))
    page.evaluate(f"(change) => {{ ({SAVE_WITHOUT_END})(change); }}", SHOT)
    while len(told) < moment:
        page.wait_for_timeout(1)
    killable.kill()
    page = killable.start()
    page.goto(f"{url}/outbox/version.js")
    kept = stored(page, "outbox")
    killable.context.close()
    return told, kept


@pytest.mark.parametrize("moment", [1, 7, 20])
def test_whatever_was_said_to_be_saved_is_there_after_the_browser_was_killed(
    driver, browser_path, files, tmp_path, moment
):
    told, kept = kill_while_saving(Killable(driver, browser_path, tmp_path), files.url, moment)

    assert len(told) >= moment
    assert set(told) <= {entry["record_id"] for entry in kept}
    assert [entry["n"] for entry in sorted(kept, key=lambda entry: entry["n"])] == list(range(1, len(kept) + 1))


@pytest.mark.nightly
@pytest.mark.parametrize("moment", range(1, 31))
def test_thirty_more_kills_lose_nothing(driver, browser_path, files, tmp_path, moment):
    told, kept = kill_while_saving(Killable(driver, browser_path, tmp_path), files.url, moment)

    assert set(told) <= {entry["record_id"] for entry in kept}
