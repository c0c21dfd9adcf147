"""What a walk takes, in one row."""

from __future__ import annotations

from collections.abc import Iterable

from checkrun.report.way import Way, cost_words, place_words
from checkrun.screens.widgets.painted import Painted, Runs


class Figures(Painted):
    """What the walk takes, in as many words as fit."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._source: tuple[Way, int] | None = None

    def show(self, walked: Way, at: int) -> None:
        """Show the figures of a walk, standing at one of its stations."""
        self._source = (walked, at)
        self.change()

    def make(self, width: int, height: int) -> Iterable[Runs]:
        """The one row."""
        if self._source is None:
            return []
        rows = []
        for roomy in (True, False):
            here = place_words(*self._source, roomy=roomy)
            cost = cost_words(self._source[0], roomy=roomy)
            rows.append([(f" {here} ", "text"), (f" {cost}", "quiet")])
        roomy_size = sum(len(text) for text, _ in rows[0])
        return [rows[0] if roomy_size <= width else rows[1]]
