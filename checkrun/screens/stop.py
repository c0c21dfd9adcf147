"""Before a station that needs the car in another state: what to do, and what can hurt."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar

from textual.binding import BindingType

from checkrun.report.sheet import Row
from checkrun.screens import keys
from checkrun.screens.page import Page
from checkrun.screens.widgets.sheet import Sheet
from checkrun.session.stops import Change


class StopScreen(Page[str]):
    """A stop; answers `confirm`, `back` or `cannot`.

    Enter does not confirm, so that no key held down by mistake says that something is safe.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*keys.STOP, *keys.READER[:4]]
    HELP = "Before a station"

    def __init__(self, title: str, changes: Sequence[Change], *, can_refuse: bool) -> None:
        hints = keys.STOP if can_refuse else keys.STOP[:-1]
        stop = any(change.caution for change in changes)
        super().__init__(
            f"STOP. {title}" if stop else title, hints, kind="-fit -stop" if stop else "-fit"
        )
        self._changes = changes
        self._can_refuse = can_refuse

    def rows(self) -> Iterator[Row]:
        """Each change, with its caution."""
        for change in self._changes:
            yield Row("", "")
            yield Row("", change.do, "caution" if change.caution else "ask")
            if change.caution:
                yield Row("", change.caution)

    def action_confirm(self) -> None:
        """It is done and safe; a caution still out of sight is shown before that counts."""
        if self.query_one(Sheet).below:
            self.action_page(1)
        else:
            self.dismiss("confirm")

    def action_back(self) -> None:
        """It is not done."""
        self.dismiss("back")

    def action_cannot(self) -> None:
        """It can't be done at all."""
        if self._can_refuse:
            self.dismiss("cannot")
