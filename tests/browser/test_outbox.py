"""What is saved on the phone, module by module, in a real page."""

import json

from server.records.kinds import KINDS
from tests.browser.phones import STORED

SHOT = {
    "kind": "shot",
    "fields": {"dose_g": 18.6, "yield_g": 40.2, "time_s": 27, "pulled_at": "2026-03-02T08:15:00+01:00"},
}

SAVE = """async (changes) => {
  const { save } = await import('/outbox/save.js');
  return save(changes);
}"""


def saved(page, *changes):
    return page.evaluate(SAVE, list(changes))


def stored(page, store):
    return page.evaluate(STORED, store)


def test_a_new_record_becomes_one_entry_with_all_that_it_has(page):
    [record] = saved(page, SHOT)

    [entry] = stored(page, "outbox")
    assert entry["record_id"] == record["id"]
    assert entry["fields"] == SHOT["fields"]
    assert (entry["n"], entry["base"], entry["protocol"]) == (1, {}, 1)
    assert record["at"] == "2026-03-02T07:15:00.000Z"
    assert record["waiting"] and not record["retracted"]


def test_an_edit_names_for_each_field_the_entry_it_replaces(page):
    [record] = saved(page, SHOT)
    [first] = stored(page, "outbox")

    [edited] = saved(page, {"kind": "shot", "record_id": record["id"], "fields": {"dose_g": 18.4, "setting": 4.2}})

    second = max(stored(page, "outbox"), key=lambda entry: entry["n"])
    assert second["base"] == {"dose_g": first["entry_id"], "setting": None}  # None: nobody had set it
    assert edited["fields"] == {**SHOT["fields"], "dose_g": 18.4, "setting": 4.2}
    assert edited["clashes"] == []


def test_two_changes_of_one_record_saved_together_build_on_each_other(page):
    [record] = saved(page, SHOT)
    change = {"kind": "shot", "record_id": record["id"]}

    [both] = saved(page, {**change, "fields": {"dose_g": 18.1}}, {**change, "fields": {"dose_g": 18.2}})

    entries = sorted(stored(page, "outbox"), key=lambda entry: entry["n"])
    assert entries[2]["base"] == {"dose_g": entries[1]["entry_id"]}
    assert both["fields"]["dose_g"] == 18.2


def test_a_withdrawn_record_leaves_the_lists_and_comes_back_whole(page):
    [record] = saved(page, SHOT)

    seen = page.evaluate(
        """async (id) => {
          const { retract, restore } = await import('/outbox/save.js');
          const { recordsOf } = await import('/outbox/records.js');
          const count = async (which) => (await recordsOf('shot', which)).length;
          await retract(id);
          const gone = [await count(), await count({ retracted: true })];
          const [back] = await restore(id);
          return { gone, back, now: await count() };
        }""",
        record["id"],
    )

    assert seen["gone"] == [0, 1]
    assert seen["now"] == 1
    assert seen["back"]["fields"] == SHOT["fields"]


def test_shots_between_compares_instants_whatever_the_offsets(page):
    for pulled_at in ("2026-03-02T00:30:00+02:00", "2026-03-01T22:45:00Z", "2026-03-02T01:00:00+02:00"):
        saved(page, {**SHOT, "fields": {**SHOT["fields"], "pulled_at": pulled_at}})

    found = page.evaluate(
        """async () => {
          const { shotsBetween } = await import('/outbox/records.js');
          const shots = await shotsBetween('2026-03-01T22:40:00Z', '2026-03-02T00:00:00+01:00');
          return shots.map((shot) => shot.at);
        }"""
    )

    assert found == ["2026-03-01T22:45:00.000Z"]  # the end is not part of the span


def test_each_kind_happened_at_the_time_that_the_server_goes_by(page):
    kinds = {name: kind.at for name, kind in KINDS.items() if kind.at}
    changes = [{"kind": name, "fields": {at: "2026-03-02T08:15:00+01:00"}} for name, at in kinds.items()]

    assert {record["kind"]: record["at"] for record in saved(page, *changes)} == dict.fromkeys(
        kinds, "2026-03-02T07:15:00.000Z"
    )


def test_whoever_listens_hears_of_a_save_here_and_in_another_tab(phone, page, files):
    other = phone.new_page()
    other.goto(f"{files.url}/outbox/version.js")
    other.evaluate(
        """async () => {
          const { changes, listenToOtherTabs } = await import('/outbox/changes.js');
          listenToOtherTabs();
          window.heard = new Promise((resolve) => {
            changes.addEventListener('saved', (event) => resolve(event.detail));
          });
        }"""
    )

    [record] = saved(page, SHOT)

    heard = other.evaluate("() => window.heard")
    assert heard["records"] == [record]
    assert heard["entries"][0]["record_id"] == record["id"]


def test_an_entry_id_is_the_published_example_of_a_uuid_of_version_7(page):
    """RFC 9562, appendix A.6: time 0x017F22E279B0, rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F."""
    made = page.evaluate(
        """async () => {
          const { uuid7, isId } = await import('/outbox/ids.js');
          const random = new Uint8Array([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
          return [uuid7(0x017f22e279b0, random), isId(uuid7()), isId('017f22e2-79b0-4cc3-98c4-dc0c0c07398f')];
        }"""
    )

    assert made == ["017f22e2-79b0-7cc3-98c4-dc0c0c07398f", True, False]


def test_the_phones_time_carries_the_offset_of_its_place(browser, files):
    seen = {}
    for zone in ("Asia/Kathmandu", "America/St_Johns", "Etc/UTC"):  # +05:45, -02:30 in July, +00:00
        context = browser.new_context(timezone_id=zone, service_workers="block")
        page = context.new_page()
        page.goto(f"{files.url}/outbox/version.js")
        seen[zone] = page.evaluate("async () => (await import('/outbox/time.js')).localIso(Date.UTC(2026, 6, 1, 12))")
        context.close()

    assert seen == {
        "Asia/Kathmandu": "2026-07-01T17:45:00.000+05:45",
        "America/St_Johns": "2026-07-01T09:30:00.000-02:30",
        "Etc/UTC": "2026-07-01T12:00:00.000+00:00",
    }


def test_a_draft_and_a_preference_survive_a_reload(page):
    page.evaluate(
        """async () => {
          const { writeDraft } = await import('/outbox/drafts.js');
          const { write } = await import('/outbox/preferences.js');
          await writeDraft('pull', { dose_g: '18,4' });
          write('hand', 'left');
        }"""
    )
    page.reload()

    kept = page.evaluate(
        """async () => {
          const { readDraft, dropDraft } = await import('/outbox/drafts.js');
          const { read } = await import('/outbox/preferences.js');
          const draft = await readDraft('pull');
          await dropDraft('pull');
          return [draft, await readDraft('pull') ?? null, read('hand', 'right'), read('units', 'metric')];
        }"""
    )

    assert kept == [{"dose_g": "18,4"}, None, "left", "metric"]


def test_an_exported_file_taken_in_by_another_phone_twice_adds_each_entry_once(browser, page, files):
    saved(page, SHOT, SHOT)
    text = page.evaluate("async () => (await (await import('/outbox/carry.js')).exportPhone()).blob.text()")
    lines = text.splitlines()
    torn = "\n".join([*lines, lines[1][:40], json.dumps({"held": "outbox", "entry": {"entry_id": "7"}})])
    context = browser.new_context(service_workers="block")
    other = context.new_page()
    other.goto(f"{files.url}/outbox/version.js")

    take_in = "async (text) => (await import('/outbox/carry.js')).takeIn(new Blob([text]))"
    first, second = other.evaluate(take_in, torn), other.evaluate(take_in, torn)

    assert (first["taken"], first["known"]) == (2, 0)
    assert (second["taken"], second["known"]) == (0, 2)
    assert [wrong["line"] for wrong in first["wrong"]] == [4, 5]
    assert stored(other, "outbox") == stored(page, "outbox")
    context.close()
