"""One line asked of a person: a name to sign with, a reason, a figure."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, Static

from checkrun.screens import keys
from checkrun.screens.dialog import Dialog, said


class AskScreen(Dialog[str]):
    """Asks for one line; answers it, or nothing if the person went back."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.ASK[1:]]

    def __init__(
        self,
        title: str,
        text: str,
        placeholder: str,
        *,
        value: str | None = None,
        check: Callable[[str], str] | None = None,
    ) -> None:
        """Ask for one line.

        Args:
            title: What is asked.
            text: What it means.
            placeholder: What to write, in a word or two.
            value: What stands there already. With it an empty line is an answer too.
            check: What is wrong with a line, or an empty text; the line stays until it is right.
        """
        super().__init__(title, keys.ASK)
        self._text = text
        self._placeholder = placeholder
        self._value = value
        self._check = check

    def content(self) -> Iterable[Widget]:
        """What it means, the field, and what is wrong with what stands in it."""
        yield said(self._text)
        yield Input(self._value or "", placeholder=self._placeholder)
        if self._check is not None:
            yield Static(id="wrong", classes="answer-problem")

    def on_mount(self) -> None:
        """Write at once."""
        self.query_one(Input).focus()

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        if self._check is not None:
            wrong = self._check(event.value.strip())
            self.query_one("#wrong", Static).update(Content(wrong), layout=False)

    @on(Input.Submitted)
    def _written(self, event: Input.Submitted) -> None:
        event.stop()
        text = event.value.strip()
        if self._check is not None and self._check(text):
            return
        if text or self._value is not None:
            self.dismiss(text)

    def action_back(self) -> None:
        """Go back; nothing is done."""
        self.dismiss(None)
