"""A browser of the size of a phone, and something that answers it."""

import pytest
from playwright.sync_api import sync_playwright

from tests.bar import Bar
from tests.browser.files import FileServer
from tests.browser.find_browser import FLAGS, find_browser
from tests.browser.phones import PHONE, Phone


def pytest_collection_modifyitems(items):
    for item in items:
        if "/browser/" in str(item.path):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser_path():
    return find_browser()


@pytest.fixture(scope="session")
def driver():
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(driver, browser_path):
    started = driver.chromium.launch(executable_path=browser_path, args=list(FLAGS))
    yield started
    started.close()


@pytest.fixture(scope="session")
def files():
    """The app's files as they are, with no server behind them."""
    with FileServer() as server:
        yield server


@pytest.fixture
def phone(browser):
    """A context like a phone's, with storage of its own; no worker, so that tests see all requests."""
    context = browser.new_context(**PHONE, service_workers="block")
    yield context
    context.close()


@pytest.fixture
def page(phone, files):
    """A page of the app's origin that runs nothing by itself: tests import the modules they are about."""
    opened = phone.new_page()
    opened.goto(f"{files.url}/outbox/version.js")
    yield opened


@pytest.fixture
def bar(tmp_path, first_sqlite):
    """A real server whose store has a manager and a site."""
    with Bar(tmp_path, first_sqlite) as running:
        yield running


@pytest.fixture
def make_phone(browser, bar):
    """Makes phones that are paired to the bar, or not (`paired=False`)."""
    made = []

    def make(paired=True, site_id=None, **options):
        context = browser.new_context(**{**PHONE, "service_workers": "block", **options})
        phone = Phone(context.new_page(), bar)
        made.append(phone)
        if paired:
            phone.pair(site_id)
        return phone

    yield make
    for phone in made:
        phone.context.close()
