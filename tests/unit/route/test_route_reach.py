"""What one step costs: worked out by hand, and told again by a sum over the parts of the car."""

from __future__ import annotations

from dataclasses import replace

import pytest
import strategies
from hypothesis import given
from hypothesis import strategies as st

from checkrun.route.footing import ARM, Path
from checkrun.route.model import STATE_VALUES, Outline, Place, Route, Station
from checkrun.route.planner import planned
from checkrun.route.reach import Reach, along, reach, standing
from checkrun.route.times import TIMES
from checkrun.route.walktask import From, needs_of
from checkrun.route.zones import Zone, zone

OUTLINE = strategies.OUTLINE
ARRIVED = {part: values[0] for part, values in STATE_VALUES.items()}
states = st.fixed_dictionaries({part: st.sampled_from(v) for part, v in STATE_VALUES.items()})


def station(name: str, x: float, y: float, **needs: str) -> Station:
    return Station(name, name, Place(x, y, 0.5), tuple(needs.items()))


LEFT = station("left", 0.5, -0.9, car="down", engine="cold")
REAR = station("rear", 2.5, -0.9, car="down", engine="cold")
UNDER = station("under", 0.5, 0.0, car="raised", wheels="on", engine="cold")
AXLE = station("axle", 2.5, 0.0, car="raised", wheels="on", engine="cold")
BAY = station("bay", -0.2, -0.9, bonnet="open", car="down")
IDLE = station("idle", -0.2, -0.9, bonnet="open", car="down", engine="running")


def test_two_metres_along_the_side() -> None:
    assert reach(standing(LEFT, ARRIVED), REAR, OUTLINE) == Reach(2.0, 2.0)


def test_under_the_raised_car_one_goes_straight() -> None:
    up = standing(UNDER, ARRIVED | {"car": "raised"})
    assert reach(up, AXLE, OUTLINE) == Reach(2.0, 2.0)


def test_the_lift_takes_its_minutes_and_one_walks_round() -> None:
    found = reach(standing(LEFT, ARRIVED), UNDER, OUTLINE)
    half = 0.84 + ARM
    assert found.changes == (("car", "raised"),)
    assert found.metres == pytest.approx(half)
    assert found.seconds == pytest.approx(half + TIMES.raise_car + TIMES.fetch)


def test_what_an_open_bonnet_asks_for_comes_before_the_lift() -> None:
    found = reach(standing(BAY, ARRIVED | {"bonnet": "open"}), UNDER, OUTLINE)
    assert found.changes == (("car", "raised"), ("bonnet", "shut"))


def test_a_warm_engine_is_waited_for() -> None:
    warm = standing(IDLE, ARRIVED | {"bonnet": "open", "engine": "running"})
    cold = replace(BAY, needs=(*BAY.needs, ("engine", "cold")))
    assert reach(warm, cold, OUTLINE).seconds >= TIMES.cool_down
    assert reach(warm, BAY, OUTLINE).seconds == TIMES.fetch  # it may run on


def test_standing_tells_only_what_is_not_as_the_car_arrived() -> None:
    assert standing(LEFT, ARRIVED) == From(LEFT)
    assert standing(LEFT, {"engine": "running", "car": "raised"}) == From(
        LEFT, (("car", "raised"), ("engine", "running"))
    )


def plain(here: Station, state: dict[str, str], there: Station, outline: Outline) -> Reach:
    """The same told again: each part turned by name, the way by the feet, the rest by the kinds."""
    wanted = needs_of(there, outline)
    changed = {p: wanted[p] for p in STATE_VALUES if p in wanted and wanted[p] != state[p]}
    price = {
        ("car", "raised"): TIMES.raise_car,
        ("car", "down"): TIMES.lower_car,
        ("wheels", "off"): TIMES.wheels_off,
        ("wheels", "on"): TIMES.wheels_on,
        ("bonnet", "open"): TIMES.open_bonnet,
        ("bonnet", "shut"): TIMES.shut_bonnet,
        ("boot", "open"): TIMES.open_boot,
        ("boot", "shut"): TIMES.shut_boot,
        ("engine", "running"): TIMES.start_engine,
        ("engine", "cold"): TIMES.cool_down,
    }
    seconds = sum(price[change] for change in changed.items())
    if "car" in changed and state["engine"] == "running" and "engine" not in changed:
        seconds += TIMES.start_again
    path = Path(outline)
    feet = [path.footing(s.place, zone(s, outline)) for s in (here, there)]
    stays_up = state["car"] == "raised" and "car" not in changed
    metres = path.straight(*feet) if stays_up else path.round(*feet)
    kinds = [
        (zone(s, outline), s.need("engine") == "running", s.need("wheels") == "off")
        for s in (here, there)
    ]
    if kinds[0] != kinds[1]:
        seconds += TIMES.fetch
        was, now = kinds[0][0] is Zone.INSIDE, kinds[1][0] is Zone.INSIDE
        seconds += TIMES.get_out * (was and not now) + TIMES.get_in * (now and not was)
        seconds += TIMES.clean_hands * (now and not was and kinds[0][0] is not Zone.OUTSIDE)
    return Reach(metres, seconds + metres / TIMES.walking, tuple(changed.items()))


@given(strategies.walkable_routes(), states, st.data())
def test_one_step_is_the_sum_of_its_parts(
    route: Route, state: dict[str, str], data: st.DataObject
) -> None:
    here, there = (data.draw(st.sampled_from(route.stations)) for _ in range(2))
    found, told = (
        reach(standing(here, state), there, route.outline),
        plain(here, state, there, route.outline),
    )
    assert found.metres == pytest.approx(told.metres, abs=1e-9)
    assert found.seconds == pytest.approx(told.seconds, abs=0.001)
    assert found.changes == told.changes


@given(strategies.walkable_routes(), st.data())
def test_the_steps_of_a_plan_add_up_to_what_the_planner_proved(
    route: Route, data: st.DataObject
) -> None:
    """But for the end, which a plan pays for, and a warm engine, which no plan lets go cold."""
    here = data.draw(st.sampled_from(route.stations))
    left = [replace(s, after=None) for s in route.stations]
    order, bound = planned(left, route.outline, standing(here, ARRIVED))
    found = along(standing(here, ARRIVED), order, route.outline)
    end = ARRIVED | dict(found.changes)
    home = TIMES.wheels_on * (end["wheels"] == "off") + TIMES.lower_car * (end["car"] == "raised")
    home += TIMES.start_again * ((end["car"], end["engine"]) == ("raised", "running"))
    assert found.seconds + home == pytest.approx(bound, abs=0.01)
