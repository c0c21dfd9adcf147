"""A widget that paints rows of (text, role) itself: one frame a change, and never a layout."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.cells import cell_len
from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

from checkrun.screens.theme import role_styles

#: One row of the screen: runs of text, each with the role that decides its colour.
Runs = Sequence[tuple[str, str]]


class Painted(Widget):
    """Rows of runs, painted as they are; what is too long is cut, what is short is filled.

    Text from files and people is put on screen as it is: nothing in it is read as markup.
    """

    DEFAULT_CSS = "Painted { height: 1; }"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._rows: list[Runs] = []

    def paint(self, rows: Iterable[Runs]) -> None:
        """Show these rows from now on."""
        self._rows = list(rows)
        self.refresh()

    @property
    def text(self) -> str:
        """What is shown, without colours."""
        return "\n".join("".join(text for text, _ in row) for row in self._rows)

    def render_line(self, y: int) -> Strip:
        """One line of the widget."""
        base = self.rich_style
        width = self.size.width
        if y >= len(self._rows):
            return Strip.blank(width, base)
        styles = role_styles(self.app.theme)
        segments = []
        for text, role in self._rows[y]:
            style = styles.get(role)
            segments.append(Segment(printable(text), base if style is None else base + style))
        return Strip(segments).adjust_cell_length(width, base)


def printable(text: str) -> str:
    """The text without characters that would move a terminal's cursor."""
    return text if text.isprintable() else "".join(c if c.isprintable() else " " for c in text)


def wrap(text: str, width: int, taken: int = 0) -> list[str]:
    """The text in lines of at most `width` cells, its own line breaks kept.

    Args:
        text: Any text; what can't be printed becomes a space.
        width: Cells a line.
        taken: Cells of the first line that something else has taken.
    """
    width = max(width, 1)
    lines: list[str] = []
    for part in text.splitlines() or [""]:
        lines += _wrap_line(printable(part), width, 0 if lines else min(taken, width - 1))
    return lines


def _wrap_line(part: str, width: int, taken: int) -> list[str]:
    measure = len if part.isascii() else cell_len
    lines, line, used = [], "", taken
    for word in part.split(" "):
        size = measure(word)
        if line and used + 1 + size <= width:
            line, used = f"{line} {word}", used + 1 + size
            continue
        if line:
            lines.append(line)
            used = 0
        while used + size > width:
            head = _head(word, width - used)
            lines.append(head)
            word = word[len(head) :]
            size, used = measure(word), 0
        line, used = word, used + size
    lines.append(line)
    return lines


def _head(word: str, width: int) -> str:
    """As much of the start of a word as fits, at least one character."""
    used = 0
    for index, character in enumerate(word):
        used += cell_len(character)
        if used > width:
            return word[: max(index, 1)]
    return word
