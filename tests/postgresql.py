"""A PostgreSQL server of the tests' own, in a temporary folder, if its programs are on the machine."""

import os
import shutil
import socket
import subprocess
import tempfile
from pathlib import Path

import sqlalchemy as sa

ACCOUNT = "postgres"  # PostgreSQL refuses to run as root, so root runs it as this account


def programs() -> Path | None:
    """The folder with initdb and pg_ctl, the newest version's, or None."""
    if found := shutil.which("initdb"):
        return Path(found).parent
    return max(Path("/usr/lib/postgresql").glob("*/bin"), default=None, key=lambda path: float(path.parent.name))


class Cluster:
    """A throw-away cluster on a free loopback port. As durable as a real one: nothing is switched off."""

    def __init__(self):
        self.folder = Path(tempfile.mkdtemp(prefix="evenpull-pg-"))
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        if os.geteuid() == 0:
            shutil.chown(self.folder, ACCOUNT)
        self._run("initdb", "-D", f"{self.folder}/data", "-A", "trust", "-U", "evenpull", "-E", "UTF8")
        options = f"-p {self.port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={self.folder}"
        self._run("pg_ctl", "-D", f"{self.folder}/data", "-w", "-l", f"{self.folder}/log", "-o", options, "start")

    def url(self, database: str) -> str:
        return f"postgresql+psycopg://evenpull@127.0.0.1:{self.port}/{database}"

    def create(self, database: str, template: str = "template1") -> str:
        engine = sa.create_engine(self.url("postgres"), isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.exec_driver_sql(f'CREATE DATABASE "{database}" TEMPLATE "{template}"')
        engine.dispose()
        return self.url(database)

    def stop(self) -> None:
        self._run("pg_ctl", "-D", f"{self.folder}/data", "-m", "immediate", "stop")
        shutil.rmtree(self.folder, ignore_errors=True)

    def _run(self, program: str, *arguments: str) -> None:
        command = [str(programs() / program), *arguments]
        if os.geteuid() == 0:
            command = ["runuser", "-u", ACCOUNT, "--", *command]
        subprocess.run(command, check=True, capture_output=True, cwd="/")
