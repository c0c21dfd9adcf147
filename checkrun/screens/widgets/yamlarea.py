"""The text of a route file, coloured, with what is wrong marked where it stands."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from rich.style import Style
from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widgets import TextArea

from checkrun.report.yamlmarks import Marks
from checkrun.route.problems import Problem
from checkrun.screens.theme import role_styles


class YamlArea(TextArea):
    """A text area for YAML: two blanks an indent, line numbers, colours, faults underlined."""

    DEFAULT_CSS = """
    YamlArea, YamlArea:focus { height: 1fr; border: none; padding: 0; scrollbar-size: 1 1; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+home", "to_start", "to the first line", show=False),
        Binding("ctrl+end", "to_end", "to the last line", show=False),
    ]

    def __init__(self, text: str) -> None:
        super().__init__(
            text,
            id="yaml",
            soft_wrap=False,
            tab_behavior="indent",
            show_line_numbers=True,
            highlight_cursor_line=False,  # it would take the colours of its line away
            max_checkpoints=500,
        )
        self.indent_width = 2
        self.cursor_blink = False
        self._marks: Marks | None = None
        self._faults: dict[int, list[Problem]] = {}

    def action_to_start(self) -> None:
        """Go to the first line."""
        self.move_cursor((0, 0))

    def action_to_end(self) -> None:
        """Go to the end of the last line."""
        self.move_cursor(self.document.end)

    def text_changed(self) -> None:
        """The text is another now."""
        self._marks = None

    def show_faults(self, problems: Iterable[Problem]) -> None:
        """Mark these problems from now on."""
        faults: dict[int, list[Problem]] = {}
        for problem in problems:
            faults.setdefault(problem.line - 1, []).append(problem)
        if faults != self._faults:
            self._faults = faults
            # What is kept of painted lines knows of the text alone, not of what is said of it.
            self.notify_style_update()
            self.refresh()

    def get_line(self, line_index: int) -> Text:
        """A line in its colours."""
        text = super().get_line(line_index)
        if self._marks is None:
            self._marks = Marks(self.document.lines)
        styles = role_styles(self.app.theme, self.app.no_color)
        for start, end, role in self._marks.of(line_index, text.plain):
            if role in styles:
                text.stylize(styles[role], start, end)
        for problem in self._faults.get(line_index, ()):
            start = min(problem.column - 1, max(len(text.plain) - 1, 0))
            role = "concern" if problem.warning else "error-text"
            text.stylize(styles[role] + Style(underline=True), start, _end(text.plain, start))
        return text

    def go_to(self, line: int, column: int) -> None:
        """Put the cursor there, counted from 1, and the line in the middle."""
        last = self.document.line_count - 1
        row = min(max(line - 1, 0), last)
        place = (row, min(max(column - 1, 0), len(self.document.get_line(row))))
        self._centre(place)

    def _centre(self, place: tuple[int, int]) -> None:
        """Put the cursor there, its line in the middle and, where it fits, from its beginning."""
        self.move_cursor(place, center=True)
        if place[1] < self.size.width - self.gutter_width - 1:
            self.scroll_to(x=0, animate=False)

    def find(self, words: str) -> bool:
        """Select the next place where words stand, capitals or not, after the cursor or on top."""
        whole = "\n".join(self.document.lines)
        text, wanted = whole.casefold(), words.casefold()
        if len(text) != len(whole):  # a letter became two: search what stands there
            text, wanted = whole, words
        row, column = self.selection.end
        start = sum(len(line) + 1 for line in self.document.lines[:row]) + column
        at = text.find(wanted, start)
        if at < 0:
            at = text.find(wanted)
        if at < 0 or not wanted:
            return False
        self._centre(_place(text, at))
        self.move_cursor(_place(text, at + len(wanted)), select=True)
        return True


def _place(text: str, at: int) -> tuple[int, int]:
    """Row and column of a character, from 0."""
    return text.count("\n", 0, at), at - text.rfind("\n", 0, at) - 1


def _end(text: str, start: int) -> int:
    """Where the word at a place ends: what is underlined of a fault."""
    end = start
    while end < len(text) and (text[end].isalnum() or text[end] in "-_."):
        end += 1
    return max(end, start + 1)
