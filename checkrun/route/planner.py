"""The order in which a route is walked in the least time.

The time of an order is that of walking from station to station (`footing`), of every change of
the car's state and of going from one kind of place to another (`times`). The car starts down, on
its wheels, shut and cold, and ends down, on its wheels. A part of the state that a station does
not name may be as it is; it is changed only when a station needs it changed. What must come before
what is in `walktask`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from checkrun.route.after import after_honoured
from checkrun.route.model import STATE_VALUES, Outline, Route, Station
from checkrun.route.search import best_order
from checkrun.route.sequencing import Task, bits
from checkrun.route.times import TIMES, Times
from checkrun.route.walktask import NOSE, From, WalkTask, walk_task
from checkrun.route.zones import by_position

#: Routes of more stations are not planned but walked by position, and no bound is told.
MOST = 120

_CAR = tuple(STATE_VALUES).index("car")
_ENGINE = tuple(STATE_VALUES).index("engine")


@dataclass(frozen=True, slots=True)
class Cost:
    """What an order costs.

    Attributes:
        metres: On foot.
        lift_moves: How often the car goes up or comes down.
        seconds: Walking and changes; looking is not in it, being the same in any order.
    """

    metres: float
    lift_moves: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Plan:
    """An order of a route's stations.

    Attributes:
        order: The stations as the planner has them.
        cost: What that costs.
        lower_bound: Seconds that no order can do without; equal to the cost's if it is the best.
        as_written: The stations as the route's file has them, but for `after`.
        written: What that costs.
        too_late: Two stations that are written the wrong way round: the second must come first.
    """

    order: tuple[Station, ...]
    cost: Cost
    lower_bound: float
    as_written: tuple[Station, ...]
    written: Cost
    too_late: tuple[Station, Station] | None = None

    @property
    def gap(self) -> float:
        """How much longer than the best the order can be at the most, as a share."""
        over = self.cost.seconds - self.lower_bound
        return over / self.lower_bound if self.lower_bound else float(over > 0)


def plan(route: Route, times: Times = TIMES) -> Plan:
    """The order of the least time, and the order as written beside it."""
    written = after_honoured(route.stations)
    order, bound = planned(written, route.outline, times=times)
    walk = walk_task(order, route.outline, NOSE, times)
    place_of = {id(station): place for place, station in enumerate(order)}
    places = [place_of[id(station)] for station in written]
    wrong = _wrong_way_round(walk.task, places)
    return Plan(
        order,
        _cost(walk, range(len(order))),
        bound,
        written,
        _cost(walk, places),
        None if wrong is None else (order[wrong[0]], order[wrong[1]]),
    )


def planned(
    stations: Sequence[Station], outline: Outline, begin: From = NOSE, times: Times = TIMES
) -> tuple[tuple[Station, ...], float]:
    """Stations in the order of the least time, and the seconds that no order can do without.

    Deterministic: of equally quick orders the first by position, and stations at one place with
    the same needs as they came.

    Args:
        stations: Those to be walked: a route's, or what is left of them.
        outline: The car's.
        begin: Where one stands and how the car stands.
        times: What walking and changes take.
    """
    ordered = sorted(
        stations, key=lambda s: (*by_position(s, outline), s.place.x, s.place.y, s.place.z)
    )
    here = None if begin.station is None else _bare(begin.station)
    bare = tuple(_bare(station) for station in ordered)
    places, bound = _best(bare, outline, replace(begin, station=here), times)
    return tuple(ordered[place] for place in places), bound


def _bare(station: Station) -> Station:
    """A station with only what matters to the order, so that a task planned before is known."""
    return Station(station.id, "", station.place, station.needs, after=station.after)


@lru_cache(maxsize=256)
def _best(
    stations: tuple[Station, ...], outline: Outline, begin: From, times: Times
) -> tuple[tuple[int, ...], float]:
    """The places of stations in the best order, and the lower bound in seconds."""
    place_of = {id(station): place for place, station in enumerate(stations)}
    simple = tuple(place_of[id(station)] for station in after_honoured(stations))
    if len(stations) > MOST:
        return simple, 0.0
    task = walk_task(stations, outline, begin, times).task
    found = best_order(task, simple if task.keeps(simple) else _by_number(task))
    return found.order, found.bound / 1000


def _by_number(task: Task) -> tuple[int, ...]:
    """The order that takes the first job that can be done, every time."""
    order: list[int] = []
    left = (1 << task.size) - 1
    while left:
        job = next(job for job in bits(left) if not task.before[job] & left)
        order.append(job)
        left ^= 1 << job
    return tuple(order)


def _cost(walk: WalkTask, order: Sequence[int]) -> Cost:
    """What any order costs, also one that lets the engine go cold again."""
    switches = list(walk.task.switches)
    switches[_ENGINE] = replace(switches[_ENGINE], off=walk.cooling)
    task = replace(walk.task, switches=tuple(switches))
    metres, moves, world, here = 0.0, 0, task.world, task.size
    for job in order:
        new, _, way = task.turn(world, task.cares[job], task.values[job])
        moves += (world ^ new) >> _CAR & 1
        metres += walk.metres[way][here][job]
        world, here = new, job
    moves += world >> _CAR & 1
    return Cost(metres, moves, task.cost(order) / 1000)


def _wrong_way_round(task: Task, order: Sequence[int]) -> tuple[int, int] | None:
    """The first job done before one that must be before it, and that one."""
    done = 0
    for job in order:
        for missing in bits(task.before[job] & ~done):
            return job, missing
        done |= 1 << job
    return None
