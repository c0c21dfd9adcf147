"""The walk: round the car, inside, bonnet, boot, underneath; cold before running.

Source of the axes: ISO 4130 (x rearwards, y to the right, z up), from memory, the standard itself
was not at hand. Here it is held by symmetry: mirroring the car swaps its sides.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby, pairwise
from pathlib import Path

import pytest

from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Check, Order, Outline, Place, Route, Station, Years
from checkrun.route.order import Zone, walk_order, zone
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


@pytest.mark.parametrize("seed", range(8))
def test_the_whole_walk_is_the_same_however_the_stations_were_written(seed: int) -> None:
    shuffled = list(WHOLE)
    random.Random(seed).shuffle(shuffled)
    assert walk(*shuffled) == [station.id for station in WHOLE]


def test_a_station_that_just_needs_the_wheels_off_is_underneath() -> None:
    off = station("off", 0.0, -0.9, wheels="off")
    assert walk(off, UNDER_REAR, SEAT, BOOT) == ["seat", "boot", "under-rear", "off"]


def test_equal_positions_keep_the_order_they_were_written_in() -> None:
    twins = [replace(NOSE, id=name) for name in ("b", "a", "c")]
    assert walk(*twins) == ["b", "a", "c"]


def test_as_written_keeps_the_order_but_for_after() -> None:
    assert walk(UNDER_REAR, SEAT, NOSE, order=Order.AS_WRITTEN) == ["under-rear", "seat", "nose"]
    late = replace(UNDER_REAR, after="seat")
    assert walk(late, SEAT, NOSE, order=Order.AS_WRITTEN) == ["seat", "under-rear", "nose"]


@pytest.mark.parametrize(
    ("stations", "ids"),
    [
        ((replace(NOSE, after="tail"), TAIL, SEAT), ["tail", "nose", "seat"]),
        ((NOSE, replace(TAIL, after="nose"), LEFT_REAR), ["nose", "left-rear", "tail"]),
        (
            (replace(NOSE, after="seat"), replace(TAIL, after="nose"), SEAT, BOOT),
            ["seat", "nose", "tail", "boot"],
        ),
        (
            (replace(NOSE, after="boot"), replace(TAIL, after="boot"), SEAT, BOOT),
            ["seat", "boot", "nose", "tail"],
        ),
        ((replace(NOSE, after="not-on-this-car"), TAIL), ["nose", "tail"]),
    ],
    ids=["one", "already behind", "chain", "two behind one", "left out by tailoring"],
)
def test_after_is_honoured_and_else_nothing_moves(
    stations: tuple[Station, ...], ids: list[str]
) -> None:
    assert walk(*stations) == ids


def test_a_ring_of_after_loses_no_station() -> None:
    ring = (replace(NOSE, after="tail"), replace(TAIL, after="nose"), SEAT)
    assert walk(*ring) == ["seat", "nose", "tail"]
    assert walk(replace(NOSE, after="nose"), SEAT) == ["seat", "nose"]


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


def test_mirroring_swaps_left_and_right_but_starts_at_the_nose_still() -> None:
    outside = (NOSE, LEFT_FRONT, LEFT_REAR, TAIL, RIGHT_REAR, RIGHT_FRONT)
    mirrored = [replace(s, place=replace(s.place, y=-s.place.y)) for s in outside]
    assert walk(*mirrored) == [
        *("nose", "right-front", "right-rear", "tail", "left-rear", "left-front")
    ]


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


def free(route: Route) -> Route:
    """The route without `after`, which may break every other rule."""
    return replace(route, stations=tuple(replace(s, after=None) for s in route.stations))


@every_year
def test_every_station_is_walked_once_and_after_what_it_must_follow(route: Route) -> None:
    walked = [station.id for station in walk_order(route)]
    assert sorted(walked) == sorted(station.id for station in route.stations)
    for here in route.stations:
        if here.after in walked:
            assert walked.index(here.after) < walked.index(here.id)


@every_year
def test_cold_comes_before_running_and_the_car_goes_up_once_in_each(route: Route) -> None:
    engines = by_engine(walk_order(free(route)))
    assert [running for running, _ in engines] in ([False], [True], [False, True])
    for _, stations in engines:
        lifts = [s.need("car") for s in stations if s.need("car") is not None]
        assert [lift for lift, _ in groupby(lifts)] in (
            [],
            ["down"],
            ["raised"],
            ["down", "raised"],
        )
        raised = [s.need("wheels") for s in stations if zone(s, route.outline) is Zone.UNDERNEATH]
        off = [wheels == "off" for wheels in raised]
        assert off == sorted(off), "wheels come off once, behind all that wants them on"


@every_year
def test_zones_follow_each_other_and_underneath_goes_to_the_rear(route: Route) -> None:
    for _, stations in by_engine(walk_order(free(route))):
        zones = [zone(station, route.outline) for station in stations]
        assert zones == sorted(zones)
        under = [s for s in stations if zone(s, route.outline) is Zone.UNDERNEATH]
        for _, group in groupby(under, key=lambda s: s.need("wheels") == "off"):
            along = [station.place.x for station in group]
            assert along == sorted(along)


@every_year
def test_the_outside_is_one_sweep_from_the_nose_down_the_left_side(route: Route) -> None:
    middle = (route.outline.front + route.outline.rear) / 2
    for running, stations in by_engine(walk_order(free(route))):
        out = [s.place for s in stations if zone(s, route.outline) is Zone.OUTSIDE]
        if running or not out:
            continue
        for a, b in pairwise(out):
            turn = (a.x - middle) * b.y - a.y * (b.x - middle)
            assert turn >= 0, "each next station is further round the same way"
        sides = [place.y > 0 for place in out if place.y != 0]
        assert sides == sorted(sides), "all of the left side comes before the right side"
        assert out[0].x == min(place.x for place in out), "the nose comes first"


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


@every_route
def test_a_mirrored_car_is_walked_the_other_way_round(route: Route) -> None:
    loose = free(replace(route, order=Order.BY_POSITION))
    mirrored = replace(
        loose,
        stations=tuple(replace(s, place=replace(s.place, y=-s.place.y)) for s in loose.stations),
    )

    def outside(walked: Sequence[Station]) -> list[tuple[float, float]]:
        return [
            (s.place.x, abs(s.place.y))
            for s in walked
            if zone(s, route.outline) is Zone.OUTSIDE and s.need("engine") != "running"
        ]

    there, back = outside(walk_order(loose)), outside(walk_order(mirrored))
    start = [place for place in there if place[1] == 0 and place[0] < 0]
    rest = there[len(start) :]
    assert there[: len(start)] == back[: len(start)] == start
    assert back[len(start) :] == rest[::-1]


def test_checks_do_not_weigh_in_the_order() -> None:
    busy = replace(TAIL, checks=(Check("c", "C"),))
    assert walk(busy, NOSE) == ["nose", "tail"]
