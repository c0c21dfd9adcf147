"""Something that must be read before going on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import BindingType

from checkrun.report.sheet import Row
from checkrun.screens import keys
from checkrun.screens.page import Page


class MessageScreen(Page[None]):
    """A message, mostly an error; nothing entered is lost by it."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.MESSAGE, *keys.READER[:4]]

    def __init__(self, text: str) -> None:
        super().__init__("Please note", keys.MESSAGE, kind="-fit -error")
        self._text = text

    def rows(self) -> Iterator[Row]:
        """The message."""
        yield Row("", self._text)

    def action_close(self) -> None:
        """Go on."""
        self.dismiss(None)
