"""What an order costs, what must come before what, and that nothing quicker was overlooked."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import permutations, product

import pytest

from checkrun.route.footing import ARM
from checkrun.route.model import STATE_VALUES, Order, Outline, Place, Route, Station, Years
from checkrun.route.order import walk_order
from checkrun.route.planner import MOST, plan, planned
from checkrun.route.times import TIMES
from checkrun.route.walktask import NOSE, From, needs_of, walk_task

OUTLINE = Outline(4.1, 1.68, 2.45, 0.72)


def station(name: str, x: float, y: float, after: str | None = None, **needs: str) -> Station:
    return Station(name, name, Place(x, y, 0.5), tuple(needs.items()), after=after)


def route(*stations: Station, order: Order = Order.BY_POSITION) -> Route:
    return Route("r", "R", Years(1966, 1966), OUTLINE, order=order, stations=stations)


def ids(stations: tuple[Station, ...]) -> list[str]:
    return [each.id for each in stations]


LEFT = station("left", 0.5, -0.9, car="down", engine="cold")
RIGHT = station("right", 0.5, 0.9, car="down", engine="cold")
UNDER = station("under", 0.5, 0.0, car="raised", wheels="on", engine="cold")
HUB = station("hub", 0.0, -0.7, wheels="off", engine="cold")
IDLE = station("idle", 0.2, -0.9, bonnet="open", engine="running")


def test_the_cost_is_that_worked_out_by_hand() -> None:
    """From before the nose to the left side, up, straight beneath, and down again."""
    found = plan(route(LEFT, UNDER))
    half = 0.84 + ARM
    to_left, to_under = half + 0.5 + 0.72 + ARM, half
    assert found.cost.metres == pytest.approx(to_left + to_under)
    assert found.cost.lift_moves == 2
    turning = TIMES.raise_car + TIMES.lower_car + TIMES.fetch
    assert found.cost.seconds == pytest.approx(
        (to_left + to_under) / TIMES.walking + turning, abs=0.01
    )
    assert found.lower_bound == found.cost.seconds
    assert found.gap == 0


def test_wheels_and_engine_are_paid_for_once() -> None:
    found = plan(route(LEFT, HUB, replace(HUB, id="hub-2", place=Place(0.0, 0.7, 0.3)), IDLE))
    turning = TIMES.raise_car + TIMES.wheels_off + TIMES.wheels_on + TIMES.lower_car
    turning += TIMES.open_bonnet + TIMES.start_engine + 2 * TIMES.fetch
    assert found.cost.seconds - found.cost.metres / TIMES.walking == pytest.approx(
        turning, abs=0.01
    )


def test_the_order_as_written_is_told_beside_the_planned_one() -> None:
    found = plan(route(UNDER, RIGHT, LEFT))
    assert ids(found.as_written) == ["under", "right", "left"]
    assert found.too_late is not None
    assert [each.id for each in found.too_late] == ["under", "left"]
    assert ids(found.order)[-1] == "under"
    assert plan(route(LEFT, RIGHT)).too_late is None


def test_an_as_written_route_is_walked_as_written_and_planned_all_the_same() -> None:
    written = route(UNDER, RIGHT, LEFT, order=Order.AS_WRITTEN)
    assert ids(walk_order(written)) == ["under", "right", "left"]
    assert plan(written).order == plan(replace(written, order=Order.BY_POSITION)).order


@pytest.mark.parametrize(
    ("first", "then"),
    [(LEFT, UNDER), (UNDER, HUB), (LEFT, IDLE), (UNDER, IDLE), (HUB, IDLE)],
    ids=[
        "looked over, up",
        "seen below, wheels off",
        "cold, running",
        "up, running",
        "off, running",
    ],
)
def test_what_must_come_first_comes_first_unless_after_says_otherwise(
    first: Station, then: Station
) -> None:
    assert ids(walk_order(route(then, first))) == [first.id, then.id]
    late = replace(first, after=then.id)
    assert ids(walk_order(route(then, late))) == [then.id, first.id]


def test_an_engine_that_must_go_cold_again_costs_the_hours_it_takes() -> None:
    late = replace(LEFT, after="idle")
    assert plan(route(late, IDLE)).cost.seconds > TIMES.cool_down


@pytest.mark.parametrize(
    ("here", "expected"),
    [
        (station("s", 0.0, -0.7, wheels="off"), {"wheels": "off", "car": "raised"}),
        (station("s", 0.0, -0.7, wheels="off", car="down"), {"wheels": "off", "car": "raised"}),
        (station("s", 0.0, -0.9, car="down"), {"car": "down", "wheels": "on"}),
        (station("s", 1.0, 0.0), {"car": "down", "wheels": "on"}),
        (station("s", 0.0, -0.9), {}),
        (station("s", 0.0, -0.9, boot="open"), {"boot": "open", "car": "down", "wheels": "on"}),
    ],
    ids=["wheels off", "wheels off, written down", "down", "seat", "outside", "boot"],
)
def test_what_can_not_be_otherwise_is_needed_too(here: Station, expected: dict[str, str]) -> None:
    if expected.get("car") == "raised":
        expected = expected | {"bonnet": "shut", "boot": "shut"}
    assert needs_of(here, OUTLINE) == expected


def test_what_is_open_is_shut_before_the_car_goes_up() -> None:
    assert needs_of(UNDER, OUTLINE)["bonnet"] == "shut"
    assert needs_of(replace(UNDER, needs=(("car", "raised"), ("bonnet", "open"))), OUTLINE)[
        "bonnet"
    ] == ("open")


def simulated(stations: tuple[Station, ...]) -> float:
    """Seconds of an order, worked out station by station without the planner's bits."""
    walk = walk_task(stations, OUTLINE, NOSE, TIMES)
    prices = {
        **{("car", "raised"): TIMES.raise_car, ("car", "down"): TIMES.lower_car},
        **{("wheels", "off"): TIMES.wheels_off, ("wheels", "on"): TIMES.wheels_on},
        **{("bonnet", "open"): TIMES.open_bonnet, ("bonnet", "shut"): TIMES.shut_bonnet},
        **{("boot", "open"): TIMES.open_boot, ("boot", "shut"): TIMES.shut_boot},
        **{("engine", "running"): TIMES.start_engine, ("engine", "cold"): TIMES.cool_down},
    }
    state = {part: values[0] for part, values in STATE_VALUES.items()}
    seconds, here = 0.0, len(stations)
    for there, each in enumerate(stations):
        before = dict(state)
        state |= needs_of(each, OUTLINE)
        changed = {part for part in state if state[part] != before[part]}
        seconds += sum(prices[part, state[part]] for part in changed)
        if "car" in changed and before["engine"] == state["engine"] == "running":
            seconds += TIMES.start_again
        way = int(before["car"] == state["car"] == "raised")
        seconds += walk.task.ways[way][here][there] / 1000
        here = there
    seconds += TIMES.lower_car * (state["car"] == "raised")
    if state["car"] == "raised" and state["engine"] == "running":
        seconds += TIMES.start_again
    return seconds + TIMES.wheels_on * (state["wheels"] == "off")


def made(seed: int, count: int) -> list[Station]:
    draw = random.Random(seed)
    stations = []
    for number in range(count):
        needs = {
            part: draw.choice(values)
            for part, values in STATE_VALUES.items()
            if draw.random() < 0.5
        }
        after = f"s{draw.randrange(number)}" if number and draw.random() < 0.2 else None
        x, y = draw.randrange(-8, 36) / 10, draw.choice((-0.9, -0.3, 0.0, 0.4, 0.9))
        stations.append(station(f"s{number}", x, y, after, **needs))
    return stations


@pytest.mark.parametrize("seed", range(40))
def test_trying_every_order_finds_none_that_is_quicker(seed: int) -> None:
    stations = made(seed, 6)
    order, bound = planned(stations, OUTLINE)
    walk = walk_task(stations, OUTLINE, NOSE, TIMES)
    quickest = min(
        simulated(tuple(stations[place] for place in places))
        for places in permutations(range(6))
        if walk.task.keeps(places)
    )
    assert simulated(order) == pytest.approx(quickest, abs=1e-6)
    assert bound == pytest.approx(quickest, abs=1e-6)


def test_what_is_left_is_planned_from_where_one_stands() -> None:
    left = [station(f"l{x}", x, -0.9, car="down") for x in (0, 1, 2, 3)]
    assert ids(planned(left, OUTLINE)[0]) == ["l0", "l1", "l2", "l3"]
    behind = From(station("tail", 3.4, 0.0))
    assert ids(planned(left, OUTLINE, behind)[0]) == ["l3", "l2", "l1", "l0"]


def test_a_car_that_is_up_stays_up_until_what_is_left_beneath_is_done() -> None:
    beneath = [UNDER, replace(UNDER, id="under-2", place=Place(2.0, 0.0, 0.3))]
    seat = station("seat", 1.5, -0.4, engine="running")
    up = From(UNDER, (("car", "raised"),))
    assert ids(planned([seat, *beneath], OUTLINE, up)[0]) == ["under", "under-2", "seat"]


def test_a_car_that_is_up_is_not_let_down_first_for_what_should_have_come_first() -> None:
    """What a rule keeps for the beginning is past when the plan begins behind it."""
    low = station("low", 0.5, -0.9, car="down", engine="cold")
    up = From(UNDER, (("car", "raised"), ("wheels", "off")))
    assert ids(planned([low, UNDER, HUB], OUTLINE)[0]) == ["low", "under", "hub"]
    assert ids(planned([low, UNDER, HUB], OUTLINE, up)[0]) == ["hub", "under", "low"]


def test_an_engine_that_runs_is_left_running_for_what_needs_it() -> None:
    """Then it is waited for once; the other way round it would be started again as well."""
    warm = From(IDLE, (("bonnet", "open"), ("engine", "running")))
    order, bound = planned([LEFT, IDLE], OUTLINE, warm)
    assert ids(order) == ["idle", "left"]
    assert TIMES.cool_down <= bound < TIMES.cool_down + 2 * TIMES.fetch


def test_where_walking_is_slow_nobody_walks_further() -> None:
    stations = made(3, 7)
    quick, slow = plan(route(*stations)), plan(route(*stations), replace(TIMES, walking=0.1))
    assert slow.cost.metres <= quick.cost.metres
    assert slow.cost.seconds > quick.cost.seconds


def test_a_route_too_long_to_be_planned_is_walked_by_position() -> None:
    many = [
        station(f"s{x}-{y}", x / 20, y, car="down")
        for x, y in product(range(MOST // 2 + 1), (-0.9, 0.9))
    ]
    found = plan(route(*many))
    assert sorted(ids(found.order)) == sorted(each.id for each in many)
    assert found.lower_bound == 0
    assert found.gap == 1
