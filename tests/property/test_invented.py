"""Dry runs of every shipped route: the same each time, in order, and walked to the end."""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import cache
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import model_routes, walkable_routes

from checkrun import locations
from checkrun.judge.atcheck import judge_at
from checkrun.judge.invented import dry_session, enter, invent, invented_facts, middle_year
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.facts import fact_problem
from checkrun.route.model import Result, Route
from checkrun.route.tailor import as_walked
from checkrun.session.events import Event, Kind
from checkrun.session.fold import Walk
from checkrun.session.store import Store

SHIPPED = sorted(path.stem for path in locations.shipped("checklists").glob("*.yaml"))
DAY = date(2026, 3, 14)
AT = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


@cache
def shipped(name: str) -> Route:
    return Catalog([Folder(locations.shipped("checklists"), "shipped")]).load(name)


def fresh(route: Route, year: int) -> Walk:
    """A walk of a route on an invented car, just begun."""
    facts = invented_facts(route, year)
    route = as_walked(route, year, facts)
    walk = Walk(route, route.stations)
    began = {"route": route.id, "route_sha": "", "year": year, "facts": facts, "program": ""}
    walk.apply(Event(1, AT, Kind.BEGAN, began, 1))
    return walk


@given(data=st.data())
@settings(max_examples=25, deadline=None)
def test_the_same_check_is_answered_the_same_whenever_it_is_asked(data: st.DataObject) -> None:
    route = shipped(data.draw(st.sampled_from(SHIPPED)))
    year = data.draw(st.integers(route.years.first, route.years.last))
    walk, again = fresh(route, year), fresh(route, year)
    checks = data.draw(st.lists(st.sampled_from(walk.sequence), min_size=1, max_size=30))
    first = {check: invent(walk, check, DAY) for check in checks}
    assert {check: invent(again, check, DAY) for check in reversed(checks)} == first


@given(data=st.data())
@settings(max_examples=40, deadline=None)
def test_a_decided_judgement_is_the_invented_result(data: st.DataObject) -> None:
    route = shipped(data.draw(st.sampled_from(SHIPPED)))
    year = data.draw(st.integers(route.years.first, route.years.last))
    walk = fresh(route, year)
    for check in data.draw(st.lists(st.sampled_from(walk.sequence), min_size=1, max_size=20)):
        said = invent(walk, check, DAY)
        judged = judge_at(walk, check, said.reading, DAY)
        assert judged is None or judged["result"] == said.result.value
        assert judged is None or judged["problems"] == []


@given(data=st.data())
@settings(max_examples=60, deadline=None)
def test_invented_answers_to_the_questions_fit_them_in_every_year(data: st.DataObject) -> None:
    route = shipped(data.draw(st.sampled_from(SHIPPED)))
    year = data.draw(st.integers(route.years.first, route.years.last))
    found = invented_facts(route, year)
    for fact in route.facts:
        assert fact_problem(route, fact, found.get(fact.id, "")) == ""


@given(route=walkable_routes() | model_routes)
@settings(max_examples=60, deadline=None)
def test_any_route_can_be_asked_at_every_check(route: Route) -> None:
    walk = fresh(route, middle_year(route))
    for check in walk.sequence:
        said = invent(walk, check, DAY)
        assert bool(said.why) == (said.result is Result.NOT_EXAMINED)


@pytest.mark.parametrize("name", SHIPPED)
def test_every_shipped_route_is_walked_to_its_end(name: str) -> None:
    catalog = Catalog([Folder(locations.shipped("checklists"), "shipped")])
    with TemporaryDirectory() as folder:
        session = dry_session(Store(Path(folder), lambda: AT), catalog, name, None)
        assert session is not None
        with session:
            walk = session.walk
            asked = 0
            for _ in count():
                if not walk.counts.open:
                    break
                said = invent(walk, walk.at, DAY)
                asked += 1
                if said.aside and not walk.state(walk.at).aside and walk.next_after(walk.at):
                    session.set_aside(walk.at)
                else:
                    enter(session, walk.at, said, DAY)
            assert asked <= 2 * walk.counts.total
            counts = walk.counts
            assert counts.pass_ > counts.total / 2
            assert counts.concern
            assert counts.fail
            measured = [c for c in walk.sequence if walk.route.checks[c].reading is not None]
            read = [c for c in measured if walk.state(c).reading]
            looked = [c for c in measured if invent(walk, c, DAY).result is not Result.NOT_EXAMINED]
            assert len(read) >= 0.85 * len(looked)
            for check in read:
                state = walk.state(check)
                assert state.judged is not None
                assert state.answer is not None
                assert state.judged["result"] == state.answer.result.value
