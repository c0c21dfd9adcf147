"""What a person must know before the walk: how much, how long, what to bring, what can hurt."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from checkrun.route.model import Route
from checkrun.route.order import walk_order
from checkrun.session.stops import Change, changes_before


@dataclass(frozen=True, slots=True)
class Brief:
    """A route in numbers.

    Attributes:
        minutes: As of `looking`.
        tools: Every tool named, the one most checks need first.
        stops: The safety stops in walking order.
    """

    checks: int
    stations: int
    minutes: Decimal
    tools: tuple[str, ...]
    stops: tuple[Change, ...]
    safety: tuple[str, ...]


def looking(route: Route) -> Decimal:
    """The minutes of all checks, without the time for changing the car's state."""
    return sum((check.minutes for check in route.checks.values()), Decimal(0))


def brief(route: Route) -> Brief:
    """The numbers of a route already cut to its car."""
    tools: dict[str, int] = {}
    for check in route.checks.values():
        for tool in check.tools:
            tools[tool] = tools.get(tool, 0) + 1
    stops: list[Change] = []
    state: dict[str, str] = {}
    for station in walk_order(route):
        for change in changes_before(state, station):
            state[change.part] = change.value
            if change.caution:
                stops.append(change)
    return Brief(
        checks=len(route.checks),
        stations=len(route.stations),
        minutes=looking(route),
        tools=tuple(sorted(tools, key=lambda tool: (-tools[tool], tool))),
        stops=tuple(stops),
        safety=route.safety,
    )
