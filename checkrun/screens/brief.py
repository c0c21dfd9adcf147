"""What a person must know before the first check."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import BindingType

from checkrun.report.brief import brief
from checkrun.report.glyphs import Glyphs
from checkrun.report.sheet import Row
from checkrun.route.model import Route
from checkrun.screens import keys
from checkrun.screens.page import Page


class BriefScreen(Page[bool]):
    """How many checks, how long, what to bring, what can hurt; answers whether to start."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.BRIEF, *keys.READER[:4]]
    HELP = "Before you start"

    def __init__(self, route: Route, glyphs: Glyphs) -> None:
        """Show a route already cut to its car."""
        super().__init__("Before you start", keys.BRIEF, kind="-tall")
        self._route = route
        self._glyphs = glyphs

    def rows(self) -> Iterator[Row]:
        """What there is to read."""
        numbers = brief(self._route)
        yield Row("walk", self._route.title)
        yield Row("checks", f"{numbers.checks} at {numbers.stations} stations")
        yield Row(
            "time",
            f"about {numbers.minutes:.0f} minutes at the checks; lifting and wheels come on top",
        )
        yield Row("bring", ", ".join(numbers.tools) or "nothing")
        yield Row("", "")
        for note in numbers.safety:
            yield Row(f"{self._glyphs.caution} CARE", note, "caution")
        if numbers.stops:
            yield Row("", "")
            stops = ", ".join(change.do.lower() for change in numbers.stops)
            yield Row("stops", f"The walk stops and asks before you: {stops}.")
        yield Row("", "")
        yield Row(
            "",
            "Local rules, the maker's manuals and licensed practice come before "
            "anything said here.",
            "quiet",
        )

    def action_go(self) -> None:
        """Start the walk."""
        self.dismiss(True)

    def action_leave(self) -> None:
        """Back to the questions."""
        self.dismiss(False)
