"""Stations that nobody can reach in the state they need, and an order that walks the car twice.

The measures of a person are common practice: an arm is 0.6 m, nobody reaches above 2.2 m, and from
below a raised car nobody reaches what is higher on it than a wheel.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot

from checkrun.route.layers import item_id, members
from checkrun.route.model import Order, Outline, Place, Route, Station
from checkrun.route.nodes import Map, Node
from checkrun.route.order import Zone, walk_order, zone
from checkrun.route.problems import Problem

#: Metres; see above.
ARM = 0.6
HIGHEST = 2.2
HIGHEST_FROM_BELOW = 0.7
#: Between these parts of the wheelbase one can sit; before and behind them is engine and luggage.
SEATS_FROM = 0.15
SEATS_TO = 1.2
#: A written order may be this many times as long as a plain one.
TWICE = 2.0


def check_reach(root: Map, route: Route, problems: list[Problem]) -> None:
    """Warn of every station that can't be reached in the state it needs."""
    nodes = {item_id(node): node for node in members(root, "stations")}
    by_id = {station.id: station for station in route.stations}
    for station in route.stations:
        node = nodes.get(station.id)
        if node is None:
            continue
        for key, message, hint in _why_not(station, route.outline, by_id):
            problems.append(
                _at(node, key).problem(
                    "R074", f"nobody can reach this station: {message}", hint, warning=True
                )
            )


def _at(station: Map, key: str) -> Node:
    """Where a need stands, else the key itself, else the place."""
    needs = station.get("needs")
    if isinstance(needs, Map) and key in needs.entries:
        return needs.entries[key][1]
    return station.get(key) or station.get("place") or station


def _why_not(
    station: Station, outline: Outline, by_id: dict[str, Station]
) -> list[tuple[str, str, str]]:
    """Key, reason and hint of each thing that keeps a person away."""
    found = []
    if station.need("wheels") == "off" and station.need("car") == "down":
        found.append(
            (
                "wheels",
                "the wheels can't be off while the car is down",
                "Write `car: raised`, or leave the wheels on.",
            )
        )
    if station.need("engine") == "cold":
        hot = _after_running(station, by_id)
        if hot:
            found.append(
                (
                    "engine",
                    f"the engine has run at `{hot}` before, and is not cold again in this walk",
                    "Take the `after` out, or let the engine be as it is.",
                )
            )
    found += _place(station, station.place, outline)
    return found


def _after_running(station: Station, by_id: dict[str, Station]) -> str:
    """The station with the engine running that this one comes after, or an empty text."""
    seen = {station.id}
    after = station.after
    while after is not None and after in by_id and after not in seen:
        if by_id[after].need("engine") == "running":
            return after
        seen.add(after)
        after = by_id[after].after
    return ""


def _place(station: Station, place: Place, outline: Outline) -> list[tuple[str, str, str]]:
    if place.z < 0 or place.z > HIGHEST:
        where = "below the ground" if place.z < 0 else "higher than a person reaches"
        return [("place", f"{place.z:g} m is {where}", "`z` is in metres above the ground.")]
    raised = station.need("car") == "raised"
    if raised and place.z > HIGHEST_FROM_BELOW and _depth(place, outline) > 0:
        return [
            (
                "car",
                f"it is {place.z:g} m up on a car that is raised",
                "Places are those of the car on its wheels: put it lower, or write `car: down`.",
            )
        ]
    shut = "open" not in (station.need("bonnet"), station.need("boot"))
    if not raised and shut and station.need("wheels") != "off" and _depth(place, outline) > ARM:
        along = place.x / outline.wheelbase
        if along < SEATS_FROM:
            return [("bonnet", "it lies under the bonnet, which is shut", "Write `bonnet: open`.")]
        if along > SEATS_TO:
            return [("boot", "it lies in the boot, which is shut", "Write `boot: open`.")]
    return []


def _depth(place: Place, outline: Outline) -> float:
    """How far inside the outline a place lies, metres; less than 0 outside."""
    return min(place.x - outline.front, outline.rear - place.x, outline.width / 2 - abs(place.y))


def check_order(root: Map, route: Route, problems: list[Problem]) -> None:
    """Warn of a written order that is more than twice as long as going from near to near."""
    node = root.get("order")
    if route.order is not Order.AS_WRITTEN or node is None:
        return
    written = _metres(walk_order(route))
    plain = _metres(_near_to_near(route))
    if plain > 0 and written > TWICE * plain:
        problems.append(
            node.problem(
                "R080",
                f"as written one walks {written:.0f} m where {plain:.0f} m would do",
                "Write `order: by-position`, or put the stations in the order of the walk.",
                warning=True,
            )
        )


def _metres(stations: Sequence[Station]) -> float:
    """The way from station to station in straight lines seen from above, metres."""
    return sum(_apart(one, other) for one, other in pairwise(stations))


def _apart(one: Station, other: Station) -> float:
    return hypot(one.place.x - other.place.x, one.place.y - other.place.y)


def _near_to_near(route: Route) -> list[Station]:
    """The stations zone by zone, in each always the nearest next; `after` is honoured.

    This is no shortest walk, only one that anybody would find.
    """
    left = list(route.stations)
    known = {station.id for station in left}
    done: set[str] = set()
    walked: list[Station] = []
    while left:
        ready = [s for s in left if s.after is None or s.after in done or s.after not in known]
        here = walked[-1] if walked else None
        nearest = min(
            ready or left,
            key=lambda s: (_step(s, route.outline), 0.0 if here is None else _apart(here, s)),
        )
        left.remove(nearest)
        done.add(nearest.id)
        walked.append(nearest)
    return walked


def _step(station: Station, outline: Outline) -> tuple[bool, Zone, bool]:
    """What comes first: a cold engine, then zone by zone, wheels on before wheels off."""
    running, off = station.need("engine") == "running", station.need("wheels") == "off"
    return running, zone(station, outline), off
