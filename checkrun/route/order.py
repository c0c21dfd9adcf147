"""The walking order of a route's stations.

`walk_order` is the one place that decides it. By position the walk is: once round the car, inside,
under the bonnet, in the boot, then up, underneath from front to rear (wheels on before wheels
off), then down; all of that with a cold engine before anything that needs it running.
"""

from __future__ import annotations

from enum import IntEnum
from math import atan2, pi

from checkrun.route.model import Order, Outline, Route, Station


class Zone(IntEnum):
    """Where a person is while at a station, in walking order."""

    OUTSIDE = 0
    INSIDE = 1
    BONNET = 2
    BOOT = 3
    UNDERNEATH = 4


#: How far within the outline a station must lie to be inside the car, metres.
_SKIN = 0.05


def zone(station: Station, outline: Outline) -> Zone:
    """Where one stands at a station, told from its position and the state it needs."""
    if station.need("car") == "raised" or station.need("wheels") == "off":
        return Zone.UNDERNEATH
    if station.need("bonnet") == "open":
        return Zone.BONNET
    if station.need("boot") == "open":
        return Zone.BOOT
    place = station.place
    within = (
        outline.front + _SKIN < place.x < outline.rear - _SKIN
        and abs(place.y) < outline.width / 2 - _SKIN
    )
    return Zone.INSIDE if within else Zone.OUTSIDE


def walk_order(route: Route) -> tuple[Station, ...]:
    """The route's stations in the order they are walked.

    Deterministic: equal positions keep the author's order. `after` is always honoured. An
    `as-written` route keeps its own order.
    """
    stations = list(route.stations)
    if route.order is Order.BY_POSITION:
        stations.sort(key=lambda station: _by_position(station, route.outline))
    return tuple(_after_honoured(stations))


def _by_position(station: Station, outline: Outline) -> tuple[float, ...]:
    where = zone(station, outline)
    place = station.place
    running = float(station.need("engine") == "running")
    wheels_off = float(station.need("wheels") == "off")
    if where is Zone.OUTSIDE:
        sweep = (_round_the_car(station, outline), 0.0)
    elif where is Zone.BONNET or where is Zone.BOOT:
        sweep = (place.y, place.x)
    else:
        sweep = (place.x, place.y)
    return (running, float(where), wheels_off, *sweep)


def _round_the_car(station: Station, outline: Outline) -> float:
    """The angle walked from the nose down the left side, 0 to 2 pi."""
    centre = (outline.front + outline.rear) / 2
    return atan2(-station.place.y, centre - station.place.x) % (2 * pi)


def _after_honoured(stations: list[Station]) -> list[Station]:
    """The same stations with each behind the one its `after` names, otherwise as they were."""
    known = {station.id for station in stations}
    done: set[str] = set()
    waiting: dict[str, list[Station]] = {}
    ordered: list[Station] = []

    def place(station: Station) -> None:
        standing = [station]
        while standing:
            here = standing.pop()
            ordered.append(here)
            done.add(here.id)
            standing.extend(reversed(waiting.pop(here.id, [])))

    for station in stations:
        after = station.after
        if after is None or after in done or after not in known:
            place(station)
        else:
            waiting.setdefault(after, []).append(station)
    # A ring of `after` is told by lint; here its stations keep their places at the end.
    ordered.extend(station for ring in waiting.values() for station in ring)
    return ordered
