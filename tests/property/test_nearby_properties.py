"""Any walk: the nearest check by brute force, rounds that are short and leave nobody out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from itertools import permutations
from typing import Any

import pytest
import strategies
from hypothesis import given, settings
from hypothesis import strategies as st

from checkrun.report.nearby import nearest_line, round_line
from checkrun.route.model import STATE_VALUES, Check, Order, Outline, Route, Station
from checkrun.route.reach import along, reach, standing
from checkrun.route.times import TIMES
from checkrun.session.events import Event, Kind
from checkrun.session.fold import Walk
from checkrun.session.nearby import SMALL, STEP, nearest, spot

NOW = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)
states = st.fixed_dictionaries({part: st.sampled_from(v) for part, v in STATE_VALUES.items()})


class Told(Walk):
    """A walk that is told events one group each, without a store."""

    __slots__ = ()

    def say(self, kind: Kind, **data: Any) -> None:
        n = len(self.events) + 1
        self.apply(Event(n, NOW, kind, data, n))

    def answer(self, check: str) -> None:
        self.say(Kind.ANSWERED, check=check, result="pass")

    def aside(self, check: str) -> None:
        self.say(Kind.SET_ASIDE, check=check)

    def stand(self, state: dict[str, str]) -> None:
        for part, value in state.items():
            self.say(Kind.STATE_CONFIRMED, part=part, value=value)


@st.composite
def checked_routes(draw: st.DrawFn) -> Route:
    """A walkable route with one to three checks a station, some of them with none."""
    route = draw(strategies.walkable_routes())
    stations = []
    for k, station in enumerate(route.stations):
        names = [f"c{k}-{n}" for n in range(draw(st.integers(0 if k else 1, 3)))]
        stations.append(replace(station, checks=tuple(Check(name, name) for name in names)))
    return replace(route, stations=tuple(stations), order=Order.AS_WRITTEN)


@st.composite
def walks(draw: st.DrawFn) -> Told:
    """A walk in which anything was entered anywhere."""
    route = draw(checked_routes())
    walk = Told(route, route.stations)
    walk.stand(draw(states))
    checks = st.sampled_from(walk.sequence)
    actions = st.sampled_from(["answer", "aside", "here", "skip", "move", "undo", "redo", "state"])
    for action in draw(st.lists(actions, max_size=20)):
        if action == "answer":
            walk.answer(draw(checks))
        elif action == "here":
            walk.answer(walk.at)
        elif action == "aside":
            walk.aside(draw(checks))
        elif action == "skip":
            walk.aside(walk.at)
        elif action == "move":
            walk.say(Kind.MOVED, check=draw(checks))
        elif action == "state":
            part = draw(st.sampled_from(sorted(STATE_VALUES)))
            walk.stand({part: draw(st.sampled_from(STATE_VALUES[part]))})
        elif action == "undo" and walk.can_undo is not None:
            walk.say(Kind.UNDONE, group=walk.can_undo)
        elif action == "redo" and walk.can_redo is not None:
            walk.say(Kind.REDONE, group=walk.can_redo)
    return walk


def refolded(walk: Walk) -> Walk:
    anew = Walk(walk.route, walk.stations)
    for event in walk.events:
        anew.apply(event)
    return anew


@given(walks(), st.data())
def test_the_nearest_is_the_least_of_all_open_ones(walk: Told, data: st.DataObject) -> None:
    at = data.draw(st.sampled_from(walk.sequence))
    begin = standing(walk.route.station_of[at], walk.car_state)
    seconds = {
        c: reach(begin, walk.route.station_of[c], walk.route.outline).seconds
        for c in walk.open_ids()
        if c != at
    }
    found = nearest(walk, at)
    if not seconds:
        assert found is None
        return
    assert found is not None
    assert found.way.seconds == min(seconds.values())
    place = walk.index[at]
    round_ = (*walk.sequence[place + 1 :], *walk.sequence[:place])
    assert found.check_id == next(c for c in round_ if seconds.get(c) == min(seconds.values()))
    here = walk.route.station_of[at].id
    line = nearest_line(found, here, walk.car_state)
    assert ("next needs" in line) is (found.way.changes != ())


@given(walks(), st.data())
def test_a_spot_is_all_that_is_open_within_a_step(walk: Told, data: st.DataObject) -> None:
    at = data.draw(st.sampled_from(walk.sequence))
    here = walk.route.station_of[at]
    begin = standing(here, walk.car_state)
    found = spot(walk, at)
    ways = {
        c: reach(begin, walk.route.station_of[c], walk.route.outline)
        for c in walk.open_ids()
        if c != at
    }
    now = {c for c, way in ways.items() if way.metres <= STEP and not way.changes}
    small = {
        c
        for c, way in ways.items()
        if way.metres <= STEP and way.changes and {p for p, _ in way.changes} <= SMALL
    }
    assert sorted(near.check_id for near in found.now) == sorted(now)
    assert sorted(near.check_id for near in found.opened) == sorted(small)
    for group in (found.now, found.opened):
        first = [near.station.id == here.id for near in group]
        assert first == sorted(first, reverse=True)
    far = [near.way.metres for near in found.now if near.station.id != here.id]
    assert far == sorted(far)


@given(walks())
def test_where_one_stands_is_told_by_the_events_alone(walk: Told) -> None:
    """Asked for after every event, or after the last one only."""
    asked = Walk(walk.route, walk.stations)
    for event in walk.events:
        asked.apply(event)
        assert asked.at in asked.index
    anew = refolded(walk)
    assert anew.at == asked.at == walk.at
    assert round_line(anew) == round_line(walk)
    assert [anew.next_after(c) for c in walk.sequence] == [
        walk.next_after(c) for c in walk.sequence
    ]


@given(walks())
def test_the_way_on_is_open_and_another_check(walk: Told) -> None:
    for check in walk.sequence:
        found = walk.next_after(check)
        others = set(walk.open_ids()) - {check}
        assert found in others if others else found is None
    for station in walk.stations:
        ahead = walk.next_station(station)
        others = {walk.route.station_of[c].id for c in walk.open_ids()} - {station.id}
        assert ahead is None if not others else ahead is not None and ahead.id in others


@given(checked_routes(), states)
def test_every_round_comes_to_each_check_once(route: Route, state: dict[str, str]) -> None:
    """Whoever sets everything aside for ever still sees all of it again and again."""
    walk = Told(route, route.stations)
    walk.stand(state)
    count = len(walk.sequence)
    for _ in range(3 * count):
        walk.aside(walk.at)
    while not (walk.round is not None and walk.round.begins):
        walk.aside(walk.at)
        if count == 1:
            return
    for _ in range(2):
        seen = []
        for _ in range(count):
            seen.append(walk.at)
            walk.aside(walk.at)
        # The check that one stood at when the round began has its turn at the start of the next.
        assert sorted(seen) == sorted(walk.sequence)


def ending(state: dict[str, str], changes: Sequence[tuple[str, str]]) -> float:
    """Seconds until the car is down, on its wheels."""
    end = state | dict(changes)
    up = end["car"] == "raised"
    again = TIMES.start_again * (up and end["engine"] == "running")
    return TIMES.wheels_on * (end["wheels"] == "off") + TIMES.lower_car * up + again


@st.composite
def lifted_routes(draw: st.DrawFn) -> Route:
    """Up to six stations, one check each, with nothing said of the engine and of what is first."""
    route = draw(strategies.walkable_routes())
    stations = [
        replace(
            station,
            needs=tuple((p, v) for p, v in station.needs if p != "engine"),
            after=None,
            checks=(Check(f"c{k}", f"c{k}"),),
        )
        for k, station in enumerate(route.stations[:6])
    ]
    return replace(route, stations=tuple(stations), order=Order.AS_WRITTEN)


@given(lifted_routes(), st.sampled_from(["open", "shut"]))
@settings(deadline=None)
def test_no_way_round_what_is_left_is_shorter(route: Route, bonnet: str) -> None:
    """From a car that is up with its wheels off any order is allowed, so that all are tried."""
    walk = Told(route, route.stations)
    state = {"car": "raised", "wheels": "off", "bonnet": bonnet, "boot": "shut", "engine": "cold"}
    walk.stand(state)
    for check in walk.sequence[:-1]:
        walk.aside(check)
    walk.answer(walk.sequence[-1])
    if len(walk.sequence) == 1:
        assert walk.round is None
        return
    led = walk.round
    assert led is not None
    assert led.begins
    assert led.planned

    def seconds(order: Sequence[Station], outline: Outline = route.outline) -> float:
        way = along(led.begin, order, outline)
        return way.seconds + ending(state, way.changes)

    best = min(seconds(order) for order in permutations(led.stations))
    assert seconds(led.stations) == pytest.approx(best, abs=0.01)
