"""The field for a reading: closed until a digit or r opens it, so that letters stay result keys."""

from __future__ import annotations

from collections.abc import Callable

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Input

from checkrun.screens.widgets.painted import Painted


class Line(Input):
    """An input of a fixed width, so that a key in it needs no layout of the screen."""

    value: reactive[str] = reactive("", layout=False, init=False)
    virtual_size: reactive[Size] = reactive(Size(0, 0), layout=False)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Go no further: the value itself is watched, and six widgets up nobody listens."""
        event.stop()


class ReadingField(Horizontal):
    """One line to type a reading in; Enter or Escape leaves it, and both keep what was typed."""

    DEFAULT_CSS = """
    ReadingField { height: 1; display: none; }
    ReadingField.-open { display: block; }
    ReadingField Painted { width: 10; }
    ReadingField Input { width: 1fr; height: 1; border: none; padding: 0; background: $panel; }
    ReadingField Input:focus { border: none; background: $panel; }
    """

    class Left(Message):
        """The person has left the field with Enter or Escape."""

    def __init__(self) -> None:
        super().__init__(id="reading-row")
        self.check_id = ""
        self._typed: Callable[[str, str], None] | None = None

    def compose(self) -> ComposeResult:
        """A label and the field."""
        yield Painted(id="reading-label")
        yield Line(id="reading", compact=True, select_on_focus=False)

    def on_mount(self) -> None:
        """Name the field, and listen to it."""
        self.query_one(Painted).paint([[("reading", "label")]])
        # Not by its message: what a key leads to would be painted a frame after the key itself.
        self.watch(self.query_one(Input), "value", self._changed, init=False)

    @property
    def text(self) -> str:
        """What is typed."""
        return self.query_one(Input).value

    def open(self, check_id: str, text: str, typed: Callable[[str, str], None]) -> None:
        """Open the field.

        Args:
            check_id: The check that the reading is of.
            text: A text to go on from.
            typed: Told the check and the text whenever the text has changed.
        """
        self._typed = typed
        field = self.query_one(Input)
        self.check_id = check_id
        field.value = text
        field.cursor_position = len(text)
        self.add_class("-open")
        field.focus()

    def close(self) -> None:
        """Close the field and give the keys back to the screen."""
        self.check_id = ""
        self.remove_class("-open")
        self.screen.set_focus(None)

    def _changed(self, text: str) -> None:
        if self.check_id and self._typed is not None:
            self._typed(self.check_id, text)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.post_message(self.Left())

    def on_key(self, event: events.Key) -> None:
        """Escape leaves the field as Enter does."""
        if event.key == "escape" and self.check_id:
            event.stop()
            self.post_message(self.Left())
