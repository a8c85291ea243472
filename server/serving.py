"""Starts and stops a production server on a store: the real one, or a demo's temporary one."""

import logging
import signal
import sys
import tempfile
import threading
from pathlib import Path

from flask import Flask
from waitress.server import create_server

from server import create_app
from server.settings import Settings, sqlite_url

THREADS = 8
# A slow or silent connection holds no thread in this server, but it does hold a place.
CONNECTIONS = 500


def serve(host: str, port: int) -> int:
    """Serve the store that the environment names, until interrupted."""
    settings = Settings.from_environment()
    settings.make_folder()
    app = create_app(settings)
    return _run(app, host, port, lambda url: _first_steps(app, url))


def serve_demo(host: str, port: int) -> int:
    """Serve a fresh demo bar from a temporary folder, until interrupted."""
    from server.demo import prepare

    with tempfile.TemporaryDirectory(prefix="evenpull-demo-") as folder:
        settings = Settings(sqlite_url(Path(folder) / "demo.sqlite3"), demo=True, pairing_minutes=24 * 60)
        app = create_app(settings)
        print("Filling the demo bar with six weeks of work …", flush=True)
        facts = prepare(app)
        app.extensions["evenpull"].settings.demo_facts.update(facts)
        return _run(app, host, port, lambda url: _demo_words(url, facts))


def _run(app: Flask, host: str, port: int, words) -> int:
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(name)s %(levelname)s %(message)s")
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    server = create_server(
        app,
        host=host,
        port=port,
        threads=THREADS,
        connection_limit=CONNECTIONS,
        channel_timeout=60,
        max_request_body_size=16 * 1024 * 1024,  # ours answers above 1 MiB; this is the outer wall
        ident=None,
    )
    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    print(words(f"http://{_name(host)}:{server.effective_port}"), flush=True)
    try:
        server.run()
    except (KeyboardInterrupt, SystemExit):
        pass
    finally:
        server.close()
    print("stopped", flush=True)
    return 0


def _name(host: str) -> str:
    return "localhost" if host in ("127.0.0.1", "0.0.0.0", "::", "::1") else host


def _first_steps(app: Flask, url: str) -> str:
    from server.first_start import setup_words

    return f"Evenpull serves {url}\nphones: {url}/   manager: {url}/manage{setup_words(app, url)}"


def _demo_words(url: str, facts: dict) -> str:
    codes = "\n".join(f"  pairing code for {code['site']}: {code['code']}" for code in facts["codes"])
    return (
        f"\nThe demo bar is open: {url}/start\n"
        f"  at the machine: {url}/\n{codes}\n"
        f"  at the desk:    {url}/manage   sign in as {facts['name']} with {facts['password']}\n"
        "Ctrl-C stops it and throws its data away."
    )
