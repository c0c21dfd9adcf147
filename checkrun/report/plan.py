"""The car seen from above and from below, drawn from the stations' coordinates.

Rows of cells, each with the role that decides its colour. The nose is at the top. Seen from above
the car's left side is on the left; seen from below, lying with the head to the nose and looking
up, it is on the right.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

from checkrun.report.glyphs import Glyphs
from checkrun.route.model import Outline, Place, Station
from checkrun.route.order import Zone, zone
from checkrun.session.fold import Walk


class View(Enum):
    """From where the car is seen."""

    ABOVE = "from above"
    BELOW = "from below"


class Mark(Enum):
    """How a station stands; where several share a cell the first of these shows."""

    YOU = "you"
    NEXT = "next"
    FAIL = "fail"
    CONCERN = "concern"
    OPEN = "open"
    DONE = "done"


_RANK = {mark: rank for rank, mark in enumerate(Mark)}
#: One cell: its character and the role that decides its colour.
Cell = tuple[str, str]

#: Room kept round the outline for stations beside the car, metres.
_MARGIN = 0.55


@dataclass(frozen=True, slots=True)
class Scale:
    """Metres to cells. A cell is taken to be twice as high as wide."""

    view: View
    left: float
    top: float
    step: float

    def cell(self, place: Place) -> tuple[int, int]:
        """Row and column of a place."""
        y = place.y if self.view is View.ABOVE else -place.y
        return round((place.x - self.top) / (2 * self.step)), round((y - self.left) / self.step)


def view_of(station: Station, outline: Outline) -> View:
    """The view in which a station is drawn."""
    return View.BELOW if zone(station, outline) is Zone.UNDERNEATH else View.ABOVE


def fit(outline: Outline, view: View, rows: int, columns: int) -> Scale:
    """The largest scale at which the car and what stands beside it fit, in the middle."""
    width, length = outline.width + 2 * _MARGIN, outline.length + 2 * _MARGIN
    step = max(width / max(columns - 1, 1), length / (2 * max(rows - 1, 1)))
    left = -step * (columns - 1) / 2
    centre = (outline.front + outline.rear) / 2
    top = centre - step * (rows - 1)
    return Scale(view, left, top, step)


class Drawing:
    """One view of a car at one size; all but the marks is worked out once.

    Args:
        outline: The car's box.
        stations: All stations; those of the other view are left out.
        view: From where the car is seen.
        rows: Height in cells, at least 1.
        columns: Width in cells, at least 1.
        glyphs: The characters to draw with.
    """

    def __init__(
        self,
        outline: Outline,
        stations: Sequence[Station],
        view: View,
        rows: int,
        columns: int,
        glyphs: Glyphs,
    ) -> None:
        scale = fit(outline, view, rows, columns)
        self._glyphs = glyphs
        self._blank: list[list[Cell]] = [[(" ", "plan")] * columns for _ in range(rows)]
        _draw_car(self._blank, outline, scale, glyphs)
        _draw_letters(self._blank, outline, scale)
        self._stations: dict[tuple[int, int], list[Station]] = {}
        for station in stations:
            if view_of(station, outline) is view:
                row, column = scale.cell(station.place)
                cell = (min(max(row, 0), rows - 1), min(max(column, 0), columns - 1))
                self._stations.setdefault(cell, []).append(station)

    def marked(self, mark: Callable[[Station], Mark]) -> list[list[Cell]]:
        """The rows of cells with the stations as they stand."""
        grid = [list(row) for row in self._blank]
        for (row, column), stations in self._stations.items():
            found = min(map(mark, stations), key=_RANK.__getitem__)
            grid[row][column] = (self._glyphs.station[found.value], f"at-{found.value}")
        return grid


def _draw_car(grid: list[list[Cell]], outline: Outline, scale: Scale, glyphs: Glyphs) -> None:
    half = outline.width / 2
    top, left = scale.cell(Place(outline.front, half if scale.view is View.BELOW else -half, 0))
    bottom, right = scale.cell(Place(outline.rear, -half if scale.view is View.BELOW else half, 0))
    box = glyphs.box
    for column in range(left + 1, right):
        _put(grid, top, column, box.across)
        _put(grid, bottom, column, box.across)
    for row in range(top + 1, bottom):
        _put(grid, row, left, box.down)
        _put(grid, row, right, box.down)
    for row, column, corner in (
        (top, left, box.top_left),
        (top, right, box.top_right),
        (bottom, left, box.bottom_left),
        (bottom, right, box.bottom_right),
    ):
        _put(grid, row, column, corner)
    for axle in (0.0, outline.wheelbase):
        row, _ = scale.cell(Place(axle, 0, 0))
        if scale.view is View.BELOW:
            for column in range(left + 1, right):
                _put(grid, row, column, box.faint)
        _put(grid, row, left, glyphs.wheel)
        _put(grid, row, right, glyphs.wheel)
    if scale.view is View.ABOVE:
        _draw_cabin(grid, outline, scale, (left, right), glyphs)


def _draw_cabin(
    grid: list[list[Cell]],
    outline: Outline,
    scale: Scale,
    sides: tuple[int, int],
    glyphs: Glyphs,
) -> None:
    """Where bonnet and boot meet the cabin, roughly: a help to find one's way, not a measure."""
    for share in (0.28, 0.85):
        row, _ = scale.cell(Place(outline.wheelbase * share, 0, 0))
        for column in range(sides[0] + 1, sides[1]):
            _put(grid, row, column, glyphs.box.faint)


def _draw_letters(grid: list[list[Cell]], outline: Outline, scale: Scale) -> None:
    """L and R beside the car at its middle, so that nobody mistakes the view."""
    beyond = outline.width / 2 + 0.35
    middle = (outline.front + outline.rear) / 2
    for letter, y in (("L", -beyond), ("R", beyond)):
        row, column = scale.cell(Place(middle, y, 0))
        _put(grid, row, column, letter, "plan-letter")


def _put(
    grid: list[list[Cell]], row: int, column: int, character: str, role: str = "plan-car"
) -> None:
    if 0 <= row < len(grid) and 0 <= column < len(grid[0]):
        grid[row][column] = (character, role)


def marker(walk: Walk, here: Station) -> Callable[[Station], Mark]:
    """How each station of a walk stands while the person is at one of them."""
    ahead = walk.next_station(here)

    def mark(station: Station) -> Mark:
        if station is here:
            return Mark.YOU
        if station is ahead:
            return Mark.NEXT
        counts = walk.station_counts(station.id)
        if counts.fail:
            return Mark.FAIL
        if counts.concern:
            return Mark.CONCERN
        return Mark.OPEN if counts.open else Mark.DONE

    return mark
