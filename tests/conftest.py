"""What every test needs: a clean environment, before textual is imported."""

from __future__ import annotations

import os

for _name in [*os.environ]:
    # The snapshot plugin tells its worker processes by a TEXTUAL_ name where its pictures go.
    if _name == "TEXTUAL_SNAPSHOT_TEMPDIR":
        continue
    if _name in ("NO_COLOR", "COLORTERM") or _name.startswith(("TEXTUAL_", "CHECKRUN_")):
        del os.environ[_name]
os.environ["COLORTERM"] = "truecolor"
# The drivers of the tests are no real terminals, but they show Unicode.
os.environ["TERM"] = "xterm-256color"

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest


class Clock:
    """A clock that stands still until it is told to go on."""

    def __init__(self) -> None:
        self.at = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.at += timedelta(seconds=20)
        return self.at


@pytest.fixture
def clock() -> Clock:
    """Each look at it is twenty seconds later than the one before."""
    return Clock()


@pytest.fixture(autouse=True)
def _own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test sees or touches the folders of the person who runs it."""
    for name in ("STORE", "ROUTES", "CACHE"):
        monkeypatch.setenv(f"CHECKRUN_{name}", str(tmp_path / f"checkrun-{name.lower()}"))
    monkeypatch.setenv("CHECKRUN_SETTINGS", str(tmp_path / "checkrun-settings.json"))
    monkeypatch.setenv("TZ", "UTC")
