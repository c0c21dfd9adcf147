"""Where a person is while at a station, and the plain order by position.

The plain order settles ties of the planner, and is what a route too long to be planned falls back
on: once round the car, inside, under the bonnet, in the boot, underneath from front to rear.
"""

from __future__ import annotations

from enum import IntEnum
from math import atan2, pi

from checkrun.route.model import Outline, Station


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


def by_position(station: Station, outline: Outline) -> tuple[float, ...]:
    """Sorts stations by engine, zone, wheels, and the sweep within a zone."""
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
