"""A widget that paints rows of (text, role) itself: one frame a change, and never a layout."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Self

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from checkrun.screens.theme import role_styles

#: One row of the screen: runs of text, each with the role that decides its colour.
Runs = Sequence[tuple[str, str]]


class Painted(Widget):
    """Rows of runs, painted as they are; what is too long is cut, what is short is filled.

    Text from files and people is put on screen as it is: nothing in it is read as markup. Rows that
    hang on the size are made by `make`, which is called while painting: so the first frame is whole
    and a resize needs no second one. Of a change only the lines that differ are painted.
    """

    DEFAULT_CSS = "Painted { height: 1; }"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._given: list[Runs] = []
        self._made: list[Runs] = []
        self._made_for: Size | None = None
        self._on_screen: tuple[Size, list[Runs]] | None = None
        self._kept: tuple[object, list[Strip]] | None = None
        self._shown: Sequence[Runs] = ()
        self._shown_size = Size()
        self._base = Style.null()
        self._styles: Mapping[str, Style] = {}

    def paint(self, rows: Iterable[Runs]) -> None:
        """Show these rows from now on, whatever the size."""
        self._given = list(rows)
        self.change()

    def make(self, width: int, height: int) -> Iterable[Runs]:
        """The rows for a size in cells; both are at least 1."""
        return self._given

    @property
    def rows(self) -> list[Runs]:
        """All rows for the present size."""
        size = self.size
        if self._made_for != size:
            self._made = list(self.make(*size)) if size.area else list(self._given)
            self._made_for = size
        return self._made

    @property
    def text(self) -> str:
        """What is shown, without colours."""
        return "\n".join("".join(text for text, _ in row) for row in self.rows)

    def line(self, y: int, rows: Sequence[Runs], height: int) -> Runs:
        """What stands in one line of a widget of that height, given all its rows."""
        return rows[y] if y < len(rows) else ()

    def change(self) -> None:
        """Make the rows anew and paint what has changed."""
        self._made_for = None
        self.repaint()

    def repaint(self) -> None:
        """Paint the lines that are not as they were last asked for."""
        size = self.size
        if not size.area:
            return
        rows = self.rows
        lines = [self.line(y, rows, size.height) for y in range(size.height)]
        before, self._on_screen = self._on_screen, (size, lines)
        if before is None or before[0] != size:
            self.refresh()
            return
        pairs = enumerate(zip(before[1], lines, strict=True))
        changed = [Region(0, y, size.width, 1) for y, (old, new) in pairs if old != new]
        if changed:
            self.refresh(*changed)

    def refresh(
        self,
        *regions: Region,
        repaint: bool = True,
        layout: bool = False,
        recompose: bool = False,
    ) -> Self:
        """Paint anew what has changed."""
        self._kept = None
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)

    def notify_style_update(self) -> None:
        """Other colours: paint all of it anew."""
        self._kept = None
        super().notify_style_update()

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines of the widget, kept until it changes.

        Whenever anything on a screen has changed, all that is on it is asked for its lines.
        """
        app, size = self.app, self.size
        kept_for = (crop, size, app.theme, app.no_color)
        if self._kept is not None and self._kept[0] == kept_for:
            return self._kept[1]
        self._shown, self._shown_size = self.rows, size
        self._base = self.rich_style
        self._styles = role_styles(app.theme, app.no_color)
        strips = super().render_lines(crop)
        self._kept = (kept_for, strips)
        return strips

    def render_line(self, y: int) -> Strip:
        """One line of the widget."""
        base, styles, (width, height) = self._base, self._styles, self._shown_size
        segments = []
        for text, role in self.line(y, self._shown, height):
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
    text = part.lstrip(" ")
    # What stands indented stays so, as long as there is room for words beside it.
    indent = len(part) - len(text) if len(part) - len(text) + taken < width else 0
    lines, line, used = [], "", taken
    for word in text.split(" "):
        size = measure(word)
        if indent:
            word, size, indent = " " * indent + word, size + indent, 0
        if line and used + 1 + size <= width:
            line, used = f"{line} {word}", used + 1 + size
            continue
        if line:
            lines.append(line)
            used = 0
        while used + size > width:
            head = _head(word, width - used)
            if used and (size <= width or measure(head) > width - used):
                head = ""  # a line of its own holds more of it
            lines.append(head)
            word = word[len(head) :]
            size, used = measure(word), 0
        line, used = word, used + size
    lines.append(line)
    return lines


def _head(word: str, width: int) -> str:
    """As much of the start of a word as fits, at least one character."""
    for end in range(1, len(word) + 1):
        # Measured as a whole: a sign may change the width of the one before it.
        if cell_len(word[:end]) > width:
            return word[: max(end - 1, 1)]
    return word
