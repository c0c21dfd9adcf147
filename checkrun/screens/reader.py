"""A route to read: every station and check in walking order, for learning and for authors."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from checkrun.report.glyphs import Glyphs
from checkrun.report.sheet import Row, check_rows
from checkrun.route.model import Route
from checkrun.route.order import walk_order
from checkrun.screens import keys
from checkrun.screens.dialog import Dialog
from checkrun.screens.widgets.sheet import Sheet
from checkrun.session.fold import CheckState
from checkrun.session.stops import changes_before


class RouteReader(Dialog[None]):
    """The whole route as a text."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.READER]

    def __init__(self, route: Route, glyphs: Glyphs) -> None:
        super().__init__(route.title, keys.READER, kind="-tall")
        self._route = route
        self._glyphs = glyphs

    def content(self) -> Iterable[Widget]:
        """The text."""
        yield Sheet(id="page")

    def on_mount(self) -> None:
        """Show it from the start."""
        self.query_one(Sheet).show(self._rows())

    def _rows(self) -> Iterator[Row]:
        state: dict[str, str] = {}
        blank = CheckState()
        for place, station in enumerate(walk_order(self._route), start=1):
            for change in changes_before(state, station):
                state[change.part] = change.value
                yield Row("", f"{self._glyphs.rule * 3} {change.do}", "caution")
            yield Row("", f"{place}. {station.title}", "title")
            for check in station.checks:
                only = check.only.years
                yield from check_rows(check, station, blank, self._glyphs)
                if only is not None:
                    yield Row("only", f"model years {only}", "quiet")
                yield Row("", "")

    def action_page(self, by: int) -> None:
        """Turn a page."""
        sheet = self.query_one(Sheet)
        sheet.scroll_rows(by * max(1, sheet.size.height - 2))

    def action_line(self, by: int) -> None:
        """Scroll a line."""
        self.query_one(Sheet).scroll_rows(by)

    def action_leave(self) -> None:
        """Close the route."""
        self.dismiss(None)
