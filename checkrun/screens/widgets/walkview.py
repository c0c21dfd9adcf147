"""All that the walk screen shows of one check: where, what, and what was entered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from checkrun.report.glyphs import Glyphs
from checkrun.report.pace import Pace
from checkrun.report.plan import View, marker, view_of
from checkrun.report.sheet import check_rows, entered_rows, judged_rows
from checkrun.route.model import Station
from checkrun.screens.widgets.countdown import Countdown
from checkrun.screens.widgets.headline import Headline
from checkrun.screens.widgets.painted import Painted
from checkrun.screens.widgets.plan import Plan
from checkrun.screens.widgets.reading import ReadingField
from checkrun.screens.widgets.sheet import Sheet
from checkrun.screens.widgets.stations import Stations
from checkrun.session.fold import Walk


class WalkView(Vertical):
    """Paints a walk at one of its checks. Each painting costs one frame and no layout.

    Attributes:
        HEADLINE: The widget of its first line.
    """

    HEADLINE: ClassVar[type[Headline]] = Headline

    # What only holds others is not painted itself: the screen behind it is of the same colour, and
    # whatever is visible is asked for its lines at every key.
    DEFAULT_CSS = """
    WalkView { height: 1fr; visibility: hidden; }
    WalkView Painted, WalkView Input { visibility: visible; }
    """

    def __init__(self, walk: Walk, glyphs: Glyphs) -> None:
        super().__init__(id="view")
        self._walk = walk
        self._glyphs = glyphs
        self._pace = Pace(walk)
        self._turned: View | None = None
        self._message = ""
        self._countdown = Countdown(self, glyphs.bar, self.say)

    def compose(self) -> ComposeResult:
        """Headline, the three columns, what was said last."""
        yield self.HEADLINE()
        with Horizontal(id="body"):
            yield Stations(self._glyphs)
            with Vertical(id="left"):
                yield Sheet(id="sheet")
                yield Sheet(id="entered", more="n")
                yield ReadingField()
            yield Plan(self._glyphs)
        yield Painted(id="status")

    def show(self, check_id: str, message: str | None = None) -> None:
        """Show a check.

        Args:
            check_id: One of the route's.
            message: What to say; None leaves what was said before.
        """
        route = self._walk.route
        station = route.station_of[check_id]
        rows = check_rows(route.checks[check_id], station, self._walk.state(check_id), self._glyphs)
        self.query_one("#sheet", Sheet).show(rows)
        self.show_entered(check_id)
        self.query_one(Headline).show(self._walk, station, self._pace, self._glyphs.bar)
        self._show_plan(station)
        self.say(message)

    def show_entered(self, check_id: str) -> None:
        """Show what was entered for a check."""
        rows = entered_rows(self._walk.state(check_id), self._glyphs)
        self.query_one("#entered", Sheet).show(rows)

    def show_typed(self, check_id: str, text: str, judged: Mapping[str, Any] | None) -> None:
        """Show the judgement of a reading while it is typed."""
        state = self._walk.state(check_id)
        rows = list(judged_rows(judged, self._glyphs))
        if not rows:
            rows = list(entered_rows(replace(state, reading=text, judged=None), self._glyphs))
        self.query_one("#entered", Sheet).show(rows)

    def say(self, message: str | None) -> None:
        """Say something; with nothing to say the car's state stands there."""
        if message is not None:
            self._message = message
        row = [(f" {self._message}", "message")]
        if not self._message:
            words = [
                value if part in ("car", "engine") else f"{part} {value}"
                for part, value in self._walk.car_state.items()
            ]
            row = [(" " + ", ".join(words), "quiet")]
        self.query_one("#status", Painted).paint([row])

    def count_down(self, check_id: str) -> None:
        """Start the countdown of a check's reading, or stop the one that runs."""
        reading = self._walk.route.checks[check_id].reading
        if self._countdown.running:
            self._countdown.stop()
            self.say("")
        elif reading is None or reading.kind != "timed":
            self.say("Nothing is timed at this check.")
        else:
            self._countdown.start(_seconds(reading.spec.get("seconds")))

    def scroll_text(self, lines: int) -> None:
        """Scroll the text of the check."""
        self.query_one("#sheet", Sheet).scroll_rows(lines)

    def turn_over(self, check_id: str) -> None:
        """Show the plan from the other side, until another check is shown with `face`."""
        if self.query_one(Plan).both:
            self.say("Both views are on screen.")
            return
        station = self._walk.route.station_of[check_id]
        shown = self._turned or view_of(station, self._walk.route.outline)
        self._turned = View.BELOW if shown is View.ABOVE else View.ABOVE
        self._show_plan(station)

    def face(self) -> None:
        """Show the plan from the side of the present station again."""
        self._turned = None

    def _show_plan(self, station: Station) -> None:
        walk = self._walk
        mark = marker(walk, station)
        view = self._turned or view_of(station, walk.route.outline)
        self.query_one(Plan).show(walk.route.outline, walk.stations, mark, view)
        here = walk.station_index[station.id]
        self.query_one(Stations).show(walk.stations, here, walk.station_counts, mark)


def _seconds(written: object) -> float:
    """The seconds of a countdown as a route gives them; a minute where it gives none."""
    try:
        seconds = float(str(written))
    except ValueError:
        return 60.0
    return seconds if 0 < seconds <= 3600 else 60.0
