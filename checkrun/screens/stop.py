"""Before a station that needs the car in another state: what to do, and what can hurt."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from checkrun.screens import keys
from checkrun.screens.dialog import Dialog, said
from checkrun.session.stops import Change


class StopScreen(Dialog[str]):
    """A stop; answers `confirm`, `back` or `cannot`.

    Enter does not confirm, so that no key held down by mistake says that something is safe.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*keys.STOP]
    HELP = "Before a station"

    def __init__(self, title: str, changes: Sequence[Change], *, can_refuse: bool) -> None:
        hints = keys.STOP if can_refuse else keys.STOP[:-1]
        stop = any(change.caution for change in changes)
        super().__init__(f"STOP. {title}" if stop else title, hints, kind="-stop" if stop else "")
        self._changes = changes
        self._can_refuse = can_refuse

    def content(self) -> Iterable[Widget]:
        """Each change, with its caution."""
        for change in self._changes:
            yield said(f"\n{change.do}", "bold $warning" if change.caution else "bold")
            if change.caution:
                yield said(change.caution)

    def action_confirm(self) -> None:
        """It is done and safe."""
        self.dismiss("confirm")

    def action_back(self) -> None:
        """It is not done."""
        self.dismiss("back")

    def action_cannot(self) -> None:
        """It can't be done at all."""
        if self._can_refuse:
            self.dismiss("cannot")
