"""The app's files on the phone: there without a network, one version at a time, replaced only when asked."""

import shutil

import pytest

from tests.browser.files import STATIC, FileServer
from tests.browser.phones import PHONE

INDEX = '<!doctype html><meta charset="utf-8"><title>?</title><script type="module" src="/app.js"></script>'
APP = """
import { version } from './part.js';
import * as update from './sync/update.js';
document.title = `VERSION ${version}`;
window.update = update;
window.ready = new Promise((resolve) => update.updates.addEventListener('ready', resolve));
window.registered = update.registerWorker();
"""


def write(folder, version):
    """A small app of two files that both know which version they belong to, on the real worker and update module."""
    (folder / "index.html").write_text(INDEX)
    (folder / "app.js").write_text(APP.replace("VERSION", version))
    (folder / "part.js").write_text(f"export const version = '{version}';")
    (folder / "rare.js").write_text("export const screen = 'opened at last';")
    (folder / "sync").mkdir(exist_ok=True)
    shutil.copy(STATIC / "sync" / "update.js", folder / "sync")


@pytest.fixture
def site(tmp_path):
    write(tmp_path, "one")
    with FileServer(tmp_path) as server:
        yield server


@pytest.fixture
def context(browser):
    made = browser.new_context(**PHONE)
    yield made
    made.close()


@pytest.fixture
def page(context, site):
    """The app, with its first version kept and in charge of the page."""
    return started(context, site)


def started(context, site):
    page = context.new_page()
    page.goto(site.url)
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    return page


def find_update(page):
    page.evaluate(
        "async () => { await window.registered; await window.update.lookForUpdate(); await window.ready; }"
    )


def versions_seen(page):
    """What the title was made of, and what the page gets if it asks for each file now."""
    files = page.evaluate(
        "async () => [await (await fetch('/app.js')).text(), await (await fetch('/part.js')).text()]"
    )
    return page.title(), [
        version
        for version in ("one", "two")
        for text in files
        if f"'{version}'" in text or f"`{version} " in text
    ]


def caches(page):
    return page.evaluate("async () => (await caches.keys()).filter((name) => name.startsWith('evenpull-'))")


def test_the_app_starts_with_the_server_gone(context, site, page):
    site.stop()
    other = context.new_page()
    other.goto(site.url)

    assert other.title() == page.title() == "one one"


def test_right_after_the_first_visit_a_screen_that_was_never_opened_is_there_offline(site, page):
    site.stop()

    assert page.evaluate("async () => (await import('/rare.js')).screen") == "opened at last"


def test_a_new_version_waits_and_the_old_page_keeps_all_of_its_own_files(site, page):
    write(site.folder, "two")
    find_update(page)
    page.reload()

    assert versions_seen(page) == ("one one", ["one", "one"])
    assert len(caches(page)) == 2


def test_when_asked_the_new_version_takes_over_whole_and_the_old_files_go(site, page):
    write(site.folder, "two")
    find_update(page)

    with page.expect_navigation():
        assert page.evaluate("() => window.update.applyUpdate()") == "reloading"
    page.wait_for_function("() => document.title !== '?'")

    assert versions_seen(page) == ("two two", ["two", "two"])
    page.wait_for_function("async () => (await caches.keys()).length === 1")


def test_with_another_tab_open_nothing_takes_over(context, site, page):
    other = context.new_page()
    other.goto(site.url)
    write(site.folder, "two")
    find_update(page)

    assert page.evaluate("() => window.update.applyUpdate()") == "other_tabs_open"
    for tab in (page, other):
        assert versions_seen(tab) == ("one one", ["one", "one"])

    other.close()
    with page.expect_navigation():
        page.evaluate("() => window.update.applyUpdate()")
    page.wait_for_function("() => document.title === 'two two'")


def test_with_nothing_new_there_is_nothing_to_apply(page):
    page.evaluate("async () => { await window.registered; await window.update.lookForUpdate(); }")

    assert page.evaluate("() => window.update.applyUpdate()") == "nothing_waits"


def test_a_version_that_changed_while_it_was_fetched_is_not_kept(site, page):
    write(site.folder, "two")
    before = caches(page)

    def deploy_in_between(path):
        if path == "/part.js":
            write(site.folder, "three")

    site.on_ask = deploy_in_between
    failed = page.evaluate(
        """async () => {
          const registration = await window.registered;
          const failed = new Promise((resolve) => registration.addEventListener('updatefound', () => {
            const worker = registration.installing;
            worker.addEventListener('statechange', () => worker.state === 'redundant' && resolve(true));
          }));
          await window.update.lookForUpdate();
          return failed;
        }"""
    )

    assert failed
    assert caches(page) == before
    assert page.evaluate("() => window.update.applyUpdate()") == "nothing_waits"


def test_only_the_pages_own_version_answers_whatever_else_is_cached(page):
    page.evaluate("async () => (await caches.open('evenpull-0')).put('/part.js', new Response('poison'))")

    assert versions_seen(page) == ("one one", ["one", "one"])


def test_the_api_and_the_managers_pages_are_the_networks_business(context, site, page):
    for path in ("/api/health", "/manage", "/start"):
        answer = page.evaluate("async (path) => (await fetch(path)).status", path)
        assert (answer, path in site.asked) == (404, True)  # the server's own answer
        assert context.new_page().goto(site.url + path).status == 404


def test_a_worker_that_is_called_back_clears_the_way_and_leaves_the_data(site, page):
    page.evaluate(
        """() => new Promise((resolve) => {
          const opening = indexedDB.open('evenpull');
          opening.onupgradeneeded = () => opening.result.createObjectStore('outbox').put('a tap', 1);
          opening.onsuccess = () => { opening.result.close(); resolve(); };
        })"""
    )
    site.retired = True
    page.evaluate("async () => { await window.registered; await window.update.lookForUpdate(); }")
    page.wait_for_function("async () => (await caches.keys()).length === 0")
    write(site.folder, "two")
    fresh = page.context.new_page()
    page.close()
    fresh.goto(site.url)

    assert fresh.title() == "two two"
    kept = fresh.evaluate(
        """() => new Promise((resolve) => {
          const opening = indexedDB.open('evenpull');
          opening.onsuccess = () => {
            opening.result.transaction('outbox').objectStore('outbox').get(1).onsuccess = (event) => {
              resolve(event.target.result);
            };
          };
        })"""
    )
    assert kept == "a tap"
