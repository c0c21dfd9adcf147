"""The plan: where marks stand, which view shows them, and which of several shows.

Positions follow the axes of ISO 4130 (x rearwards, y to the right, z up), named here from memory.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any

import pytest

from checkrun.report.glyphs import ASCII, UNICODE
from checkrun.report.plan import Cell, Drawing, Mark, View, marker, view_of
from checkrun.route.model import Check, Outline, Place, Route, Station

OUTLINE = Outline(length=4.0, width=1.6, wheelbase=2.4, front_overhang=0.8)
#: At 21 rows the car's 4.0 m and 0.55 m of room at either end fill 20 steps of two cell widths:
#: 5.1 m / 20 = 0.255 m a row, 0.1275 m a column. The middle of the car is at x 1.2.
ROWS, COLUMNS, ROW, COLUMN = 21, 41, 0.255, 0.1275
MIDDLE = (10, 20)

Grid = list[list[Cell]]


def station(name: str, x: float, y: float, *, below: bool = False) -> Station:
    needs = (("car", "raised"),) if below else ()
    return Station(name, name, Place(x, y, 0.5), needs, checks=(Check(name, name),))


def marks(grid: Grid) -> dict[tuple[int, int], str]:
    return {
        (row, column): role.removeprefix("at-")
        for row, cells in enumerate(grid)
        for column, (_, role) in enumerate(cells)
        if role.startswith("at-")
    }


def shown(stations: list[Station], view: View, mark: Mark = Mark.OPEN) -> dict[Any, str]:
    return marks(Drawing(OUTLINE, stations, view, ROWS, COLUMNS, UNICODE).marked(lambda _: mark))


def letters(view: View) -> dict[str, int]:
    grid = Drawing(OUTLINE, [], view, ROWS, COLUMNS, UNICODE).marked(lambda _: Mark.OPEN)
    return {
        character: column
        for cells in grid
        for column, (character, role) in enumerate(cells)
        if role == "plan-letter"
    }


# Where


@pytest.mark.parametrize(
    ("x", "y", "cell"),
    [
        (1.2, 0.0, MIDDLE),
        (1.2 + 4 * ROW, 0.0, (14, 20)),
        (1.2 - 8 * ROW, 0.0, (2, 20)),
        (1.2, -8 * COLUMN, (10, 12)),
        (1.2, 8 * COLUMN, (10, 28)),
        (1.2 + 2 * ROW, 5 * COLUMN, (12, 25)),
        # Far off the plan: at its edge, not lost.
        (-30.0, -30.0, (0, 0)),
        (30.0, 30.0, (20, 40)),
    ],
)
def test_a_mark_stands_at_its_place_seen_from_above(
    x: float, y: float, cell: tuple[int, int]
) -> None:
    outside = Station("here", "Here", Place(x, y, 0.5), checks=(Check("a", "a"),))
    assert shown([outside], View.ABOVE) == {cell: "open"}


@pytest.mark.parametrize(
    ("y", "above", "below"),
    [(-6 * COLUMN, 14, 26), (-3 * COLUMN, 17, 23), (0.0, 20, 20), (6 * COLUMN, 26, 14)],
)
def test_left_is_left_from_above_and_right_from_below(y: float, above: int, below: int) -> None:
    assert list(shown([station("a", 1.2, y)], View.ABOVE)) == [(10, above)]
    assert list(shown([station("a", 1.2, y, below=True)], View.BELOW)) == [(10, below)]


def test_the_letters_beside_the_car_are_mirrored_from_below() -> None:
    # The sides are 0.8 + 0.35 m from the middle: 9 columns of 0.1275 m.
    assert letters(View.ABOVE) == {"L": 11, "R": 29}
    assert letters(View.BELOW) == {"L": 29, "R": 11}


@pytest.mark.parametrize("view", View)
def test_the_car_fills_its_box_and_nothing_but_letters_stands_outside(view: View) -> None:
    grid = Drawing(OUTLINE, [], view, ROWS, COLUMNS, UNICODE).marked(lambda _: Mark.OPEN)
    # 4.0 m from row 2.16 to 17.84, 1.6 m from column 13.7 to 26.3.
    assert ["".join(c for c, _ in grid[row][14:27]) for row in (2, 18)] == [
        "╭───────────╮",
        "╰───────────╯",
    ]
    outside = {
        role
        for row, cells in enumerate(grid)
        for column, (_, role) in enumerate(cells)
        if not (2 <= row <= 18 and 14 <= column <= 26)
    }
    assert outside == {"plan", "plan-letter"}


@pytest.mark.parametrize("view", View)
def test_four_wheels_stand_at_the_axles(view: View) -> None:
    grid = Drawing(OUTLINE, [], view, ROWS, COLUMNS, UNICODE).marked(lambda _: Mark.OPEN)
    wheels = [
        (row, column)
        for row, cells in enumerate(grid)
        for column, (character, _) in enumerate(cells)
        if character == UNICODE.wheel
    ]
    # The axles are at x 0 and 2.4: 1.2 m, or 4.7 rows, before and behind the middle.
    assert wheels == [(5, 14), (5, 26), (15, 14), (15, 26)]


# In which view


@pytest.mark.parametrize(
    ("needs", "view"),
    [
        ((), View.ABOVE),
        ((("car", "down"), ("engine", "running")), View.ABOVE),
        ((("bonnet", "open"),), View.ABOVE),
        ((("car", "raised"),), View.BELOW),
        ((("wheels", "off"),), View.BELOW),
        ((("car", "raised"), ("bonnet", "open")), View.BELOW),
    ],
)
def test_what_is_done_underneath_is_seen_from_below(
    needs: tuple[tuple[str, str], ...], view: View
) -> None:
    here = Station("a", "A", Place(1.2, 0, 0.3), needs)
    assert view_of(here, OUTLINE) is view
    other = View.ABOVE if view is View.BELOW else View.BELOW
    assert len(shown([here], view)) == 1
    assert shown([here], other) == {}


# How


@pytest.mark.parametrize(
    ("first", "second"),
    itertools.combinations(["you", "next", "fail", "concern", "open", "done"], 2),
)
def test_of_two_marks_in_one_cell_the_weightier_shows(first: str, second: str) -> None:
    stations = [station("a", 1.2, 0), station("b", 1.2, 0)]
    for names in ((first, second), (second, first)):
        stand = dict(zip("ab", map(Mark, names), strict=True))
        drawing = Drawing(OUTLINE, stations, View.ABOVE, ROWS, COLUMNS, UNICODE)
        grid = drawing.marked(lambda s, stand=stand: stand[s.id])
        assert marks(grid) == {MIDDLE: first}
        assert grid[10][20][0] == UNICODE.station[first]


def test_marks_can_be_drawn_anew_without_leaving_old_ones_behind() -> None:
    drawing = Drawing(OUTLINE, [station("a", 1.2, 0)], View.ABOVE, ROWS, COLUMNS, ASCII)
    assert drawing.marked(lambda _: Mark.YOU)[10][20] == ("@", "at-you")
    assert drawing.marked(lambda _: Mark.DONE)[10][20] == ("+", "at-done")


def test_a_plain_terminal_gets_plain_characters() -> None:
    stations = [station("a", 1.2, 0), station("b", 2.0, 0.5), station("c", 1, 0, below=True)]
    for view, mark in itertools.product(View, Mark):
        grid = Drawing(OUTLINE, stations, view, ROWS, COLUMNS, ASCII).marked(lambda _, m=mark: m)
        assert "".join(character for cells in grid for character, _ in cells).isascii()


# How each station of a walk stands


def standing(walk: Any, here: str) -> dict[str, str]:
    by_id = {found.id: found for found in walk.stations}
    mark = marker(walk, by_id[here])
    return {name: mark(found).value for name, found in by_id.items()}


def test_next_is_the_first_station_ahead_with_something_open(told: Any) -> None:
    assert standing(told.walk, "nose") == {
        "nose": "you",
        "left-door": "next",
        "under-frame": "open",
        "bay-running": "open",
    }
    told.answer("sill-left", "pass")
    told.answer("frame-kink", "fail")
    assert standing(told.walk, "nose") == {
        "nose": "you",
        "left-door": "done",
        "under-frame": "fail",
        "bay-running": "next",
    }


def test_next_goes_round_to_what_was_left_open_behind(told: Any) -> None:
    told.answer("lamp-left", "concern")
    told.answer("frame-kink", "pass")
    # By the door 1.2 + 4.0 m, by the nose 2.8 + 4.0 m.
    assert standing(told.walk, "bay-running") == {
        "nose": "concern",
        "left-door": "next",
        "under-frame": "done",
        "bay-running": "you",
    }


def test_next_is_where_the_round_of_what_is_left_leads_from_here(told: Any) -> None:
    """Nothing is fresh ahead of the bay, and all that is left can be done once the car is up."""
    assert standing(told.walk, "bay-running")["under-frame"] == "next"
    assert told.walk.next_after(told.walk.stations[-1].checks[-1].id) == "frame-kink"


def test_a_fail_outranks_a_concern_and_both_what_is_open(told: Any) -> None:
    told.answer("lamp-left", "concern")
    assert standing(told.walk, "left-door")["nose"] == "concern"
    told.answer("bonnet-gap", "fail")
    assert standing(told.walk, "left-door")["nose"] == "fail"


def test_when_all_is_answered_nothing_is_next(plover: Route, tell: Callable[[Route], Any]) -> None:
    told = tell(plover)
    for check in told.walk.sequence:
        told.answer(check, "not-examined", "no time")
    assert standing(told.walk, "nose") == {
        "nose": "you",
        "left-door": "done",
        "under-frame": "done",
        "bay-running": "done",
    }
