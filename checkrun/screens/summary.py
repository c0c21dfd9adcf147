"""The summary: findings worst first, what was not examined, what is open, and the signature."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.screen import Screen
from textual.widgets import OptionList

from checkrun.report.billsheet import sum_rows
from checkrun.report.money import amount
from checkrun.report.text import counts_line
from checkrun.screens import keys
from checkrun.screens.summaryrows import SummaryRows
from checkrun.screens.theme import BREAKPOINTS, width_class
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.painted import Painted
from checkrun.screens.widgets.sheet import Sheet
from checkrun.session.errors import StoreError
from checkrun.session.session import Session
from checkrun.session.valuing import rank

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp


class SummaryScreen(Screen[str]):
    """What came out of a walk; answers the check to go to, or nothing for back to the walk."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.SUMMARY]
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS

    def __init__(self, session: Session, *, at: str = "") -> None:
        """Show a session.

        Args:
            session: Open; stays open.
            at: The check to mark, if it is listed.
        """
        super().__init__()
        self._session = session
        self._start = at
        self._rows: SummaryRows

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    def compose(self) -> ComposeResult:
        """Headline, list and detail, keys."""
        self._rows = SummaryRows(self._session.walk, self.look.glyphs)
        self.add_class(width_class(self.app.size.width))
        yield Painted(id="headline")
        with Horizontal(id="split"):
            yield OptionList(*self._rows.options())
            detail = Sheet(id="detail", more="Space")
            detail.add_class("-always")
            yield detail
        yield Painted(id="status")
        yield Hints(keys.SUMMARY)

    def on_mount(self) -> None:
        """Mark where the person came from."""
        options = self.query_one(OptionList)
        options.focus()
        options.action_first()
        for prefix in ("find", "skip"):
            name = f"{prefix}:{self._start}"
            if name in self._rows.details:
                options.highlighted = options.get_option_index(name)
                break
        self._show_head()
        self.call_after_refresh(self._reckon)

    def _show_head(self) -> None:
        walk = self._session.walk
        name = walk.facts.get("serial", "")
        self.query_one("#headline", Painted).paint(
            [
                [
                    (" Summary ", "here"),
                    (f" {walk.year} {walk.route.title.split(',')[0]} {name} ", "title"),
                ]
            ]
        )
        if walk.signed is not None:
            name, at = walk.signed
            signed = f" Signed off by {name}, {at.astimezone():%Y-%m-%d %H:%M}. o opens it again."
        else:
            signed = f" {counts_line(self._rows.summary)}"
        self.query_one("#status", Painted).paint([[(signed, "message")]])

    # The list

    def _reckon(self) -> None:
        """Put in what the draws of the cost came to."""
        found, options = self._rows.bill, self.query_one(OptionList)
        told = (
            f"  mean {amount(found.moments.mean)}, 80 % stay below {amount(found.spread.p80)}, "
            f"90 % below {amount(found.spread.p90)}"
        )
        if found.offer is not None:
            told = f"  most to pay {amount(found.offer.most_to_pay)};{told[1:]}"
        rows = list(sum_rows(found, self.look.glyphs, 40))
        self._rows.details["bill"] = ("", rows)
        options.replace_option_prompt("bill", Content(told))
        place = options.highlighted
        if place is not None and options.get_option_at_index(place).id == "bill":
            self.query_one("#detail", Sheet).show(rows)

    @on(OptionList.OptionHighlighted)
    def _highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option_id in self._rows.details:
            self.query_one("#detail", Sheet).show(self._rows.details[event.option_id][1])

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_go()

    # Keys

    @property
    def _marked(self) -> str:
        """The name of the marked row; empty if there is none."""
        options = self.query_one(OptionList)
        if options.highlighted is None:
            return ""
        return options.get_option_at_index(options.highlighted).id or ""

    def action_go(self) -> None:
        """Go to the marked check, or to the claims or the bill."""
        name = self._marked
        check_id = self._rows.details[name][0] if name in self._rows.details else ""
        if check_id:
            self.dismiss(check_id)
        elif name == "bill":
            self.action_bill()
        elif name.startswith("claim:"):
            self.action_claims()

    def action_claims(self) -> None:
        """Show how sure one may be of each claim."""
        from checkrun.screens.claims import ClaimsScreen

        name = self._marked
        claim = name.removeprefix("claim:") if name.startswith("claim:") else ""
        self.app.push_screen(ClaimsScreen(self._session, at=claim), self._back)

    def action_bill(self) -> None:
        """Show what it costs and the most to pay."""
        from checkrun.screens.bill import BillScreen

        self.app.push_screen(BillScreen(self._session), self._back)

    def _back(self, check_id: str | None) -> None:
        """Go where the screen above said, or show what may have changed there."""
        if check_id is not None:
            self.dismiss(check_id)
        else:
            self._show_anew(self._marked)

    def _show_anew(self, marked: str) -> None:
        """Show the summary as it stands now, the same row marked."""
        self._rows = SummaryRows(self._session.walk, self.look.glyphs)
        options = self.query_one(OptionList)
        options.set_options(self._rows.options())
        if marked in self._rows.details:
            options.highlighted = options.get_option_index(marked)
        else:  # what was marked is not listed any more
            options.action_first()
        self._show_head()
        self.call_after_refresh(self._reckon)

    def action_rank(self, by: int) -> None:
        """Put the marked finding one place higher or lower, or where the rules put it."""
        name = self._marked
        check_id = name.removeprefix("find:")
        places = [finding.check.id for finding in self._rows.summary.findings]
        if not name.startswith("find:"):
            self._say("Only a finding can be put elsewhere in the order.")
            return
        at = places.index(check_id)
        if not by:
            self._do_and_show(lambda: rank(self._session, check_id, check_id, ""), name)
        elif not 0 <= at + by < len(places):
            self._say("It stands at the end of the list already.")
        else:
            after = at + 2 if by > 0 else at - 1
            before = places[after] if after < len(places) else ""
            self._ask_rank(check_id, before, name)

    def _ask_rank(self, check_id: str, before: str, name: str) -> None:
        """Ask for the reason, unless this finding was put elsewhere for one already."""
        from checkrun.screens.ask import AskScreen

        def done(why: str | None) -> None:
            if why:
                self._do_and_show(lambda: rank(self._session, check_id, before, why), name)

        there = self._session.walk.state(check_id).rank
        if there is not None:
            done(there.why)
            return
        text = "The rules put it elsewhere; the reason stays on record beside it."
        self.app.push_screen(AskScreen("Another place: why?", text, "the reason"), done)

    def _say(self, text: str) -> None:
        self.query_one("#status", Painted).paint([[(f" {text}", "message")]])

    def action_scroll(self, by: int) -> None:
        """Scroll the text of the marked row; past its end it begins again."""
        sheet = self.query_one("#detail", Sheet)
        if sheet.below:
            sheet.scroll_rows(by * max(1, sheet.size.height - 2))
        else:
            sheet.scroll_rows(-len(sheet.rows))

    def action_walk(self) -> None:
        """Go back to the walk."""
        self.dismiss(None)

    def action_leave(self) -> None:
        """Leave the summary; a signed session is left altogether."""
        signed = self._session.walk.signed is not None
        self.dismiss(None)
        if signed:
            self.look.leave_walk()

    def action_sign(self) -> None:
        """Sign the session off."""
        from checkrun.screens.ask import AskScreen

        walk = self._session.walk
        if walk.signed is not None:
            self.look.tell(f"It is signed off already, by {walk.signed[0]}.")
            return
        open_checks = walk.counts.open
        text = "After this the record can only be read; opening it again is put on record."
        if open_checks:
            text = f"{open_checks} checks are still open and will stay open in the record. {text}"

        def done(name: str | None) -> None:
            if name:
                self._do_and_show(lambda: self._session.sign(name))

        self.app.push_screen(AskScreen("Sign off", text, "your name"), done)

    def action_reopen(self) -> None:
        """Open a signed session again."""
        from checkrun.screens.ask import AskScreen

        if self._session.walk.signed is None:
            self.look.tell("It is not signed off, so it is open already.")
            return

        def done(why: str | None) -> None:
            if why:
                self._do_and_show(lambda: self._session.reopen(why))

        text = "The signature stays on record; so does this reason."
        self.app.push_screen(AskScreen("Open again: why?", text, "the reason"), done)

    def _do_and_show(self, action: Callable[[], object], marked: str | None = None) -> None:
        try:
            action()
        except StoreError as error:
            self.look.tell(str(error))
            return
        self._show_anew(self._marked if marked is None else marked)

    def action_help(self) -> None:
        """Show the keys."""
        self.look.help("Summary")
