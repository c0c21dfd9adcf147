"""What stands beside the text of a route that is written: problems, the check, differences."""

from __future__ import annotations

from enum import Enum

from checkrun.report.editrows import differing_rows, preview_rows, problem_rows
from checkrun.report.glyphs import Glyphs
from checkrun.route.draft import Checked, Draft
from checkrun.route.model import Route
from checkrun.screens.widgets.sheet import Sheet


class About(Enum):
    """What is shown."""

    PROBLEMS = "problems"
    PREVIEW = "preview"
    DIFFERENCES = "differences"


class Beside(Sheet):
    """A sheet that shows one of these of a draft."""

    def __init__(self, draft: Draft, glyphs: Glyphs) -> None:
        super().__init__(id="beside", more="F8")
        self._draft = draft
        self._glyphs = glyphs
        self._about = About.PROBLEMS
        self._started: Route | None = None
        self._route: Route | None = None
        self._checked = Checked(None, (), ())

    def turn_to(self, about: About, line: int) -> None:
        """Show something else; what is shown already gives way to the problems."""
        self._about = About.PROBLEMS if self._about is about else about
        self._show(line)

    def take(self, checked: Checked, line: int) -> None:
        """Show what a text came to, the cursor being in that line."""
        self._checked = checked
        self._route = checked.route or self._route
        self._started = self._started or self._route
        self._show(line, stay=True)

    def moved(self, line: int) -> None:
        """The cursor is in another line."""
        if self._about is not About.DIFFERENCES:
            self._show(line)

    def show_problem(self, line: int) -> None:
        """List the problems, the one in that line in sight."""
        self._about = About.PROBLEMS
        self._show(line)
        marked = [y for y, row in enumerate(self.rows) if any(role == "marked" for _, role in row)]
        if marked:
            self.scroll_rows(-len(self.rows))
            self.scroll_rows(max(0, marked[0] - 1))

    def read_on(self) -> None:
        """Turn to what is out of sight; from the end to the top."""
        rows = max(1, self.size.height - 2) if self.below else -len(self.rows)
        self.scroll_rows(rows)

    def _show(self, line: int, *, stay: bool = False) -> None:
        if self._about is About.PREVIEW:
            old = self._checked.route is None
            spot = self._draft.spot(line)
            self.show(preview_rows(self._route, spot, self._glyphs, old=old), stay=stay)
        elif self._about is About.DIFFERENCES:
            rows = differing_rows(self._draft.parent(), self._route, self._started)
            self.show(rows, stay=stay)
        else:
            here = (i for i, problem in enumerate(self._checked.here) if problem.line == line)
            self.show(problem_rows(self._checked, next(here, -1), self._glyphs), stay=True)
