"""A route to read: every station and check in walking order, for learning and for authors."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import BindingType

from checkrun.report.glyphs import Glyphs
from checkrun.report.sheet import Row, check_rows
from checkrun.route.model import Route
from checkrun.route.order import walk_order
from checkrun.screens import keys
from checkrun.screens.page import Page
from checkrun.session.fold import CheckState
from checkrun.session.stops import changes_before


class RouteReader(Page[None]):
    """The whole route as a text."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.READER]

    def __init__(self, route: Route, glyphs: Glyphs) -> None:
        super().__init__(route.title, keys.READER, kind="-tall")
        self._route = route
        self._glyphs = glyphs

    def rows(self) -> Iterator[Row]:
        """What there is to read."""
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

    def action_leave(self) -> None:
        """Close the route."""
        self.dismiss(None)
