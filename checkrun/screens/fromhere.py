"""What else can be done from where one stands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from checkrun.report.glyphs import Glyphs
from checkrun.report.nearby import near_words
from checkrun.screens import keys
from checkrun.screens.dialog import Dialog
from checkrun.session.fold import Walk
from checkrun.session.nearby import Near, Spot


class FromHereScreen(Dialog[str]):
    """The open checks within a step; answers a check's id, or nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.FROM_HERE]

    def __init__(self, walk: Walk, at: str, found: Spot, glyphs: Glyphs) -> None:
        """Show what is near.

        Args:
            walk: The session.
            at: The check one stands at.
            found: What is near it, one check at least.
            glyphs: The marks of the results.
        """
        super().__init__("What else is open at this spot", keys.FROM_HERE, kind="-tall")
        self._walk = walk
        self._here = walk.route.station_of[at].id
        self._found = found
        self._glyphs = glyphs

    def content(self) -> Iterable[Widget]:
        """The checks that can be done as the car stands, then those that need a hand on it."""
        now, opened = self._found.now, self._found.opened
        heading = "With the car as it is" if now else "With the car as it is: nothing."
        options = [Option(heading, disabled=True), *self._options(now)]
        if opened:
            options += [Option("After a small change", disabled=True), *self._options(opened)]
        yield OptionList(*options)

    def on_mount(self) -> None:
        """Start on the first check."""
        options = self.query_one(OptionList)
        options.focus()
        options.action_first()

    def _options(self, found: Sequence[Near]) -> list[Option]:
        return [Option(self._line(near), id=near.check_id) for near in found]

    def _line(self, near: Near) -> Content:
        state = self._walk.state(near.check_id)
        glyph = self._glyphs.result["aside" if state.aside else "open"]
        ask = self._walk.route.checks[near.check_id].ask
        return Content.assemble(f"{glyph} {ask}", (f"  {near_words(near, self._here)}", "dim"))

    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.dismiss(event.option_id)

    def action_go(self) -> None:
        """Go to the marked check."""
        self.query_one(OptionList).action_select()

    def action_mark(self, by: int) -> None:
        """Mark another check."""
        options = self.query_one(OptionList)
        if by > 0:
            options.action_cursor_down()
        else:
            options.action_cursor_up()

    def action_back(self) -> None:
        """Stay where you are."""
        self.dismiss(None)
