"""What makes a page an app: a manifest that a browser accepts, icons of the sizes it names, one version everywhere."""

import json
import re
import struct
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MANIFEST = json.loads((ROOT / "static" / "manifest.webmanifest").read_text())


def png_size(path):
    """Width and height, from the IHDR chunk (PNG specification, third edition, 11.2.1)."""
    head = path.read_bytes()[:24]
    assert head[:8] == b"\x89PNG\r\n\x1a\n"
    return struct.unpack(">II", head[16:24])


@pytest.mark.parametrize(
    "icon", [icon for icon in MANIFEST["icons"] if icon["type"] == "image/png"], ids=lambda i: i["src"]
)
def test_each_icon_has_the_size_that_the_manifest_names(icon):
    width, height = png_size(ROOT / "static" / icon["src"].lstrip("/"))

    assert f"{width}x{height}" == icon["sizes"]


def test_the_icon_for_the_home_screen_of_an_iphone_has_180_pixels():
    assert png_size(ROOT / "static" / "icons" / "apple-touch-icon-180.png") == (180, 180)


def test_a_browser_reads_the_manifest_without_an_objection(phone, bar):
    page = phone.new_page()
    page.goto(bar.url)
    read = phone.new_cdp_session(page).send("Page.getAppManifest")

    assert read["errors"] == []
    assert read["url"] == f"{bar.url}/manifest.webmanifest"
    assert json.loads(read["data"]) == MANIFEST


def test_a_browser_would_install_it(browser, bar):
    """No obstacle in Chromium's own list, but for the private window that the test runs in."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(bar.url)
    page.evaluate("() => navigator.serviceWorker.ready.then(() => null)")
    obstacles = context.new_cdp_session(page).send("Page.getInstallabilityErrors")["installabilityErrors"]
    context.close()

    assert {obstacle["errorId"] for obstacle in obstacles} <= {"in-incognito"}


def test_the_client_calls_itself_by_the_version_of_the_package():
    written = (ROOT / "static" / "outbox" / "version.js").read_text()
    package = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["version"]

    assert re.search(r"APP = '([^']+)'", written)[1] == package


def test_every_file_of_the_shell_is_served_with_its_type(bar):
    client = bar.app.test_client()
    worker = client.get("/sw.js").text
    shell = json.loads(re.match(r"const SHELL = (.*);\n", worker)[1])

    assert {"/", "/app.js", "/manifest.webmanifest", "/outbox/save.js"} <= set(shell["files"])
    for path in shell["files"]:
        with client.get(path) as answer:
            assert answer.status_code == 200, path
            assert answer.mimetype != "application/octet-stream", path
