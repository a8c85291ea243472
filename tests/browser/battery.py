"""A browser with a folder of its own that outlives it: what a phone is when its battery dies."""

import os
import signal
from pathlib import Path

from tests.browser.find_browser import FLAGS
from tests.browser.phones import PHONE


class Killable:
    """A phone-sized browser on one profile folder: start it, kill it, start it again."""

    def __init__(self, driver, browser_path: str, folder: Path, **options):
        self.driver, self.folder, self.context = driver, folder, None
        self.options = {"executable_path": browser_path, "args": list(FLAGS), **PHONE, **options}

    def start(self):
        """The browser's first page."""
        self.context = self.driver.chromium.launch_persistent_context(self.folder, **self.options)
        return self.context.pages[0]

    def kill(self) -> None:
        """SIGKILL to the browser process itself: no goodbye, no flush."""
        os.kill(browser_process(self.folder), signal.SIGKILL)
        self.context.wait_for_event("close")


def browser_process(folder: Path) -> int:
    """The process that holds `folder` as its profile; its children name it too, but with a `--type`."""
    for entry in Path("/proc").iterdir():
        command = arguments(entry) if entry.name.isdigit() else []
        is_child = any(word.startswith(b"--type=") for word in command)
        if f"--user-data-dir={folder}".encode() in command and not is_child:
            return int(entry.name)
    raise AssertionError(f"no browser on {folder}")


def arguments(process: Path) -> list[bytes]:
    try:
        return (process / "cmdline").read_bytes().split(b"\0")
    except OSError:
        return []  # it ended while we looked
