"""What is open near where one stands: the nearest check, and what else is done from this spot.

Near is what takes little time, by the planner's times of walking and of changes of the car's
state: a station ten steps away is nearer than one beside you that needs the car on the lift.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from checkrun.route.model import Station
from checkrun.route.reach import Reach, reach, standing
from checkrun.session.fold import Walk
from checkrun.session.round import UNPLANNABLE

#: Metres that count as the same spot: a step and a turn. Common practice.
STEP = 1.2

#: What is opened and shut in a moment by one person, without a safety stop.
SMALL = frozenset({"bonnet", "boot"})


@dataclass(frozen=True, slots=True)
class Near:
    """An open check and what it takes to get to it."""

    check_id: str
    station: Station
    way: Reach


@dataclass(frozen=True, slots=True)
class Spot:
    """What else is open at a spot, this station's first, then by metres.

    Attributes:
        now: What can be done with the car as it stands.
        opened: What could be done once bonnet or boot are opened or shut, this station's first,
            then by the time that takes.
    """

    now: tuple[Near, ...]
    opened: tuple[Near, ...]


def nearest(walk: Walk, check_id: str) -> Near | None:
    """The open check that takes the least time to get to; None if no other check is open.

    Of equally near ones the next in walking order from here, round the end to the start.

    Args:
        walk: A session.
        check_id: Where one stands; it is not looked for itself.
    """
    return min(_reached(walk, check_id), key=lambda near: near.way.seconds, default=None)


def spot(walk: Walk, check_id: str) -> Spot:
    """What else is open within a step.

    Args:
        walk: A session.
        check_id: Where one stands; it is not listed itself.
    """
    here = walk.route.station_of[check_id].id
    near = [found for found in _reached(walk, check_id, each=True) if found.way.metres <= STEP]
    # Sorting keeps the walking order of equals.
    now = sorted(
        (found for found in near if not found.way.changes),
        key=lambda found: (found.station.id != here, found.way.metres),
    )
    opened = sorted(
        (
            found
            for found in near
            if found.way.changes and SMALL.issuperset(part for part, _ in found.way.changes)
        ),
        key=lambda found: (found.station.id != here, found.way.seconds),
    )
    return Spot(tuple(now), tuple(opened))


def _reached(walk: Walk, check_id: str, *, each: bool = False) -> Iterator[Near]:
    """The open checks in walking order from here, and what it takes to get to each.

    Args:
        walk: A session.
        check_id: Where one stands, left out.
        each: Whether all of a station are wanted, not the first only.
    """
    begin = standing(walk.route.station_of[check_id], walk.car_state)
    done, way = "", Reach(0, 0)
    for found, station in walk.open_from(check_id):
        if station.id != done:
            try:
                way = reach(begin, station, walk.route.outline)
            except UNPLANNABLE:  # nobody can tell how far off it is: further than all others
                way = Reach(float("inf"), float("inf"))
        elif not each:
            continue
        done = station.id
        yield Near(found, station, way)
