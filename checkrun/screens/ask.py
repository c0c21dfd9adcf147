"""One line asked of a person: a name to sign with, a reason to open again."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Input

from checkrun.screens import keys
from checkrun.screens.dialog import Dialog, said


class AskScreen(Dialog[str]):
    """Asks for one line; answers it, or nothing if the person went back."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.ASK[1:]]

    def __init__(self, title: str, text: str, placeholder: str) -> None:
        super().__init__(title, keys.ASK)
        self._text = text
        self._placeholder = placeholder

    def content(self) -> Iterable[Widget]:
        """What it means, and the field."""
        yield said(self._text)
        yield Input(placeholder=self._placeholder)

    def on_mount(self) -> None:
        """Write at once."""
        self.query_one(Input).focus()

    @on(Input.Submitted)
    def _written(self, event: Input.Submitted) -> None:
        event.stop()
        if event.value.strip():
            self.dismiss(event.value.strip())

    def action_back(self) -> None:
        """Go back; nothing is done."""
        self.dismiss(None)
