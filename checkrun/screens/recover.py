"""A damaged session: offer to save what can be read into a new one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from checkrun.screens.dialog import Dialog, said
from checkrun.screens.keys import key

_KEYS = (
    key("y", "recover", "save what can be read", "Make a new session of it.", "recover.yes"),
    key("b,escape,q", "back", "go back", "Leave it as it is.", "recover.back"),
)


class RecoverScreen(Dialog[bool]):
    """Asks whether to recover."""

    BINDINGS: ClassVar[list[BindingType]] = [*_KEYS]

    def __init__(self, session_id: str) -> None:
        super().__init__(f"{session_id} is damaged", _KEYS, kind="-error")

    def content(self) -> Iterable[Widget]:
        """What will happen."""
        yield said(
            "Its file is not as it was written. What can be read of it can be saved into a new "
            "session; the damaged file itself stays as it is."
        )

    def action_recover(self) -> None:
        """Yes."""
        self.dismiss(True)

    def action_back(self) -> None:
        """No."""
        self.dismiss(False)
