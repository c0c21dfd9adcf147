"""The claims: how sure one may be of each, by which signs, and where to look next."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.screen import Screen

from checkrun.report.claimsheet import claim_line, claim_rows
from checkrun.report.entrywords import entry_words
from checkrun.report.sheet import Row
from checkrun.screens import keys
from checkrun.screens.theme import BREAKPOINTS, width_class
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.painted import Painted
from checkrun.screens.widgets.picklist import PickList
from checkrun.screens.widgets.sheet import Sheet
from checkrun.session.errors import StoreError
from checkrun.session.session import Session
from checkrun.session.valuing import believe, check_share
from checkrun.weigh.observe import Weighed, weighed

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp


class WeighedScreen(Screen[str]):
    """A list and the sheet of its marked row, made anew when anything was entered or undone.

    Answers the check to go to, or nothing.
    """

    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    TABLE: ClassVar[str] = ""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self._reckoned = -1

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    @property
    def items(self) -> PickList:
        """The list."""
        return self.query_one(PickList)

    def compose(self) -> ComposeResult:
        """Headline, list and sheet, what was said last, keys."""
        self.add_class(width_class(self.app.size.width))
        yield Painted(id="headline")
        with Horizontal(id="weighed"):
            yield PickList(self.look.glyphs.station["next"], id="items")
            yield Sheet(id="sums", more="Space or Page Down")
        yield Painted(id="status")
        yield Hints(keys.BY_SCREEN[self.TABLE], rows=2)

    def on_screen_resume(self) -> None:
        """Show how it stands, at first and when a screen above it has entered something."""
        if self._reckoned != len(self.session.walk.events):
            self.reckon()

    def reckon(self, message: str = "") -> None:
        """Work it out with what is known now, and show it."""
        self._reckoned = len(self.session.walk.events)
        self.show_anew(message)

    def show_anew(self, message: str) -> None:
        """Work it out and show it; a screen does this in its own way."""

    def show_sheet(self, *, stay: bool = False) -> None:
        """Show the sheet of the marked row, from the top or as far down as it was."""

    def head(self, name: str, text: str, message: str) -> None:
        """Show the first line and the last one."""
        walk = self.session.walk
        car = f"{walk.year} {walk.facts.get('serial') or walk.route.title.split(',')[0]}"
        self.query_one("#headline", Painted).paint(
            [[(f" {name} ", "here"), (f" {text} ", "title"), (f" {car}", "quiet")]]
        )
        self.say(message)

    def say(self, message: str) -> None:
        """Say something in the line above the keys."""
        self.query_one("#status", Painted).paint([[(f" {message}", "message")]])

    def may_enter(self) -> bool:
        """Whether something can be entered now; if not, says why."""
        walk = self.session.walk
        if self.session.read_only:
            self.look.tell(f"Looking only: {self.session.busy}")
        elif walk.signed is not None:
            self.look.tell(
                f"Signed off by {walk.signed[0]}. Open it again on the summary to change something."
            )
        else:
            return True
        return False

    def enter(self, action: Callable[[], object], done: Callable[[], str] = str) -> None:
        """Do something that is written down, and show what it changes; an error is told.

        Args:
            action: Writes it down.
            done: What is said when that is done.
        """
        if not self.may_enter():
            return
        try:
            action()
        except StoreError as error:
            self.look.tell(str(error))
            return
        self.reckon(done())

    def action_mark(self, by: int) -> None:
        """Mark another row."""
        self.items.mark(by)
        self.show_sheet()

    def action_scroll(self, by: int) -> None:
        """Scroll the sheet."""
        sheet = self.query_one(Sheet)
        sheet.scroll_rows(by * max(1, sheet.size.height - 2))

    def action_undo(self) -> None:
        """Take back the last entry."""
        words = entry_words(self.session.walk, self.session.walk.can_undo)
        self._turn(self.session.undo, f"Undone: {words}.", "There is nothing to undo.")

    def action_redo(self) -> None:
        """Bring back what was undone."""
        words = entry_words(self.session.walk, self.session.walk.can_redo)
        self._turn(self.session.redo, f"Redone: {words}.", "There is nothing to redo.")

    def _turn(self, turn: Callable[[], bool], done: str, nothing: str) -> None:
        turned: list[bool] = []
        self.enter(lambda: turned.append(turn()), lambda: done if turned[0] else nothing)

    @property
    def marked(self) -> str:
        """What is marked, by its id."""
        return ""

    @property
    def stood_at(self) -> str:
        """What was marked when this was left last; told once, at the first showing."""
        return self.look.marked.pop((self.session.id, self.TABLE), "")

    def go_to(self, check_id: str | None) -> None:
        """Answer where to go; what is marked now is marked again on coming back."""
        self.look.marked[self.session.id, self.TABLE] = self.marked
        self.dismiss(check_id)

    def action_leave(self) -> None:
        """Go back."""
        self.go_to(None)

    def action_help(self) -> None:
        """Show the keys."""
        self.look.help(self.TABLE)

    def over(self, screen: Screen[str]) -> None:
        """Show a screen that may answer where to go; this one then answers the same.

        If this one was opened from such a screen, that is gone back to.
        """
        if type(self.app.screen_stack[-2]) is type(screen):
            self.go_to(None)
            return

        def done(check_id: str | None) -> None:
            if check_id is not None:
                self.go_to(check_id)

        self.app.push_screen(screen, done)


class ClaimsScreen(WeighedScreen):
    """Each claim with how sure, its signs, how firm, and where to look next."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.CLAIMS]
    TABLE = "Claims"

    def __init__(self, session: Session, *, at: str = "") -> None:
        """Show the claims of a session.

        Args:
            session: Open; stays open.
            at: The claim to mark; empty for the first.
        """
        super().__init__(session)
        self._weighed: Weighed | None = None
        self._start = at

    @property
    def claim(self) -> str:
        """The marked claim."""
        claims = self.session.walk.route.claims
        return claims[self.items.at].id if claims else ""

    def show_anew(self, message: str) -> None:
        """Weigh the claims."""
        walk = self.session.walk
        self._weighed = weighed(walk)
        rows = []
        for claim in walk.route.claims:
            sure, role, says = claim_line(self._weighed, claim.id)
            rows.append([(f"{sure} ", role), (says, "text")])
        ids = [claim.id for claim in walk.route.claims]
        start = self._start or self.stood_at
        at = ids.index(start) if start in ids else None
        self._start = ""
        self.items.show(rows, at)
        self.head("Claims", f"{len(rows)} claims weighed", message)
        self.show_sheet(stay=at is None)

    @property
    def marked(self) -> str:
        """The marked claim."""
        return self.claim

    def show_sheet(self, *, stay: bool = False) -> None:
        """Show the marked claim."""
        sheet, found = self.query_one(Sheet), self._weighed
        if found is None or not self.claim:
            sheet.show([Row("", "This route makes no claims of the car.", "quiet")])
        else:
            make = partial(claim_rows, self.session.walk, found, self.claim, self.look.glyphs)
            sheet.show(make, stay=stay)

    def action_go(self) -> None:
        """Go to the check that would tell most of the marked claim."""
        best = () if self._weighed is None else self._weighed.next_of(self.claim)
        if best and best[0].bits > 0:
            self.go_to(best[0].check)
        else:
            self.say("No open check would tell more of this claim.")

    def action_believe(self) -> None:
        """Ask how likely the marked claim is before anything was looked at."""
        from checkrun.screens.ask import AskScreen

        claim_id, walk = self.claim, self.session.walk
        if not claim_id or not self.may_enter():
            return
        claim = next(found for found in walk.route.claims if found.id == claim_id)

        def done(text: str | None) -> None:
            if text is not None:
                self.enter(lambda: believe(self.session, claim_id, text))

        self.app.push_screen(
            AskScreen(
                "How likely before looking?",
                f"{claim.says}. The route says {claim.before}; an empty line takes that.",
                "0.6 or 60 %",
                value=walk.priors.get(claim_id, ""),
                check=check_share,
            ),
            done,
        )

    def action_bill(self) -> None:
        """Show what it costs."""
        from checkrun.screens.bill import BillScreen

        self.over(BillScreen(self.session))
