"""The first line of the walk: where, how far, how long, which car."""

from __future__ import annotations

from collections.abc import Iterable

from checkrun.report.pace import Pace
from checkrun.route.model import Station
from checkrun.screens.widgets.painted import Painted, Runs
from checkrun.session.fold import Walk


class Headline(Painted):
    """Station, progress and time; the car's name where there is room."""

    DEFAULT_CSS = "Headline { background: $panel; }"

    def __init__(self, *, id: str = "headline") -> None:
        super().__init__(id=id)
        self._source: tuple[Walk, Station, Pace, tuple[str, str]] | None = None

    def show(self, walk: Walk, station: Station, pace: Pace, bar: tuple[str, str]) -> None:
        """Show a walk standing at a station.

        Args:
            walk: The walk.
            station: Where the person is.
            pace: The walk's clock.
            bar: The full and the empty cell of the progress bar.
        """
        self._source = (walk, station, pace, bar)
        self.change()

    def make(self, width: int, height: int) -> Iterable[Runs]:
        """The one row, shorter where the width is less."""
        if self._source is None:
            return []
        walk, station, pace, bar = self._source
        counts = walk.counts
        roomy = width >= 84
        cells = 20 if roomy else 8
        done = cells * counts.answered // max(counts.total, 1)
        minutes = pace.spent().total_seconds() / 60
        row = [
            (f" {walk.station_index[station.id] + 1}/{len(walk.stations)} ", "here"),
            (f" {station.title} ", "title"),
            (f" {counts.answered}/{counts.total} ", "text"),
            (bar[0] * done, "done-bar"),
            (bar[1] * (cells - done), "quiet"),
            (f" {minutes:.0f} min, ~{pace.minutes_to_go():.0f} to go", "quiet"),
        ]
        if roomy:
            name = walk.facts.get("serial") or walk.route.title
            row.append((f"  {walk.year} {name}", "quiet"))
        return [row]
