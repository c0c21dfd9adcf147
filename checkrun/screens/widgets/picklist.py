"""A list painted by itself: one row is marked, and stays in sight."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.cells import cell_len

from checkrun.screens.widgets.painted import Painted, Runs


class PickList(Painted):
    """Rows of which one is marked; the screen moves the mark."""

    DEFAULT_CSS = "PickList { height: 1fr; }"

    def __init__(self, pointer: str, *, id: str) -> None:
        """An empty list.

        Args:
            pointer: The character before the marked row.
            id: As of any widget.
        """
        super().__init__(id=id)
        self._pointer = pointer
        self._list: Sequence[Runs] = ()
        self._head = ""
        self._at = 0

    @property
    def at(self) -> int:
        """The place of the marked row."""
        return self._at

    def show(self, rows: Sequence[Runs], at: int | None = None, head: str = "") -> None:
        """Show other rows.

        Args:
            rows: From the top.
            at: The one to mark; None leaves the mark where it is, as far as there are rows.
            head: What stands above the columns; empty for nothing.
        """
        self._list, self._head = rows, head
        self._at = min(max(0, self._at if at is None else at), max(0, len(rows) - 1))
        self.change()

    def mark(self, by: int) -> None:
        """Move the mark; it stops at both ends."""
        self.show(self._list, self._at + by, self._head)

    def make(self, width: int, height: int) -> Iterable[Runs]:
        """As many rows as fit, the marked one in sight."""
        if self._head:
            yield [(f"  {self._head}", "quiet")]
            height -= 1
        top = min(max(0, self._at - height // 2), max(0, len(self._list) - height))
        for place, row in enumerate(self._list[top : top + height], start=top):
            if place != self._at:
                yield [("  ", "text"), *row]
                continue
            text = f"{self._pointer} " + "".join(part for part, _ in row)
            yield [(text + " " * max(0, width - cell_len(text)), "marked")]
