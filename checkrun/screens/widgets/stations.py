"""The stations of a walk in walking order, for screens wide enough to hold them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from checkrun.report.glyphs import Glyphs
from checkrun.report.plan import Mark
from checkrun.route.model import Station
from checkrun.screens.widgets.painted import Painted, Runs
from checkrun.session.fold import Counts


class Stations(Painted):
    """One row a station: how it stands, its name, and how many of its checks are done."""

    def __init__(self, glyphs: Glyphs, *, id: str = "stations") -> None:
        super().__init__(id=id)
        self._glyphs = glyphs
        self._stations: Sequence[Station] = ()
        self._counts: Callable[[str], Counts] | None = None
        self._mark: Callable[[Station], Mark] | None = None
        self._here = 0

    def show(
        self,
        stations: Sequence[Station],
        here: int,
        counts: Callable[[str], Counts],
        mark: Callable[[Station], Mark],
    ) -> None:
        """Show the stations with the present one in sight."""
        self._stations, self._here, self._counts, self._mark = stations, here, counts, mark
        self.change()

    def make(self, width: int, height: int) -> Iterable[Runs]:
        """As many stations as fit, the present one in sight."""
        if self._counts is None or self._mark is None:
            return []
        most = max(0, len(self._stations) - height)
        top = min(max(0, self._here - height // 2), most)
        rows = []
        for station in self._stations[top : top + height]:
            counts, mark = self._counts(station.id), self._mark(station)
            tail = f"{counts.answered}/{counts.total}"
            title = station.title[: width - len(tail) - 4]
            glyph = self._glyphs.station[mark.value]
            here = mark is Mark.YOU
            line = f"{title:{width - len(tail) - 4}} {tail} "
            rows.append([(f"{glyph} ", f"at-{mark.value}"), (line, "ask" if here else "quiet")])
        return rows
