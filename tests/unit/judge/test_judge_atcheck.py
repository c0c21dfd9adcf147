"""What a session keeps of a reading: the judgement beside the line as it was typed."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checkrun import locations
from checkrun.cli import run
from checkrun.judge.atcheck import judge_at, outcome_of, unit_at
from checkrun.judge.judgement import Outcome
from checkrun.report.summary import as_data
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Result
from checkrun.route.order import walk_order
from checkrun.route.tailor import as_walked
from checkrun.session.events import Event, Kind
from checkrun.session.fold import Walk
from checkrun.session.store import Store

TODAY = date(2026, 3, 14)
CATALOG = Catalog([Folder(locations.shipped("checklists"), "shipped")])


def walk_of(name: str, year: int) -> Walk:
    route = as_walked(CATALOG.for_year(name, year), year, {})
    walk = Walk(route, walk_order(route))
    data = {
        "route": name,
        "route_sha": "",
        "year": year,
        "program": "",
        "facts": {"serial": "PL6-02417"},
    }
    walk.apply(Event(1, datetime(2026, 3, 14, 9, tzinfo=UTC), Kind.BEGAN, data, 1))
    return walk


PLOVER = walk_of("plover", 1966)
READINGS = [name for name, check in PLOVER.route.checks.items() if check.reading is not None]


def test_every_reading_of_the_plover_says_what_it_misses_or_means() -> None:
    for name in READINGS:
        judged = judge_at(PLOVER, name, "?", TODAY)
        assert judged is not None, name
        assert judged["reasons"] or judged["problems"], name


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(READINGS), st.text(max_size=60) | st.from_regex(r"[-0-9./, ;a-z]{0,30}"))
def test_any_line_at_any_check_is_judged_and_can_be_written_down(name: str, text: str) -> None:
    judged = judge_at(PLOVER, name, text, TODAY)
    if judged is None:
        assert not text.strip()
    else:
        assert json.loads(json.dumps(judged)) == judged
        assert outcome_of(judged) in Outcome


def test_a_check_without_a_reading_and_an_empty_line_are_not_judged() -> None:
    bare = next(n for n, c in PLOVER.route.checks.items() if c.reading is None)
    assert judge_at(PLOVER, bare, "3 mm", TODAY) is None
    assert judge_at(PLOVER, READINGS[0], "  ", TODAY) is None


@pytest.mark.parametrize(("system", "unit"), [("", "mm"), ("metric", "mm"), ("us", "in")])
def test_the_chosen_units_are_those_of_bare_numbers(system: str, unit: str) -> None:
    assert unit_at(PLOVER, "stance", system) == unit


def test_a_bare_number_in_the_chosen_unit_is_judged_as_what_it_is() -> None:
    metric = judge_at(PLOVER, "stance", "1", TODAY)
    inches = judge_at(PLOVER, "stance", "1", TODAY, unit="in")
    assert metric is not None
    assert inches is not None
    # 1 in is 25.4 mm exactly (international inch); the route fails more than 20 mm.
    assert (metric["result"], inches["result"]) == ("pass", "fail")
    assert inches["si"] == {"value": 0.0254}


def test_typed_line_unit_and_judgement_are_on_disk_and_in_the_summary(
    tmp_path: Path, clock: Callable[[], datetime]
) -> None:
    store = Store(tmp_path / "s", clock)
    with store.create(CATALOG.for_year("plover", 1966), 1966, {"serial": "PL6-02417"}) as session:
        judged = judge_at(session.walk, "stance", "25", TODAY)
        session.answer("stance", Result.PASS, why="on a slope", reading="25", judged=judged)
        name = session.id
    with store.open(name, write=False) as again:
        assert again.walk.state("stance").judged == judged
        data = as_data(again)
    assert data["findings"] == []
    (found,) = data["overruled"]
    assert (found["check"], found["result"], found["why"]) == ("stance", "pass", "on a slope")
    assert found["judged"]["result"] == "fail"
    assert store.verify(name) == ()


def test_the_command_tells_the_judgement_and_records_what_the_person_said(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(["begin", "plover", "--year", "1966", "--fact", "serial=PL6-02417"]) == 0
    session = capsys.readouterr().out.strip()
    assert run(["answer", session, "stance", "concern", "--reading", "25 mm", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["result"], told["judged"]["result"]) == ("concern", "fail")
