"""Something that must be read before going on."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from checkrun.screens.dialog import Dialog, said
from checkrun.screens.keys import key

_KEYS = (key("enter,space,q,escape", "close", "go on", "Close the message.", "message.close"),)


class MessageScreen(Dialog[None]):
    """A message, mostly an error; nothing entered is lost by it."""

    BINDINGS: ClassVar[list[BindingType]] = [*_KEYS]

    def __init__(self, text: str) -> None:
        super().__init__("Please note", _KEYS, kind="-error")
        self._text = text

    def content(self) -> Iterable[Widget]:
        """The message."""
        yield said(self._text)

    def action_close(self) -> None:
        """Go on."""
        self.dismiss(None)
