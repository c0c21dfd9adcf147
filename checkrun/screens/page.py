"""A dialog that is one long text to be read and turned."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from textual.widget import Widget

from checkrun.report.sheet import Row
from checkrun.screens.dialog import Dialog
from checkrun.screens.widgets.sheet import Sheet

T = TypeVar("T")


class Page(Dialog[T]):
    """Shows its rows from the top; its bindings are those of `keys.READER`, or some of them."""

    def content(self) -> Iterable[Widget]:
        """The text."""
        yield Sheet(id="page")

    def on_mount(self) -> None:
        """Show it from the top."""
        self.query_one(Sheet).show(self.rows())

    def rows(self) -> Iterable[Row]:
        """What there is to read."""
        return ()

    def action_page(self, by: int) -> None:
        """Turn a page."""
        sheet = self.query_one(Sheet)
        sheet.scroll_rows(by * max(1, sheet.size.height - 2))

    def action_line(self, by: int) -> None:
        """Scroll a line."""
        self.query_one(Sheet).scroll_rows(by)
