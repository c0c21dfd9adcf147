from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from checkrun.route.model import Check, Order, Outline, Place, Reading, Route, Station, Years
from checkrun.session.store import Store

BuildRoute = Callable[..., Route]


class TickingClock:
    """A clock that goes on by one second each time it is read."""

    def __init__(self) -> None:
        self.at = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.at += timedelta(seconds=1)
        return self.at


def _build(layout: str = "ab cd e", route_id: str = "plover") -> Route:
    """A route from a word per station and a letter per check."""
    stations = tuple(
        Station(
            id=f"station-{word[0]}",
            title=f"Station {word[0]}",
            place=Place(0, 0, 0),
            checks=tuple(
                Check(
                    id=c, ask=f"Look at {c}", reading=Reading("measure", "mm") if c == "a" else None
                )
                for c in word
            ),
        )
        for word in layout.split()
    )
    return Route(
        id=route_id,
        title="Brackwell Plover",
        years=Years(1963, 1968),
        outline=Outline(4.1, 1.68, 2.45, 0.72),
        order=Order.AS_WRITTEN,
        stations=stations,
    )


@pytest.fixture
def build() -> BuildRoute:
    return _build


@pytest.fixture
def clock() -> TickingClock:
    return TickingClock()


@pytest.fixture
def store(tmp_path: Path, clock: TickingClock) -> Store:
    return Store(tmp_path / "sessions", clock)
