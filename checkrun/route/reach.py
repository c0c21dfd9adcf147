"""What it takes to get to a station from where one stands and as the car stands.

The planner's own model of time, for one step after another instead of the best order of all: see
`walktask` for the walking and the needs, `times` for the seconds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from checkrun.route.model import STATE_VALUES, Outline, Station
from checkrun.route.times import TIMES, Times
from checkrun.route.walktask import From, walk_task


@dataclass(frozen=True, slots=True)
class Reach:
    """What it takes to get somewhere.

    Attributes:
        metres: On foot.
        seconds: Walking, changes of the car's state, fetching what another kind of place asks for.
        changes: The parts of the car's state that must be changed, and to what.
    """

    metres: float
    seconds: float
    changes: tuple[tuple[str, str], ...] = ()


def standing(station: Station, state: Mapping[str, str]) -> From:
    """At a station, with the car in a state.

    Args:
        station: Where one stands.
        state: Each part and its value; a part that is not named is as the car arrived.
    """
    changed = (
        (part, state[part])
        for part, values in STATE_VALUES.items()
        if part in state and state[part] != values[0]
    )
    return From(station, tuple(changed))


def reach(begin: From, station: Station, outline: Outline, times: Times = TIMES) -> Reach:
    """What it takes to get to a station.

    Args:
        begin: Where one stands and how the car stands.
        station: Where to.
        outline: The car's.
        times: What walking and changes take.

    Raises:
        ValueError: If a place or the outline is not a number.
        OverflowError: If it is without end.
    """
    walk = walk_task((station,), outline, begin, times)
    task = walk.task
    world, turning, way = task.turn(task.world, task.cares[0], task.values[0])
    changes = tuple(
        (part, values[world >> bit & 1])
        for bit, (part, values) in enumerate(STATE_VALUES.items())
        if (world ^ task.world) >> bit & 1
    )
    seconds = (turning + task.ways[way][1][0]) / 1000
    return Reach(walk.metres[way][1][0], seconds, changes)


def along(
    begin: From, stations: Sequence[Station], outline: Outline, times: Times = TIMES
) -> Reach:
    """What it takes to get to each of some stations in turn, with every change on the way.

    Raises:
        ValueError: As of `reach`.
        OverflowError: As of `reach`.
    """
    metres = seconds = 0.0
    changes: tuple[tuple[str, str], ...] = ()
    state = dict(begin.state)
    for station in stations:
        step = reach(begin, station, outline, times)
        metres, seconds, changes = (
            metres + step.metres,
            seconds + step.seconds,
            changes + step.changes,
        )
        state.update(step.changes)
        begin = standing(station, state)
    return Reach(metres, seconds, changes)
