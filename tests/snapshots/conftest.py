"""The world of the snapshots: its clock, its time zone and its folders are always the same."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest
from ui.helpers import World, calm


@pytest.fixture
def world(tmp_path: Path, clock: Callable[[], datetime]) -> World:
    return World(tmp_path, clock)


@pytest.fixture(autouse=True)
def _calm() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        calm(patch)
        patch.setenv("TZ", "UTC")
        time.tzset()
        yield
    time.tzset()
