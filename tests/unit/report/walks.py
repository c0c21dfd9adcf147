"""A small car walked without a disk: events are made by hand and folded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from checkrun.route.model import Check, Order, Outline, Place, Reading, Route, Station, Years
from checkrun.session.events import Event, Kind
from checkrun.session.fold import Walk

OUTLINE = Outline(length=4.0, width=1.6, wheelbase=2.4, front_overhang=0.8)


@dataclass
class Book:
    """A walk and the clock by which its events are written."""

    walk: Walk
    at: datetime = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)

    def write(self, kind: Kind, after: float = 20, **data: Any) -> None:
        """One more event, an action by itself, some seconds after the one before."""
        self.at += timedelta(seconds=after)
        n = len(self.walk.events) + 1
        self.walk.apply(Event(n, self.at, kind, data, n))

    def answer(self, check: str, result: str, after: float = 20, **data: Any) -> None:
        self.write(Kind.ANSWERED, after, check=check, result=result, **data)


def build(stations: Sequence[Station]) -> Route:
    return Route(
        id="lark",
        title="Lark saloon (an invented marque)",
        years=Years(1960, 1964),
        outline=OUTLINE,
        order=Order.AS_WRITTEN,
        safety=("Chock the wheels.",),
        stations=tuple(stations),
    )


def begin(route: Route) -> Book:
    """A walk with its first event."""
    book = Book(Walk(route, route.stations))
    book.write(Kind.BEGAN, 0, route="lark", route_sha="", year=1962, facts={}, program="0")
    return book


def lark() -> Route:
    """Three stations: left of the car, under it, and at its engine with the engine running."""
    return build(
        (
            Station(
                "left",
                "Left side",
                Place(1.0, -1.0, 0.6),
                needs=(("car", "down"), ("engine", "cold")),
                checks=(
                    Check(
                        "sill",
                        "Sill under the door",
                        reading=Reading("measure", "mm"),
                        tools=("torch", "mirror"),
                        minutes=Decimal("0.1"),
                    ),
                    Check("door", "Door in its gap", tools=("torch",), minutes=Decimal("0.2")),
                ),
            ),
            Station(
                "under",
                "Under the middle",
                Place(1.5, -0.4, 0.3),
                needs=(("car", "raised"),),
                checks=(Check("rail", "Left frame rail", minutes=Decimal("0.7")),),
            ),
            Station(
                "bay",
                "Engine bay",
                Place(0.0, 0.2, 0.8),
                needs=(("car", "down"), ("bonnet", "open"), ("engine", "running")),
                checks=(Check("knock", "Noise at a fast idle", minutes=Decimal(3)),),
            ),
        )
    )
