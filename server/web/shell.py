"""Serves the client: the static files, the service worker with the list of what belongs to its version, and the
headers that keep other people's code out."""

import hashlib
import json
from functools import cache
from pathlib import Path

from flask import Blueprint, Response, current_app, send_from_directory

from server.problems import Problem

bp = Blueprint("shell", __name__)
NOT_IN_SHELL = ("dashboard/", "start.html", "sw.js")
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)


@cache
def static_folder() -> Path:
    """The checkout's folder first: an editable install leaves a stale copy beside the package."""
    package = Path(__file__).resolve().parent.parent
    beside = package.parent / "static"
    return beside if (beside / "index.html").exists() else package / "static"


def shell_files() -> list[str]:
    """Every file that the phone keeps, as its path from the root."""
    root = static_folder()
    names = (path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file())
    return sorted(f"/{name}" for name in names if not name.startswith(NOT_IN_SHELL) and not name.endswith(".md"))


def shell_version() -> str:
    """A hash of all of it: any change makes another version, and no list is kept by hand."""
    digest = hashlib.sha256()
    for name in [*shell_files(), "/sw.js"]:
        digest.update(name.encode() + b"\0" + (static_folder() / name[1:]).read_bytes() + b"\0")
    return digest.hexdigest()[:16]


@bp.get("/sw.js")
def service_worker():
    files = ["/", *(name for name in shell_files() if name != "/index.html")]
    shell = json.dumps({"version": shell_version(), "files": files})
    code = (static_folder() / "sw.js").read_text(encoding="utf-8")
    answer = Response(f"const SHELL = {shell};\n{code}", content_type="text/javascript; charset=utf-8")
    answer.headers["Cache-Control"] = "no-cache"
    return answer


@bp.get("/")
def phone_app():
    return _file("index.html")


@bp.get("/manage")
def dashboard():
    return _file("dashboard/index.html")


@bp.get("/dashboard/sw.js")
def dashboard_worker():
    """The manager's worker looks after one page, which lies outside the folder it comes from."""
    answer = _file("dashboard/sw.js")
    answer.headers["Service-Worker-Allowed"] = "/manage"
    return answer


@bp.get("/start")
def demo_start():
    """The demo's landing page: where to go as a barista, and as a manager."""
    if not current_app.extensions["evenpull"].settings.demo:
        raise Problem(404, "there is no demo here")
    return _file("start.html")


@bp.get("/<path:name>")
def static_file(name: str):
    if name.startswith("api/"):
        raise Problem(404, "there is nothing at this address")
    return _file(name)


def _file(name: str) -> Response:
    answer = send_from_directory(static_folder(), name, max_age=0)
    answer.headers["Cache-Control"] = "no-cache"  # checked by its ETag; the phone's own cache is the worker's
    return answer


def add_headers(answer: Response) -> Response:
    """On every answer; an API's answer is never kept by a cache on the way."""
    answer.headers.setdefault("Content-Security-Policy", POLICY)
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["X-Frame-Options"] = "DENY"
    answer.headers["Referrer-Policy"] = "no-referrer"
    answer.headers["Permissions-Policy"] = "geolocation=(), microphone=(), payment=(), usb=()"
    answer.headers["Cross-Origin-Opener-Policy"] = "same-origin"
    answer.headers.setdefault("Cache-Control", "no-store")
    return answer
