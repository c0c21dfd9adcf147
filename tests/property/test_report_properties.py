"""What must hold of the plan, the pace, the ranking and wrapped text, whatever they are given."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import strategies
from hypothesis import example, given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from checkrun.report.glyphs import ASCII, UNICODE
from checkrun.report.pace import Pace
from checkrun.report.plan import Drawing, Mark, View, view_of
from checkrun.route.model import (
    Check,
    Cost,
    Group,
    Order,
    Outline,
    Place,
    Result,
    Route,
    Severity,
    Station,
    Years,
)
from checkrun.screens.widgets.painted import printable, wrap
from checkrun.session.drafts import Drafts
from checkrun.session.events import Event, Kind
from checkrun.session.fold import Walk
from checkrun.weigh.findings import findings, not_examined

START = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)

# The plan

_metres = st.floats(-30, 30)
_measures = st.floats(0.001, 10)


@st.composite
def outlines(draw: st.DrawFn) -> Outline:
    """Any car that a route may describe: all above zero, the axles within the length."""
    wheelbase, front, rear = draw(st.tuples(_measures, _measures, _measures))
    return Outline(wheelbase + front + rear, draw(_measures), wheelbase, front)


@st.composite
def placed_stations(draw: st.DrawFn) -> list[tuple[Station, Mark]]:
    """Stations anywhere, each with how it stands."""
    count = draw(st.integers(0, 6))
    return [
        (
            Station(str(k), str(k), Place(*draw(st.tuples(_metres, _metres, _metres))), needs),
            draw(st.sampled_from(Mark)),
        )
        for k, needs in enumerate(draw(strategies.needs) for _ in range(count))
    ]


sizes = st.integers(1, 40)


@given(outlines(), placed_stations(), st.sampled_from(View), sizes, sizes, st.booleans())
@example(Outline(4.1, 1.68, 2.45, 0.72), [], View.ABOVE, 1, 1, False)
def test_a_plan_of_any_size_has_its_rows_and_columns_and_loses_no_weighty_mark(
    outline: Outline,
    placed: list[tuple[Station, Mark]],
    view: View,
    rows: int,
    columns: int,
    plain: bool,
) -> None:
    stand = {station.id: mark for station, mark in placed}
    stations = [station for station, _ in placed]
    glyphs = ASCII if plain else UNICODE
    grid = Drawing(outline, stations, view, rows, columns, glyphs).marked(lambda s: stand[s.id])
    assert len(grid) == rows
    assert [len(cells) for cells in grid] == [columns] * rows
    assert all(len(character) == 1 for cells in grid for character, _ in cells)
    seen = [role for cells in grid for _, role in cells if role.startswith("at-")]
    here = [stand[s.id].value for s in stations if view_of(s, outline) is view]
    assert bool(seen) == bool(here)
    assert {role.removeprefix("at-") for role in seen} <= set(here)
    # The weightiest of all is hidden by none.
    ranks = ["you", "next", "fail", "concern", "open", "done"]
    assert not here or f"at-{min(here, key=ranks.index)}" in seen


@given(outlines(), _metres, _metres, sizes, sizes)
def test_the_view_from_below_is_the_mirror_of_the_one_from_above(
    outline: Outline, x: float, y: float, rows: int, columns: int
) -> None:
    found = {}
    for needs, view in (((("bonnet", "open"),), View.ABOVE), ((("car", "raised"),), View.BELOW)):
        station = Station("a", "A", Place(x, y, 0), needs)
        grid = Drawing(outline, [station], view, rows, columns, UNICODE).marked(lambda _: Mark.YOU)
        (found[view],) = (
            (row, column)
            for row, cells in enumerate(grid)
            for column, cell in enumerate(cells)
            if cell[1] == "at-you"
        )
    assert found[View.ABOVE][0] == found[View.BELOW][0]
    # A place on the edge between two cells may be rounded either way.
    above, below, middle = found[View.ABOVE][1], found[View.BELOW][1], (columns - 1) / 2
    assert abs(above + below - 2 * middle) <= 1
    if y < 0:
        assert above - 0.5 <= middle <= below + 0.5
    if y > 0:
        assert below - 0.5 <= middle <= above + 0.5


# The pace

NAMES = "abcdefgh"


def paced_route(names: str) -> Route:
    """A route of two stations over these checks, each with usual minutes of its own."""
    checks = [Check(c, c, minutes=Decimal(ord(c) - 96) / 10) for c in names]
    half = (len(checks) + 1) // 2
    stations = tuple(
        Station(str(k), str(k), Place(0, 0, 0), checks=tuple(part))
        for k, part in enumerate((checks[:half], checks[half:]))
        if part
    )
    return Route(
        "made",
        "Made",
        Years(1966, 1966),
        strategies.OUTLINE,
        order=Order.AS_WRITTEN,
        stations=stations,
    )


_names = st.sampled_from(NAMES)
steps = st.one_of(
    st.tuples(st.just("answer"), _names, st.sampled_from([r.value for r in Result])),
    st.tuples(st.sampled_from(["note", "measure", "aside", "move"]), _names),
    st.tuples(st.sampled_from(["undo", "undo", "redo", "state", "sign", "look"])),
    st.tuples(st.just("route"), st.sets(_names, min_size=1).map(sorted).map("".join)),
)
gaps = st.sampled_from([-60, 0, 1, 20, 599, 600, 601, 86400]).map(lambda s: timedelta(seconds=s))


def happen(walk: Walk, step: tuple[Any, ...], at: datetime) -> None:
    """One more event of the walk, if the step calls for one."""
    name, *rest = step
    made: dict[str, tuple[Kind, dict[str, Any]]] = {
        "note": (Kind.NOTED, {"text": "x"}),
        "measure": (Kind.MEASURED, {"text": "1", "unit": ""}),
        "aside": (Kind.SET_ASIDE, {}),
        "move": (Kind.MOVED, {}),
        "answer": (Kind.ANSWERED, {"result": rest[-1] if rest else ""}),
        "undo": (Kind.UNDONE, {"group": walk.can_undo}),
        "redo": (Kind.REDONE, {"group": walk.can_redo}),
        "state": (Kind.STATE_CONFIRMED, {"part": "car", "value": "raised"}),
        "sign": (Kind.SIGNED, {"name": "Ines"}),
        "route": (Kind.ROUTE_TAKEN, {"route_sha": ""}),
    }
    kind, data = made[name]
    if data.get("group", 1) is None:
        return
    if name in ("note", "measure", "aside", "move", "answer"):
        data["check"] = rest[0]
    n = len(walk.events) + 1
    walk.apply(Event(n, at, kind, data, n))
    if name == "route":
        route = paced_route(rest[0])
        walk.take_route(route, route.stations)


@settings(deadline=None)
@given(st.lists(st.tuples(steps, gaps), max_size=40), st.integers(0, 40))
def test_the_pace_equals_a_recount_after_whatever_happened(
    done: list[tuple[tuple[Any, ...], timedelta]], joined: int
) -> None:
    route = paced_route(NAMES)
    walk = Walk(route, route.stations)
    paces = [Pace(walk)]
    at = START
    for place, (step, gap) in enumerate(done):
        if place == joined:
            paces.append(Pace(walk))
        at += gap
        if step[0] == "look":
            paces[0].minutes_to_go()
            continue
        happen(walk, step, at)
    moments = [event.at for event in walk.events]
    seconds = [(b - a).total_seconds() for a, b in pairwise(moments)]
    spent = sum(s for s in seconds if 0 < s <= 600)
    to_go = sum(
        (ord(c) - 96) / 10
        for station in walk.stations
        for c in (check.id for check in station.checks)
        if walk.state(c).answer is None
    )
    for pace in paces:
        assert pace.spent().total_seconds() == spent
        assert pace.minutes_to_go() == pytest.approx(to_go)


# The ranking

#: The classes of Directive 2014/45/EU, the worst first; within one, what costs most to put right
#: (common practice).
CLASSES = ("dangerous", "major", "minor")
GROUPS = ("structure", "safety", "identity", "body", "mechanical", "trim")

_amounts = st.sampled_from(["0", "0.1", "1", "2.5", "80", "160"]).map(Decimal)
_costs = st.none() | st.builds(
    lambda hours, parts: Cost(
        (Decimal(0), hours, Decimal(500)), (Decimal(0), parts, Decimal(9999))
    ),
    _amounts,
    _amounts,
)
_rows = st.tuples(
    st.sampled_from(Severity), st.sampled_from(Group), _costs, st.none() | st.sampled_from(Result)
)


def ranked_walk(rows: list[tuple[Severity, Group, Cost | None, Result | None]]) -> Walk:
    checks = tuple(
        Check(f"c{k}", f"C{k}", severity=severity, group=group, cost=cost)
        for k, (severity, group, cost, _) in enumerate(rows)
    )
    cut = len(checks) // 2
    stations = tuple(
        Station(name, name, Place(0, 0, 0), checks=part)
        for name, part in (("first", checks[:cut]), ("second", checks[cut:]))
        if part
    )
    route = Route(
        "r", "R", Years(1966, 1966), strategies.OUTLINE, order=Order.AS_WRITTEN, stations=stations
    )
    walk = Walk(route, stations)
    for k, row in reversed(list(enumerate(rows))):
        if row[3] is not None:
            n = len(walk.events) + 1
            data = {"check": f"c{k}", "result": row[3].value}
            walk.apply(Event(n, START, Kind.ANSWERED, data, n))
    return walk


def price(cost: Cost | None) -> Fraction:
    """Likely hours at 80 and likely parts."""
    return Fraction(0) if cost is None else 80 * Fraction(cost.hours[1]) + Fraction(cost.parts[1])


def told_slowly(
    rows: list[tuple[Severity, Group, Cost | None, Result | None]], wanted: tuple[str, ...]
) -> list[str]:
    """The ids in order, found by going through every class, group and result in turn."""
    order: list[str] = []
    for severity in CLASSES:
        for group in GROUPS:
            for result in wanted:
                left = [
                    (k, price(row[2]))
                    for k, row in enumerate(rows)
                    if row[3] is not None
                    and (row[0].value, row[1].value, row[3].value) == (severity, group, result)
                ]
                while left:
                    dearest = max(cost for _, cost in left)
                    first = next(item for item in left if item[1] == dearest)
                    left.remove(first)
                    order.append(f"c{first[0]}")
    return order


@given(st.lists(_rows, max_size=14))
def test_findings_stand_in_the_order_of_a_sort_written_otherwise(rows: list[Any]) -> None:
    walk = ranked_walk(rows)
    found = [finding.check.id for finding in findings(walk)]
    assert found == told_slowly(rows, ("fail", "concern"))
    unseen = [finding.check.id for finding in not_examined(walk)]
    assert unseen == told_slowly(rows, ("not-examined",))


@given(st.lists(_rows, max_size=14))
def test_each_finding_names_the_first_rule_in_which_it_differs_from_the_one_above(
    rows: list[Any],
) -> None:
    told = findings(ranked_walk(rows))
    for above, here in pairwise(told):
        severity, group = here.check.severity.value, here.check.group.value
        why = here.why_here
        if above.check.severity is not here.check.severity:
            assert why.startswith(f"{severity} comes after {above.check.severity.value};")
        elif above.check.group is not here.check.group:
            assert why.endswith(f"but {group} comes after {above.check.group.value}")
        elif above.result is not here.result:
            assert why.endswith("but a concern comes after a fail")
        elif price(above.check.cost) != price(here.check.cost):
            assert why.endswith("but it is likely to cost less to put right")
        else:
            assert why.endswith("; it comes later on the walk")
    if told:
        first = told[0].check
        assert told[0].why_here == (
            f"first: the worst class here is {first.severity.value}, "
            f"and {first.group.value} leads in it"
        )


# Wrapped text

_signs = st.sampled_from(
    ["a", "b", "-", " ", " ", "  ", "漢", "é", "e\u0301", "❤\ufe0f", "\n", "\t"]
)
_texts = st.lists(_signs, max_size=40).map("".join) | st.text(max_size=40)


def letters(text: str) -> str:
    return "".join(text.split())


@given(_texts, st.integers(-2, 24), st.integers(0, 30))
@example("❤\ufe0f" * 8, 10, 0)
@example("漢字 漢字漢字", 4, 3)
@example("reading", 8, 4)
def test_no_line_is_too_wide_and_nothing_of_the_text_is_lost(
    text: str, width: int, taken: int
) -> None:
    lines = wrap(text, width, taken)
    width = max(width, 1)
    taken = min(taken, width - 1)
    assert lines
    for number, line in enumerate(lines):
        used = cell_len(line) + (0 if number else taken)
        # One sign that is wider than the line itself can't be made to fit.
        assert used <= width or (width == 1 and cell_len(line) == 2), (line, used)
    assert letters("".join(lines)) == letters(printable(text))


@given(
    st.lists(st.text("abc漢é", min_size=1, max_size=6), min_size=1),
    st.integers(12, 30),
    st.integers(0, 30),
)
def test_words_that_fit_are_kept_whole_and_in_order(
    words: list[str], width: int, taken: int
) -> None:
    # Six signs of two cells at most: every word fits into a line.
    lines = wrap(" ".join(words), width, taken)
    assert [word for line in lines for word in line.split(" ") if word] == words
    # And none could have stood in the line before.
    for number, (before, line) in enumerate(pairwise(lines)):
        used = cell_len(before) + (0 if number else min(taken, width - 1))
        gap = 1 if before else 0
        assert used + gap + cell_len(line.split(" ")[0]) > width


@given(_texts)
def test_line_breaks_and_blanks_of_the_text_are_kept(text: str) -> None:
    lines = [printable(line) for line in text.splitlines() or [""]]
    assert wrap(text, 1000) == lines


# Drafts


@given(st.binary(max_size=60) | st.text(max_size=60).map(str.encode))
@example(b"[" * 100_000)
@example(b"9" * 5000)
@example(b'{"s/note/a": "kept", "s/note/b": 3}')
def test_a_file_of_drafts_may_hold_anything(payload: bytes) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / ".drafts.json").write_bytes(payload)
        drafts = Drafts(folder)
        assert drafts.get("s", "note", "a") in (None, "kept")
        drafts.keep("s", "note", "a", "new")
        assert Drafts(folder).get("s", "note", "a") == "new"
