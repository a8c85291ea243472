"""The shape of the code, held by the test run: imports go one way, files stay small, the top level stays what it is."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SERVER, STATIC = ROOT / "server", ROOT / "static"

# Each package may import itself, what stands here, and the leaves below.
ALLOWED = {
    "compute": set(),
    "ask": {"compute"},
    "records": {"compute"},
    "store": {"records", "compute"},
    "sync": {"store", "records", "compute"},
    "figures": {"store", "records", "compute", "ask"},
    "exchange": {"figures", "sync", "store", "records", "compute", "ask"},
    "web": {"exchange", "figures", "sync", "store", "records", "compute", "ask"},
}
LEAVES = {"clock", "fields", "ids", "settings", "problems"}
LEAVES_OF = {"compute": set(), "ask": {"fields"}, "records": {"fields"}, "store": LEAVES - {"problems"}}
PURE = {
    "contextlib", "math", "statistics", "decimal", "fractions", "dataclasses", "datetime", "typing", "collections", "itertools",
    "functools", "enum", "zoneinfo", "re", "bisect", "operator", "types",
}  # fmt: skip
HTTP = {"flask", "werkzeug", "waitress"}


def imported(path: Path) -> set[str]:
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add(node.module or "")
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


@pytest.mark.parametrize("package", ALLOWED)
def test_imports_on_the_server_point_one_way(package):
    files = list((SERVER / package).rglob("*.py"))
    assert files
    for path in files:
        used = {name.split(".")[1] for name in imported(path) if name.startswith("server.")}
        assert used - LEAVES_OF.get(package, LEAVES) - {package} <= ALLOWED[package], path


def test_computations_import_the_standard_library_only_and_ask_no_clock():
    for path in (SERVER / "compute").rglob("*.py"):
        outside = {name.split(".")[0] for name in imported(path)} - {"server"}
        assert outside <= PURE, path
        calls = {ast.unparse(node.func) for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Call)}
        assert not calls & {"open", "dt.datetime.now", "datetime.now", "dt.date.today", "datetime.utcnow"}, path


def test_storage_doesnt_import_http():
    """Werkzeug's password hash is the one thing of that family the store uses: it knows no request."""
    for path in (SERVER / "store").rglob("*.py"):
        used = {name for name in imported(path) if name.split(".")[0] in HTTP}
        assert all(name.startswith("werkzeug.security") for name in used), path


IMPORT = re.compile(r"""(?:from|import)\s*\(?\s*['"]([./][^'"]+)['"]""")
# On the phone: what a tap does imports nothing of sync; app.js, which wires them, stands outside the folders.
ALLOWED_JS = {
    "compute": set(),
    "words": set(),
    "outbox": {"compute"},
    "sync": {"outbox", "compute"},
    "ui": {"words"},
    "tap": {"outbox", "compute", "ui", "words"},
    "dashboard": {"compute", "ui", "words"},
}


@pytest.mark.parametrize("folder", ALLOWED_JS)
def test_imports_on_the_phone_point_one_way(folder):
    for path in (STATIC / folder).rglob("*.js"):
        for name in IMPORT.findall(path.read_text(encoding="utf-8")):
            target = (STATIC / name[1:] if name.startswith("/") else path.parent / name).resolve()
            assert target.is_file(), f"{path} imports {name}, which isn't there"
            other = target.relative_to(STATIC.resolve()).parts[0]
            assert other == folder or other in ALLOWED_JS[folder], f"{path} imports {name}"


def test_the_top_level_is_what_it_is():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False).stdout.split()
    if not listed:
        pytest.skip("not a git checkout")
    top = {name.split("/")[0] for name in listed if not name.startswith(".")}
    assert top == {"README.md", "DEVELOPERS.md", "pyproject.toml", "server", "static", "tests", "demo_data"}


@pytest.mark.parametrize("suffix, most", [(".py", 450), (".js", 450), (".css", 450)])
def test_every_file_can_be_read_in_a_sitting(suffix, most):
    """A language's words are a list to look things up in, and one file a language: they are left out."""
    folders = (SERVER, STATIC, ROOT / "tests", ROOT / "demo_data")
    files = [path for folder in folders for path in folder.rglob(f"*{suffix}") if path.parent.name != "words"]
    assert files
    assert {path: n for path in files if (n := len(path.read_text(encoding="utf-8").splitlines())) > most} == {}
