"""Go to a check or station by a few letters."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from checkrun.report.find import Hit, find
from checkrun.report.glyphs import Glyphs
from checkrun.screens import keys
from checkrun.screens.dialog import Dialog
from checkrun.session.fold import Walk


class JumpScreen(Dialog[str]):
    """A field and what fits it; answers a check's id, or nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.JUMP]

    def __init__(self, walk: Walk, glyphs: Glyphs) -> None:
        super().__init__("Go to", keys.JUMP, kind="-tall")
        self._walk = walk
        self._glyphs = glyphs
        self._hits: list[Hit] = []

    def content(self) -> Iterable[Widget]:
        """The field and the list."""
        yield Input(placeholder="a few letters of a check or station", id="letters")
        yield OptionList()

    def on_mount(self) -> None:
        """Offer the stations first."""
        self._offer("")
        self.query_one("#letters").focus()

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        self._offer(event.value)

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        self.action_go()

    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.dismiss(self._hits[event.option_index].check_id)

    def _offer(self, letters: str) -> None:
        self._hits = find(self._walk, letters)
        options = self.query_one(OptionList)
        options.set_options(Option(self._line(hit)) for hit in self._hits)
        options.highlighted = 0 if self._hits else None

    def _line(self, hit: Hit) -> Content:
        if not hit.ask:
            return Content.styled(hit.station, "bold")
        answer = self._walk.state(hit.check_id).answer
        glyph = self._glyphs.result["open" if answer is None else answer.result.value]
        return Content.assemble(f"{glyph} {hit.ask}", (f"  {hit.station}", "dim"))

    def action_go(self) -> None:
        """Go to the marked line."""
        place = self.query_one(OptionList).highlighted
        if place is not None:
            self.dismiss(self._hits[place].check_id)

    def action_mark(self, by: int) -> None:
        """Mark another line."""
        options = self.query_one(OptionList)
        if self._hits:
            options.highlighted = ((options.highlighted or 0) + by) % len(self._hits)

    def action_back(self) -> None:
        """Stay where you are."""
        self.dismiss(None)
