"""Every screen and state, in both themes and languages: no accessibility violation, nothing cut off, big targets."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.browser.phones import PHONE
from tests.browser.screens import go, open_app, set_up_bar

RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    }
}

# Everything that can be tapped, with the smaller side of its box. A link in a line of text is exempt (WCAG 2.5.8).
TARGETS = """() => [...document.querySelectorAll('button, a[href], input, textarea, summary')]
  .filter((one) => one.offsetParent && !one.closest('p') && !one.classList.contains('unseen'))
  .map((one) => ({ name: (one.textContent || one.id).trim().slice(0, 30), main: one.matches('.go'),
    width: one.getBoundingClientRect().width, height: one.getBoundingClientRect().height }))"""


def run(page):
    page.locator("[data-start]").first.tap()


def stop(page):
    run(page)
    page.clock.fast_forward(27_000)
    page.locator("[data-stop]").first.tap()
    expect(page.locator(".saved-word").first).to_be_visible()


def keypad(page):
    page.locator(".figure").first.tap()
    expect(page.locator(".pad")).to_be_visible()


def fail_to_save(page):
    run(page)
    page.clock.fast_forward(27_000)
    page.evaluate(
        "() => { IDBObjectStore.prototype.add = () => { throw new DOMException('', 'QuotaExceededError'); }; }"
    )
    page.locator("[data-stop]").first.tap()
    expect(page.locator(".alarm")).to_be_visible()


def undo_bar(page):
    stop(page)
    page.locator(".ends button").nth(1).tap()
    expect(page.locator(".said")).to_be_visible()


def refuse(page):
    page.evaluate(
        """async (shot) => {
      const { ask, inOneTransaction } = await import('/outbox/database.js');
      await inOneTransaction(['outbox', 'refused'], 'readwrite', async (tx) => {
        const [entry] = await ask(tx.objectStore('outbox').index('record_id').getAll(shot));
        await ask(tx.objectStore('refused').put({ entry_id: entry.entry_id, entry, reason: 'invalid',
          errors: { yield_g: ['4000 is outside what can be: enter a number above 0 and at most 3000 g'] } }));
      });
      (await import('/sync/status.js')).recount();
    }""",
        page.ids["shot"],
    )
    go(page, "waiting")
    expect(page.locator(".refused")).to_be_visible()


def mend(page):
    refuse(page)
    page.locator(".refused .go").tap()
    expect(page.locator(".field .bad")).to_be_visible()


def update_ready(page):
    page.evaluate("async () => (await import('/sync/update.js')).updates.dispatchEvent(new Event('ready'))")
    expect(page.locator(".strip")).to_be_visible()


STATES = {
    "ready": lambda page: None,
    "running": run,
    "saved": stop,
    "keypad": keypad,
    "full": fail_to_save,
    "undo": undo_bar,
    "update": update_ready,
    "refused": refuse,
    "mend": mend,
}
SCREENS = (
    "pull/bag", "pull/recipe", "pull/setting", "pull/hands", "taste/{shot}", "strength/{shot}", "fault/{shot}", "why",
    "today", "shot/{shot}", "tally", "shelf", "bag/new", "bag/{bag}", "water", "water/drops", "setup", "setup/phone",
    "setup/like", "setup/cautions", "setup/person", "setup/coffee/new", "setup/machine/new", "setup/grinder/{grinder}",
    "setup/site/{site}", "waiting",
)  # fmt: skip
LOOKS = [("light", "en"), ("dark", "de")]
SMALL = {"width": 320, "height": 568}


@pytest.fixture(scope="module")
def axe():
    return Axe()


@pytest.fixture
def opened(browser, files):
    """Opens the app with a bar set up; the page notes what the console complains of."""
    contexts = []

    def open_it(scheme="light", language="en", groups=1, **options):
        context = browser.new_context(**{**PHONE, **options}, color_scheme=scheme, service_workers="block")
        contexts.append(context)
        page = context.new_page()
        page.complaints = []
        page.on(
            "console",
            lambda message: page.complaints.append(message.text) if message.type == "error" else None,
        )
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.goto(f"{files.url}/outbox/version.js")
        page.clock.install()
        page.ids = set_up_bar(page, shots=6, language=language, groups=groups)
        page.complaints.clear()
        open_app(page, files.url)
        return page

    yield open_it
    for context in contexts:
        context.close()


def complaints(page) -> list[str]:
    """What the console said, but for the server that isn't there."""
    return [text for text in page.complaints if "Failed to load resource" not in text]


def too_small(page) -> list[dict]:
    targets = page.evaluate(TARGETS)
    assert len(targets) > 1, "the search for targets has gone blind"
    return [one for one in targets if min(one["width"], one["height"]) < (64 if one["main"] else 48) - 0.5]


def cut_off(page) -> bool:
    return page.evaluate("""() => Math.max(document.documentElement.scrollWidth,
      document.querySelector('#main').scrollWidth) > innerWidth""")


def faults_of(page, axe) -> list:
    found = axe.run(page, options=RULES).response["violations"]
    return (
        [(one["id"], [node["html"] for node in one["nodes"]]) for one in found]
        + too_small(page)
        + complaints(page)
    )


def walk(page):
    """Each screen in turn, once it shows something."""
    for path in SCREENS:
        page.evaluate("document.querySelector('#main').replaceChildren()")
        go(page, path.format(**page.ids))
        expect(page.locator("#main")).not_to_be_empty()
        yield path


@pytest.mark.parametrize(("scheme", "language"), LOOKS)
def test_no_screen_has_an_accessibility_violation_a_small_target_or_a_refused_script(
    opened, axe, scheme, language
):
    page = opened(scheme, language)
    assert {path: faults for path in walk(page) if (faults := faults_of(page, axe))} == {}


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize(("scheme", "language"), LOOKS)
def test_no_state_has_an_accessibility_violation_a_small_target_or_a_refused_script(
    opened, axe, state, scheme, language
):
    page = opened(scheme, language, groups=2 if state in ("ready", "running", "saved") else 1)
    STATES[state](page)
    assert faults_of(page, axe) == []


def test_no_screen_is_cut_off_on_a_small_phone_in_a_long_language(opened):
    page = opened(language="de", viewport=SMALL)
    assert [path for path in walk(page) if cut_off(page)] == []


@pytest.mark.parametrize("state", STATES)
def test_no_state_is_cut_off_on_a_small_phone_in_a_long_language(opened, state):
    page = opened(language="de", viewport=SMALL)
    STATES[state](page)
    assert not cut_off(page)


def test_text_at_twice_its_size_still_fits_and_leaves_the_button_in_reach(opened):
    page = opened(language="de")
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert not cut_off(page)
    expect(page.locator("[data-start]")).to_be_in_viewport()
    run(page)
    assert not cut_off(page)
    expect(page.locator("[data-stop]")).to_be_in_viewport()
    assert [path for path in walk(page) if cut_off(page)] == []
