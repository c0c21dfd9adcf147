"""Any route: what must come first does, nothing is left out, and as written is never quicker."""

from __future__ import annotations

import random
from dataclasses import replace

import strategies
from hypothesis import given, settings
from hypothesis import strategies as st

from checkrun.route.model import STATE_VALUES, Place, Route, Station, Years
from checkrun.route.planner import plan, planned
from checkrun.route.walktask import needs_of


@given(strategies.walkable_routes())
def test_every_station_is_walked_once_within_the_bounds(route: Route) -> None:
    found = plan(route)
    assert sorted(s.id for s in found.order) == sorted(s.id for s in route.stations)
    assert found.lower_bound <= found.cost.seconds
    assert found.cost.metres >= 0
    assert found.cost.lift_moves % 2 == 0


@given(strategies.walkable_routes())
def test_the_best_of_a_few_stations_is_proven(route: Route) -> None:
    found = plan(route)
    assert found.cost.seconds == found.lower_bound


@given(strategies.walkable_routes())
def test_as_written_is_never_quicker_if_it_keeps_what_must_come_first(route: Route) -> None:
    found = plan(route)
    if found.too_late is None:
        assert found.cost.seconds <= found.written.seconds


@given(strategies.walkable_routes())
def test_cold_before_running_low_before_high_on_before_off_but_for_after(route: Route) -> None:
    walked = [replace(s, after=None) for s in route.stations]
    order, _ = planned(walked, route.outline)
    needs = [needs_of(s, route.outline) for s in order]
    for place, here in enumerate(needs):
        for behind in needs[place + 1 :]:
            running = here.get("engine") == "running"
            assert not (running and behind.get("engine") == "cold")
            if here.get("car") == "raised" and behind.get("engine") != "running":
                assert behind.get("car") != "down"
            if here.get("wheels") == "off" and behind.get("engine") != "running":
                assert not (behind.get("car") == "raised" and behind.get("wheels") == "on")


@given(strategies.walkable_routes(), st.randoms(use_true_random=False))
def test_a_plan_does_not_hang_on_the_order_of_the_file(route: Route, draw: random.Random) -> None:
    shuffled = list(route.stations)
    draw.shuffle(shuffled)
    there = plan(replace(route, stations=tuple(shuffled)))
    assert there.cost.seconds == plan(route).cost.seconds


@given(st.integers(0, 10_000))
@settings(max_examples=10, deadline=None)
def test_a_long_route_is_no_worse_than_written_and_tells_its_gap(seed: int) -> None:
    route = _long(random.Random(seed))
    found = plan(route)
    assert found.lower_bound <= found.cost.seconds
    if found.too_late is None:
        assert found.cost.seconds <= found.written.seconds


def _long(draw: random.Random) -> Route:
    """Forty stations that name most of the state, as authors do."""
    stations = []
    for number in range(40):
        needs = {p: v[draw.random() < 0.25] for p, v in STATE_VALUES.items() if draw.random() < 0.8}
        x, y = draw.randrange(-16, 72) / 20, draw.randrange(-19, 20) / 20
        stations.append(Station(f"s{number}", "S", Place(x, y, 0.5), tuple(needs.items())))
    return Route("r", "R", Years(1966, 1966), strategies.OUTLINE, stations=tuple(stations))
