"""The plan of the car on the walk screen."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import groupby

from checkrun.report.glyphs import Glyphs
from checkrun.report.plan import Drawing, Mark, View
from checkrun.route.model import Outline, Station
from checkrun.screens.widgets.painted import Painted, Runs

#: From this width on both views stand side by side.
_BOTH = 30


class Plan(Painted):
    """The car from above, from below, or both where there is room, with a legend."""

    def __init__(self, glyphs: Glyphs, *, id: str = "plan") -> None:
        super().__init__(id=id)
        self._glyphs = glyphs
        self._outline: Outline | None = None
        self._stations: Sequence[Station] = ()
        self._mark: Callable[[Station], Mark] = lambda station: Mark.OPEN
        self._view = View.ABOVE
        self._drawings: dict[View, tuple[tuple[object, ...], Drawing]] = {}

    def show(
        self,
        outline: Outline,
        stations: Sequence[Station],
        mark: Callable[[Station], Mark],
        view: View,
    ) -> None:
        """Draw the car with its stations.

        Args:
            outline: The car's box.
            stations: All stations.
            mark: How each stands.
            view: Which view to show where there is room for one only.
        """
        self._outline, self._stations, self._mark, self._view = outline, stations, mark, view
        self.change()

    @property
    def both(self) -> bool:
        """Whether there is room for both views."""
        return self.size.width >= _BOTH

    def make(self, width: int, height: int) -> Iterable[Runs]:
        """The views that fit, and the legend if it fits too."""
        if self._outline is None or width < 3 or height < 3:
            return []
        legend = self._legend(width)
        if height < 18:
            legend = []
        rows = height - 1 - len(legend)
        if self.both:
            part = (width - 1) // 2
            above = self._view_rows(View.ABOVE, rows, part)
            below = self._view_rows(View.BELOW, rows, width - 1 - part)
            lines = [[*a, (" ", "plan"), *b] for a, b in zip(above, below, strict=True)]
        else:
            lines = self._view_rows(self._view, rows, width)
        return [*lines, *legend]

    def _view_rows(self, view: View, rows: int, columns: int) -> list[list[tuple[str, str]]]:
        grid = self._drawing(view, rows, columns).marked(self._mark)
        title = [(view.value.center(columns)[:columns], "quiet")]
        return [title, *(_runs(row) for row in grid)]

    def _drawing(self, view: View, rows: int, columns: int) -> Drawing:
        """The view without marks; drawn anew when its size or the route has changed."""
        assert self._outline is not None
        made_of = (self._outline, self._stations, rows, columns)
        kept = self._drawings.get(view)
        if kept is None or any(a is not b for a, b in zip(kept[0], made_of, strict=True)):
            drawing = Drawing(self._outline, self._stations, view, rows, columns, self._glyphs)
            kept = self._drawings[view] = (made_of, drawing)
        return kept[1]

    def _legend(self, width: int) -> list[list[tuple[str, str]]]:
        """What the marks mean, over as many rows as the width asks for."""
        words = {"open": "to do", "done": "done"}
        rows: list[list[tuple[str, str]]] = [[]]
        used = 0
        for mark in Mark:
            text = f" {words.get(mark.value, mark.value)} "
            if used and used + len(text) + 1 > width:
                rows.append([])
                used = 0
            rows[-1] += [(self._glyphs.station[mark.value], f"at-{mark.value}"), (text, "quiet")]
            used += len(text) + 1
        return rows


def _runs(cells: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Neighbouring cells of one role joined to one run."""
    return [
        ("".join(character for character, _ in group), role)
        for role, group in groupby(cells, key=lambda cell: cell[1])
    ]
