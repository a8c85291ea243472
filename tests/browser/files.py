"""Serves a folder of the app's files the way the real server does, and nothing else: for tests of the
client's modules, and for tests that change the files under a running app."""

import hashlib
import http.server
import json
import threading
from pathlib import Path

STATIC = Path(__file__).parents[2] / "static"
POLICY = "default-src 'self'"
NOT_HERE = b"nothing here"
TYPES = {
    ".js": "text/javascript",
    ".css": "text/css",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".webmanifest": "application/manifest+json",
}


class FileServer:
    """`with FileServer(folder) as files:` serves on `files.url` until the block ends."""

    def __init__(self, folder: Path = STATIC):
        self.folder, self.retired, self.asked, self.on_ask = folder, False, [], lambda path: None
        self._http = http.server.ThreadingHTTPServer(("127.0.0.1", 0), self._handler())
        self._http.daemon_threads = True
        self.url = f"http://127.0.0.1:{self._http.server_address[1]}"

    def __enter__(self):
        self._thread = threading.Thread(target=self._http.serve_forever, kwargs={"poll_interval": 0.05})
        self._thread.start()
        return self

    def __exit__(self, *_):
        self.stop()

    def stop(self):
        """Be gone; harmless to repeat."""
        self._http.shutdown()
        self._http.server_close()
        self._thread.join()

    def shell(self) -> str:
        """The line that the server puts before the service worker."""
        files = sorted(path for path in self.folder.rglob("*") if path.is_file() and path.name != "sw.js")
        digest = hashlib.sha256(b"".join(path.read_bytes() for path in files)).hexdigest()[:16]
        names = ["/", *(f"/{path.relative_to(self.folder)}" for path in files if path.name != "index.html")]
        shell = {"version": digest, "files": names} | ({"retire": True} if self.retired else {})
        return f"const SHELL = {json.dumps(shell)};\n"

    def content(self, path: str) -> bytes | None:
        if path == "/sw.js":
            return (self.shell() + (STATIC / "sw.js").read_text()).encode()
        file = self.folder / (path.lstrip("/") or "index.html")
        return file.read_bytes() if file.is_file() else None

    def _handler(self):
        server = self

        class Handler(http.server.BaseHTTPRequestHandler):
            def do_GET(self):
                path = self.path.split("?")[0]
                server.asked.append(path)
                body = server.content(path)
                server.on_ask(path)
                self.send_response(404 if body is None else 200)
                self.send_header("Content-Type", TYPES.get(Path(path).suffix, "text/html"))
                self.send_header("Content-Security-Policy", POLICY)
                self.send_header("Cache-Control", "no-cache")
                self.send_header("Content-Length", str(len(body or NOT_HERE)))
                self.end_headers()
                self.wfile.write(body or NOT_HERE)

            def log_message(self, *_):
                pass  # pytest has enough to say

        return Handler
