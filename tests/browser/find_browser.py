"""Which browser drives the tests: one on the machine; else the driver's own; else the system's package."""

import os
import shutil
import subprocess
import sys

from playwright.sync_api import sync_playwright

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")

# Root needs no sandbox; the rest keeps the browser from talking to anybody but the server under test.
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


class NoBrowser(RuntimeError):
    """Says in one line what was tried and what to do."""


def find_browser() -> str:
    """The path of a Chromium, fetched by the machine's own means if none is there."""
    named = os.environ.get("EVENPULL_BROWSER")
    if named:
        return named
    found = on_path() or drivers_own() or fetched_by_driver() or fetched_by_system()
    if not found:
        raise NoBrowser(
            "no browser: install Chromium, or name one in EVENPULL_BROWSER (tried PATH, playwright, apt-get)"
        )
    return found


def on_path() -> str | None:
    return next(filter(None, map(shutil.which, NAMES)), None)


def drivers_own() -> str | None:
    with sync_playwright() as driver:
        path = driver.chromium.executable_path
    return path if os.path.exists(path) else None


def fetched_by_driver() -> str | None:
    fetched = runs([sys.executable, "-m", "playwright", "install", "chromium"])
    return drivers_own() if fetched else None


def fetched_by_system() -> str | None:
    if os.name != "posix" or os.geteuid() != 0 or not shutil.which("apt-get"):
        return None
    runs(["apt-get", "update", "-q"])
    return on_path() if runs(["apt-get", "install", "-y", "-q", "chromium"]) else None


def runs(command: list[str]) -> bool:
    return (
        subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False).returncode
        == 0
    )
