"""The walk: round the car, inside, bonnet and boot, underneath; cold before running.

Source of the axes: ISO 4130 (x rearwards, y to the right, z up), from memory, the standard itself
was not at hand. Here it is held by symmetry: mirroring the car swaps its sides.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path

import pytest

from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Check, Order, Outline, Place, Route, Station, Years
from checkrun.route.order import Zone, walk_order, zone
from checkrun.route.planner import plan
from checkrun.route.problems import RouteError
from checkrun.route.tailor import tailor

OUTLINE = Outline(4.1, 1.68, 2.45, 0.72)


def station(name: str, x: float, y: float, after: str | None = None, **needs: str) -> Station:
    return Station(name, name, Place(x, y, 0.5), tuple(needs.items()), after=after)


def route(*stations: Station, order: Order = Order.BY_POSITION) -> Route:
    return Route("r", "R", Years(1966, 1966), OUTLINE, order=order, stations=stations)


def walk(*stations: Station, order: Order = Order.BY_POSITION) -> list[str]:
    return [station.id for station in walk_order(route(*stations, order=order))]


NOSE = station("nose", -0.72, 0.0)
LEFT_FRONT = station("left-front", 0.0, -0.9)
LEFT_REAR = station("left-rear", 2.5, -0.9)
TAIL = station("tail", 3.38, 0.0)
RIGHT_REAR = station("right-rear", 2.5, 0.9)
RIGHT_FRONT = station("right-front", 0.0, 0.9)
SEAT = station("seat", 1.5, -0.4)
BACK_SEAT = station("back-seat", 2.2, 0.0)
BAY = station("bay", 0.2, 0.3, bonnet="open")
BOOT = station("boot", 3.0, 0.0, boot="open")
UNDER_FRONT = station("under-front", -0.3, 0.0, car="raised")
UNDER_REAR = station("under-rear", 2.6, 0.0, car="raised")
HUB_FRONT = station("hub-front", 0.0, -0.7, car="raised", wheels="off")
HUB_REAR = station("hub-rear", 2.45, -0.7, car="raised", wheels="off")
IDLE = station("idle", 0.2, 0.3, bonnet="open", engine="running")
EXHAUST = station("exhaust", 3.4, 0.3, engine="running")
UNDER_RUNNING = station("under-running", 1.0, 0.0, car="raised", engine="running")
WHOLE = (
    *(NOSE, LEFT_FRONT, LEFT_REAR, TAIL, RIGHT_REAR, RIGHT_FRONT),
    *(SEAT, BACK_SEAT, BAY, BOOT, UNDER_FRONT, UNDER_REAR, HUB_FRONT, HUB_REAR),
    *(EXHAUST, IDLE, UNDER_RUNNING),
)


def ids(stations: Sequence[Station]) -> list[str]:
    return [station.id for station in stations]


@pytest.mark.parametrize("seed", range(8))
def test_the_whole_walk_is_the_same_however_the_stations_were_written(seed: int) -> None:
    shuffled = list(WHOLE)
    random.Random(seed).shuffle(shuffled)
    assert walk(*shuffled) == walk(*WHOLE)


def test_the_whole_walk_is_one_round_then_in_then_up_then_wheels_then_running() -> None:
    down = [replace(s, needs=(*s.needs, ("car", "down"))) for s in WHOLE[:10]]
    walked = walk(*down, *WHOLE[10:14], IDLE)
    round_by_the_left = ["nose", "left-front", "left-rear", "tail", "right-rear", "right-front"]
    assert walked[:6] in (round_by_the_left, ["nose", *round_by_the_left[:0:-1]])
    assert sorted(walked[6:8]) == ["back-seat", "seat"]
    assert sorted(walked[8:10]) == ["bay", "boot"]
    assert sorted(walked[10:12]) == ["under-front", "under-rear"]
    assert sorted(walked[12:14]) == ["hub-front", "hub-rear"]
    assert walked[14:] == ["idle"]


def test_a_station_that_just_needs_the_wheels_off_is_underneath() -> None:
    off = station("off", 0.0, -0.9, wheels="off")
    assert walk(off, replace(UNDER_REAR, needs=(("car", "raised"), ("wheels", "on")))) == [
        "under-rear",
        "off",
    ]
    assert zone(off, OUTLINE) is Zone.UNDERNEATH


def test_equal_positions_keep_the_order_they_were_written_in() -> None:
    twins = [replace(NOSE, id=name) for name in ("b", "a", "c")]
    assert walk(*twins) == ["b", "a", "c"]


def test_as_written_keeps_the_order_but_for_after() -> None:
    assert walk(UNDER_REAR, SEAT, NOSE, order=Order.AS_WRITTEN) == ["under-rear", "seat", "nose"]
    late = replace(UNDER_REAR, after="seat")
    assert walk(late, SEAT, NOSE, order=Order.AS_WRITTEN) == ["seat", "under-rear", "nose"]


@pytest.mark.parametrize(
    ("stations", "expected"),
    [
        ((replace(NOSE, after="tail"), TAIL), ["tail", "nose"]),
        ((NOSE, replace(TAIL, after="nose"), LEFT_REAR), ["nose", "left-rear", "tail"]),
        (
            (replace(NOSE, after="seat"), replace(TAIL, after="nose"), SEAT),
            ["seat", "nose", "tail"],
        ),
        (
            (replace(NOSE, after="boot"), replace(TAIL, after="boot"), BOOT),
            ["boot", "tail", "nose"],
        ),
        ((replace(NOSE, after="not-on-this-car"), TAIL), ["nose", "tail"]),
    ],
    ids=["one", "already behind", "chain", "two behind one", "left out by tailoring"],
)
def test_after_is_honoured(stations: tuple[Station, ...], expected: list[str]) -> None:
    assert walk(*stations) == expected


def test_a_ring_of_after_loses_no_station() -> None:
    ring = (replace(NOSE, after="tail"), replace(TAIL, after="nose"), SEAT)
    assert sorted(walk(*ring)) == ["nose", "seat", "tail"]
    assert walk(*ring, order=Order.AS_WRITTEN) == ["seat", "nose", "tail"]
    assert sorted(walk(replace(NOSE, after="nose"), SEAT)) == ["nose", "seat"]


def test_a_long_chain_of_after_is_walked() -> None:
    count = 3000
    chain = [
        station(f"s{i}", i / count, -0.9, after=f"s{i + 1}" if i + 1 < count else None)
        for i in range(count)
    ]
    assert walk(*chain) == [f"s{i}" for i in reversed(range(count))]


@pytest.mark.parametrize(
    ("x", "y", "expected"),
    [
        (1.0, 0.0, Zone.INSIDE),
        (1.0, -0.84, Zone.OUTSIDE),
        (1.0, -0.80, Zone.OUTSIDE),
        (1.0, -0.78, Zone.INSIDE),
        (1.0, 0.80, Zone.OUTSIDE),
        (1.0, 0.78, Zone.INSIDE),
        (-0.72, 0.0, Zone.OUTSIDE),
        (-0.68, 0.0, Zone.OUTSIDE),
        (-0.66, 0.0, Zone.INSIDE),
        (3.38, 0.0, Zone.OUTSIDE),
        (3.34, 0.0, Zone.OUTSIDE),
        (3.32, 0.0, Zone.INSIDE),
    ],
)
def test_inside_is_strictly_within_the_outline(x: float, y: float, expected: Zone) -> None:
    assert zone(station("s", x, y), OUTLINE) is expected


def test_a_mirrored_car_is_walked_as_quickly() -> None:
    outside = (NOSE, LEFT_FRONT, LEFT_REAR, TAIL, RIGHT_REAR, RIGHT_FRONT)
    assert walk(*outside) == ids(outside), "of two rounds as long the one down the left side"
    mirrored = [replace(s, place=replace(s.place, y=-s.place.y)) for s in outside]
    assert plan(route(*mirrored)).cost == plan(route(*outside)).cost


# Every shipped route, cut to every model year it covers.

_CATALOG = Catalog([Folder(Path(__file__).parents[3] / "checklists", "shipped")])


def _shipped() -> list[Route]:
    routes = []
    for found in _CATALOG.all():
        try:
            routes.append(_CATALOG.load(found.id))
        except RouteError:
            continue
    return routes


SHIPPED = _shipped()
every_route = pytest.mark.parametrize("route", SHIPPED, ids=lambda route: route.id)
every_year = pytest.mark.parametrize(
    "route",
    [
        pytest.param(tailor(route, year, {}), id=f"{route.id}-{year}")
        for route in SHIPPED
        for year in range(route.years.first, route.years.last + 1)
        if route.order is Order.BY_POSITION
    ],
)


def test_there_are_shipped_routes_to_walk() -> None:
    assert SHIPPED


def by_engine(stations: Sequence[Station]) -> list[tuple[bool, list[Station]]]:
    runs = groupby(stations, key=lambda s: s.need("engine") == "running")
    return [(running, list(group)) for running, group in runs]


@every_year
def test_every_station_is_walked_once_and_after_what_it_must_follow(route: Route) -> None:
    walked = [station.id for station in walk_order(route)]
    assert sorted(walked) == sorted(station.id for station in route.stations)
    for here in route.stations:
        if here.after in walked:
            assert walked.index(here.after) < walked.index(here.id)


@every_year
def test_no_order_of_a_shipped_route_takes_less(route: Route) -> None:
    found = plan(route)
    assert found.cost.seconds == found.lower_bound
    assert found.cost.seconds <= found.written.seconds
    assert found.order == walk_order(route)


@every_year
def test_a_shipped_route_is_one_round_one_lift_and_cold_before_running(route: Route) -> None:
    walked = walk_order(route)
    kinds = [
        (s.need("engine") == "running", zone(s, route.outline), s.need("wheels") == "off")
        for s in walked
    ]
    cold = [kind for kind, _ in groupby(kinds) if not kind[0]]
    assert len(cold) == len(set(cold)), "each kind of place is gone to once"
    assert [running for running, _ in by_engine(walked)] in ([False], [False, True])
    assert cold[0][1] is Zone.OUTSIDE
    under = [kind[2] for kind in cold if kind[1] is Zone.UNDERNEATH]
    assert under in ([], [False], [False, True])
    assert plan(route).cost.lift_moves == (2 if under else 0)


@every_year
def test_the_walk_does_not_hang_on_how_the_file_is_ordered(route: Route) -> None:
    shuffled = list(route.stations)
    random.Random(route.id).shuffle(shuffled)
    whole = [(s.place, s.needs) for s in walk_order(route)]
    assert [
        (s.place, s.needs) for s in walk_order(replace(route, stations=tuple(shuffled)))
    ] == whole


@every_route
def test_left_is_left_of_the_middle_as_seen_from_the_drivers_seat(route: Route) -> None:
    for here in route.stations:
        words = here.id.split("-")
        assert "left" not in words or here.place.y < 0, here.id
        assert "right" not in words or here.place.y > 0, here.id


def test_checks_do_not_weigh_in_the_order() -> None:
    busy = replace(TAIL, checks=(Check("c", "C"),))
    assert walk(busy, NOSE) == ["nose", "tail"]
