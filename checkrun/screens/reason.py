"""Why something was not examined, or judged otherwise: one key for the usual reasons."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from checkrun.screens import keys
from checkrun.screens.dialog import Dialog, said

#: The usual reasons; skipped, out of reach and not there are different things.
REASONS = (
    "can't be reached",
    "not safe to do here",
    "no time",
    "the owner does not allow it",
    "the car does not have it",
    "the tool is not here",
)


class ReasonScreen(Dialog[str]):
    """Asks for a reason; answers it, or nothing if the person went back."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(i), f"pick({i - 1})", show=False) for i in range(1, 10)),
        *keys.REASON[1:],
    ]

    def __init__(self, title: str, about: str, reasons: Sequence[str] = REASONS) -> None:
        """Ask.

        Args:
            title: The question.
            about: What it is about.
            reasons: At most eight.
        """
        super().__init__(title, keys.REASON)
        self._about = about
        self._reasons = reasons

    def content(self) -> Iterable[Widget]:
        """The reasons, and a field for another."""
        yield said(self._about)
        texts = [*self._reasons, "something else, in your own words"]
        yield OptionList(
            *(Option(Content(f"{number}  {text}")) for number, text in enumerate(texts, start=1))
        )
        field = Input(placeholder="in your own words, then Enter", id="own")
        field.display = False
        yield field

    def on_mount(self) -> None:
        """Start on the first reason."""
        options = self.query_one(OptionList)
        options.focus()
        options.highlighted = 0

    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_pick(event.option_index)

    @on(Input.Submitted)
    def _written(self, event: Input.Submitted) -> None:
        event.stop()
        if event.value.strip():
            self.dismiss(event.value.strip())

    def action_pick(self, index: int) -> None:
        """Take a reason, or open the field for another."""
        if index < len(self._reasons):
            self.dismiss(self._reasons[index])
            return
        if index > len(self._reasons):
            return
        field = self.query_one("#own", Input)
        field.display = True
        field.focus()

    def action_back(self) -> None:
        """Go back without a result."""
        self.dismiss(None)
