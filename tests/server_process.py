"""The server as people run it: `evenpull serve`, a process of its own that can be stopped, killed and started again."""

import os
import signal
import socket
import subprocess
import sys
import threading
import urllib.request
from pathlib import Path

from server.settings import sqlite_url

SERVE = "import sys; from server.cli import main; sys.exit(main(['serve', '--port', sys.argv[1]]))"
PATIENCE_S = 60


class ServerProcess:
    """`evenpull serve` on one store (a SQLite file or a database's URL) and one port, for as long as the test says."""

    def __init__(self, store: Path | str):
        self.database_url = store if isinstance(store, str) else sqlite_url(store)
        self.port, self.process = free_port(), None
        self.url = f"http://127.0.0.1:{self.port}"
        self.said: list[str] = []  # every line that it printed or logged

    def start(self) -> "ServerProcess":
        """Start, and return once it answers."""
        environment = {**os.environ, "EVENPULL_DATABASE_URL": self.database_url}
        command = [sys.executable, "-c", SERVE, str(self.port)]
        self.process = subprocess.Popen(
            command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        said = self.process.stdout.readline()  # printed when the port is open
        assert said, f"the server ended at once with {self.process.wait()}"
        # Read on, or a server that has much to log waits for ever for somebody to do so.
        self._listener = threading.Thread(target=self.said.extend, args=(self.process.stdout,), daemon=True)
        self._listener.start()
        with urllib.request.urlopen(f"{self.url}/api/health", timeout=PATIENCE_S) as answer:
            assert answer.status == 200
        return self

    def stop(self) -> None:
        self._end(signal.SIGTERM)

    def kill(self) -> None:
        """No goodbye: what a power cut does."""
        self._end(signal.SIGKILL)

    def _end(self, how: signal.Signals) -> None:
        if self.process is None:
            return
        self.process.send_signal(how)
        self.process.wait(PATIENCE_S)
        self._listener.join(PATIENCE_S)
        self.process.stdout.close()
        self.process = None

    def __enter__(self):
        return self.start()

    def __exit__(self, *_):
        self.kill()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]
