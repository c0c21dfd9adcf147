"""A note to a check, in as many lines as it needs."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import TextArea

from checkrun.screens import keys
from checkrun.screens.dialog import Dialog, said


class NoteScreen(Dialog[str]):
    """Edits a note; answers the text, or nothing if it is to stay as it was."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.NOTE]

    def __init__(self, title: str, text: str, *, changed: Callable[[str], None]) -> None:
        """Open with a text.

        Args:
            title: What the note is about.
            text: The note so far.
            changed: Told of every change, so that nothing typed can be lost.
        """
        super().__init__("Note", keys.NOTE)
        self._about = title
        self._start = text
        self._changed = changed

    def content(self) -> Iterable[Widget]:
        """What it is about, and the text."""
        yield said(self._about)
        yield TextArea(self._start, tab_behavior="focus", soft_wrap=True)

    def on_mount(self) -> None:
        """Write on at the end."""
        area = self.query_one(TextArea)
        area.focus()
        area.move_cursor(area.document.end)

    @on(TextArea.Changed)
    def _typed(self, event: TextArea.Changed) -> None:
        event.stop()
        if event.text_area.text != self._start:
            self._changed(event.text_area.text)

    def action_keep(self) -> None:
        """Keep the note."""
        self.dismiss(self.query_one(TextArea).text.rstrip())

    def action_drop(self) -> None:
        """Leave the note as it was."""
        self.dismiss(None)
