"""What can be set from outside, with the defaults that make it run on a laptop with nothing else installed."""

import os
import sys
from dataclasses import dataclass, field
from pathlib import Path


def data_folder() -> Path:
    """The platform's folder for an application's data, or `EVENPULL_DATA`."""
    if given := os.environ.get("EVENPULL_DATA"):
        return Path(given)
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "evenpull"
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home())) / "evenpull"
    return Path(os.environ.get("XDG_DATA_HOME", Path.home() / ".local" / "share")) / "evenpull"


@dataclass(frozen=True)
class Settings:
    """One running server's settings."""

    database_url: str  # SQLAlchemy's form; SQLite unless told otherwise
    demo: bool = False  # shows the demo's landing page, with its sign-in and pairing code
    secure_cookies: bool = False  # under HTTPS only
    session_days: int = 14
    pairing_minutes: int = 10
    body_limit_bytes: int = 1024 * 1024
    page_limit_entries: int = 500
    page_limit_bytes: int = 1024 * 1024
    snapshot_days: int = 60
    demo_facts: dict = field(default_factory=dict)

    @classmethod
    def from_environment(cls, **changes) -> "Settings":
        """Settings as the environment gives them: EVENPULL_DATABASE_URL, EVENPULL_DATA, EVENPULL_SECURE_COOKIES."""
        url = os.environ.get("EVENPULL_DATABASE_URL") or sqlite_url(data_folder() / "evenpull.sqlite3")
        secure = os.environ.get("EVENPULL_SECURE_COOKIES", "") == "1"
        return cls(**{"database_url": url, "secure_cookies": secure, **changes})

    def make_folder(self) -> None:
        """Make the folder that a SQLite store lies in, if it isn't there."""
        if self.database_url.startswith("sqlite:///"):
            Path(self.database_url.removeprefix("sqlite:///")).parent.mkdir(parents=True, exist_ok=True)


def sqlite_url(path: Path) -> str:
    return f"sqlite:///{path}"
