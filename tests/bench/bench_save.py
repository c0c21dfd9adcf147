"""One answer made durable, against the least there is: 300 bytes appended to a file and synced."""

from __future__ import annotations

import os
import time
from pathlib import Path
from typing import Any

import pytest

from checkrun.route.model import Result
from checkrun.session.session import Session
from checkrun.session.store import Store

from . import subjects
from .figures import Figures, ratio

_ROUNDS = 60
_TARGETS = {300: 13.0, 3000: None}


def _session(folder: Path, events: int) -> Session:
    """A session with that many events, answered round and round."""
    route = subjects.generated(folder / "routes", 300)
    session = Store(folder / "store", subjects.clock()).create(route, 1966, {})
    sequence = session.walk.sequence
    while len(session.walk.events) < events:
        more = sequence[: events - len(session.walk.events)]
        session.answer_many(more, Result.CONCERN)
    return session


def test_at_most_two_syncs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[int] = []
    fsync = os.fsync
    with _session(tmp_path, 300) as session:
        monkeypatch.setattr(os, "fsync", lambda handle: (synced.append(handle), fsync(handle)))
        session.answer(session.walk.at, Result.FAIL, note="wet", reading="1.2")
        assert session.walk.events[-1].data["result"] == "fail"
    assert 1 <= len(synced) <= 2


@pytest.mark.parametrize("events", _TARGETS)
def test_one_answer(tmp_path: Path, benchmark: Any, figures: Figures, events: int) -> None:
    raw = os.open(tmp_path / "raw", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    floor: list[float] = []

    def append() -> None:
        begun = time.perf_counter()
        os.write(raw, b"x" * 300)
        os.fsync(raw)
        floor.append(time.perf_counter() - begun)

    with _session(tmp_path, events) as session:
        check = session.walk.sequence[0]
        benchmark.pedantic(lambda: session.answer(check, Result.PASS), setup=append, rounds=_ROUNDS)
    os.close(raw)
    found = benchmark.stats.stats.data
    note = f"{_us(found)} : {_us(floor)} us"
    figures.add(f"an answer, {events} events", ratio(found, floor), _TARGETS[events], note)


def _us(values: list[float]) -> str:
    return f"{sorted(values)[len(values) // 2] * 1e6:.0f}"
