"""A small route with every kind of station, and walks over it that are told events."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from checkrun.route.model import (
    Check,
    Group,
    Order,
    Outline,
    Place,
    Reading,
    Route,
    Severity,
    Station,
    Years,
)
from checkrun.route.order import walk_order
from checkrun.session.events import Event, Kind
from checkrun.session.fold import Walk


class Told:
    """A walk that is told events without any store; twenty seconds pass before each."""

    def __init__(self, route: Route) -> None:
        self.walk = Walk(route, walk_order(route))
        self.at = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)
        self.n = 0
        self.say(Kind.BEGAN, year=1966, facts={"serial": "PL6-02417"})

    def say(self, kind: Kind, after: timedelta = timedelta(seconds=20), **data: Any) -> None:
        self.n += 1
        self.at += after
        self.walk.apply(Event(self.n, self.at, kind, data, self.n))

    def answer(self, check: str, result: str, why: str = "") -> None:
        self.say(Kind.ANSWERED, check=check, result=result, why=why)


def _plover() -> Route:
    nose = Station(
        "nose",
        "Nose",
        Place(-1.0, 0.0, 0.5),
        checks=(
            Check("lamp-left", "Bowl of the left headlamp", tools=("torch", "mirror")),
            Check(
                "bonnet-gap",
                "Gap of the bonnet",
                reading=Reading("measure", "mm"),
                severity=Severity.MINOR,
                group=Group.BODY,
                minutes=Decimal("1.5"),
                tools=("gauge",),
            ),
        ),
    )
    door = Station(
        "left-door",
        "Left door",
        Place(1.2, -1.1, 0.5),
        checks=(
            Check(
                "sill-left",
                "Left sill, inner face",
                severity=Severity.DANGEROUS,
                group=Group.STRUCTURE,
                minutes=Decimal(2),
                tools=("torch", "blunt probe"),
            ),
        ),
    )
    under = Station(
        "under-frame",
        "Under the frame",
        Place(1.2, -0.3, 0.3),
        needs=(("car", "raised"), ("wheels", "off")),
        checks=(
            Check("frame-kink", "Kink in the frame rail", minutes=Decimal(3), tools=("torch",)),
        ),
    )
    running = Station(
        "bay-running",
        "Engine bay, engine running",
        Place(0.0, 0.0, 0.8),
        needs=(("car", "down"), ("bonnet", "open"), ("engine", "running")),
        checks=(Check("idle", "Idle, warm", minutes=Decimal("0.1"), tools=("gauge",)),),
    )
    return Route(
        "plover-1966",
        "Brackwell Plover 1966",
        Years(1966, 1966),
        Outline(4.0, 1.6, 2.4, 0.8),
        order=Order.AS_WRITTEN,
        safety=("Level ground, wheels chocked.",),
        stations=(nose, door, under, running),
    )


@pytest.fixture
def plover() -> Route:
    return _plover()


@pytest.fixture
def tell() -> Callable[[Route], Told]:
    return Told


@pytest.fixture
def told(plover: Route) -> Told:
    return Told(plover)
