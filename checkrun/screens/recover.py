"""A damaged session: offer to save what can be read into a new one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from checkrun.screens import keys
from checkrun.screens.dialog import Dialog, said


class RecoverScreen(Dialog[bool]):
    """Asks whether to recover."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.RECOVER]

    def __init__(self, session_id: str) -> None:
        super().__init__(f"{session_id} is damaged", keys.RECOVER, kind="-error")

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
