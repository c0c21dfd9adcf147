"""The world of the screen tests."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from ui.helpers import World, calm


@pytest.fixture
def world(tmp_path: Path, clock: Callable[[], datetime]) -> World:
    return World(tmp_path, clock)


@pytest.fixture(autouse=True)
def _calm(monkeypatch: pytest.MonkeyPatch) -> None:
    calm(monkeypatch)
