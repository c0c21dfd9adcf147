"""Rows with a label column and wrapped texts, scrolled by keys, never by a layout."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from textual.geometry import Size

from checkrun.report.sheet import Row
from checkrun.screens.widgets.painted import Painted, Runs, wrap

#: The width of the label column, the longest label and a space.
LABEL = 10
#: From this width on texts have a column of their own.
_ROOMY = 50
#: How far the second line of a text is set in where it has none.
_HANG = 2


class Sheet(Painted):
    """A check, a summary entry or a page of help, as rows.

    Where not everything fits, the last line says that there is more.
    """

    DEFAULT_CSS = "Sheet { height: 1fr; }"

    def __init__(self, *, id: str | None = None, more: str = "Space or Down") -> None:
        """A sheet without rows.

        Args:
            id: As of any widget.
            more: The keys that show what is out of sight.
        """
        super().__init__(id=id)
        self._more = more
        self._source: Callable[[int], Iterable[Row]] = lambda width: ()
        self._top = 0

    def show(
        self, rows: Iterable[Row] | Callable[[int], Iterable[Row]], *, stay: bool = False
    ) -> None:
        """Show these rows, from the top or from where the sheet is scrolled to.

        What makes rows is asked for them at each width.
        """
        if callable(rows):
            self._source = rows
        else:
            kept = tuple(rows)
            self._source = lambda width: kept
        if not stay:
            self._top = 0
        self.change()

    def make(self, width: int, height: int) -> Iterable[Runs]:
        """The texts wrapped for the width."""
        rows = [line for row in self._source(width) for line in _lines(row, width)]
        self._top = min(self._top, max(0, len(rows) - height))
        return rows

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """How many lines there are at a width, for a sheet whose height is `auto`."""
        return sum(1 for row in self._source(width) for _ in _lines(row, max(width, 1)))

    def scroll_rows(self, lines: int) -> None:
        """Scroll by some lines; stops at both ends."""
        most = max(0, len(self.rows) - self.size.height)
        self._top = min(max(0, self._top + lines), most)
        self.repaint()

    @property
    def below(self) -> int:
        """How many lines are out of sight at the lower end."""
        return max(0, len(self.rows) - self.size.height - self._top)

    def line(self, y: int, rows: Sequence[Runs], height: int) -> Runs:
        """One line of the sheet; the last one tells of what is below it."""
        below = len(rows) - height - self._top
        if y == height - 1 and below > 0:
            more = f"{self.app.glyphs.more[1]} {below + 1} more lines: {self._more}"  # type: ignore[attr-defined]
            return ((more, "key"),)
        return super().line(y + self._top, rows, height)


def _lines(row: Row, width: int) -> Iterable[Runs]:
    if not row.label:
        for line in wrap(row.text, width):
            yield ((line, row.role),)
        return
    role = row.role if row.role not in ("text", "quiet", "entered") else "label"
    if width < _ROOMY:
        yield from _hanging(row, role, width)
        return
    label = row.label
    for line in wrap(row.text, width - LABEL):
        yield ((f"{label:{LABEL}}", role), (line, row.role))
        label = ""


def _hanging(row: Row, role: str, width: int) -> Iterable[Runs]:
    """The label in front of the first line, the others under it: more text where room is dear."""
    lines = wrap(row.text, width - _HANG, len(row.label) + 1 - _HANG)
    yield ((f"{row.label} ", role), (lines[0], row.role))
    for line in lines[1:]:
        yield ((" " * _HANG, role), (line, row.role))
