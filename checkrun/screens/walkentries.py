"""What is entered on the walk: results, reasons, notes, readings, and the safety stops."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from textual import on

from checkrun.route.model import Result
from checkrun.screens import carchange, judging
from checkrun.screens.walkbase import WalkBase
from checkrun.screens.widgets.reading import ReadingField
from checkrun.session.stops import Change


class WalkEntries(WalkBase):
    """Turns keys into entries, and goes on to where the session then stands."""

    def _arrive(self) -> None:
        """Ask for the car's state that this station needs, if it is another."""
        changes = carchange.needed(self.session, self._at)
        if changes:
            station = self.session.walk.route.station_of[self._at]
            carchange.ask(self.look, changes, station, partial(self._stopped, changes))

    def _stopped(self, changes: tuple[Change, ...], choice: str | None) -> None:
        if choice == "confirm":
            self._do(lambda: carchange.record(self.session, changes))
            self._show(self._round_begins())  # the stop was in front of it
        elif choice == "cannot":
            checks = carchange.blocked_by(self.session, changes)
            what = ", ".join(change.do.lower() for change in changes)
            self._ask_reason(f"{len(checks)} checks, since you can't: {what}", checks)
        else:
            back = carchange.before_stop(self.session, self._at, self._came_from)
            if back == self._at:  # nowhere else to go: asking again would never end
                self._show("The car stays as it is.")
            else:
                self._go(back, "The car stays as it is.")

    def _after_entry(self, before: str, message: str = "") -> None:
        """Go on to where the fold says the person now stands."""
        walk = self.session.walk
        self._at, self._came_from = walk.at, before
        self.view.face()
        begins = self._round_begins()
        if begins:
            message = begins
        elif walk.state(self._at).aside and walk.state(self._at).answer is None:
            message = "You set this aside. Answer it, or s leaves it for the end."
        self._show(message)
        if walk.next_after(before) is None and self._at == before:
            self._walked()
        else:
            self._arrive()

    def _round_begins(self) -> str:
        """What is said when a round of what is left begins; empty if none does."""
        led = self.session.walk.round
        if led is None or not led.begins:
            return ""
        from checkrun.report.nearby import round_line

        return round_line(self.session.walk)

    def action_answer(self, result: str) -> None:
        """Record a result and go on; another one than the reading was judged needs a reason."""
        if not self._leave_reading():
            return
        outcome = judging.outcome(self.session, self._at)
        if outcome in (judging.UNDECIDED, result) or not self._may_enter():
            self._record(Result(result), "")
            return

        def done(why: str | None) -> None:
            if why:
                self._record(Result(result), why)

        judging.ask_why(self.look, outcome, result, done)

    def action_accept(self) -> None:
        """Record what the reading was judged, and go on."""
        if self._leave_reading():
            outcome = judging.outcome(self.session, self._at)
            if outcome == judging.UNDECIDED:
                self.view.say("No reading here is judged yet; r opens the field.")
            else:
                self._record(Result(outcome), "")

    def _record(self, result: Result, why: str) -> None:
        check_id = self._at
        if self._leave_reading() and self._do(
            lambda: self.session.answer(check_id, result, why=why)
        ):
            self._after_entry(check_id)

    def action_not_examined(self) -> None:
        """Ask why, then record it."""
        self._ask_reason(self.session.walk.route.checks[self._at].ask, [self._at])

    def _ask_reason(self, title: str, checks: list[str]) -> None:
        from checkrun.screens.reason import ReasonScreen

        def done(why: str | None) -> None:
            if not why:
                self._arrive()
            elif checks == [self._at]:
                self._record(Result.NOT_EXAMINED, why)
            elif self._do(lambda: self.session.answer_many(checks, Result.NOT_EXAMINED, why)):
                self._after_entry(checks[-1], f"{len(checks)} checks not examined; u undoes it.")

        if self._may_enter():
            self.app.push_screen(ReasonScreen("Not examined: why?", title), done)

    def action_set_aside(self) -> None:
        """Leave the check for later."""
        check_id = self._at
        if self.session.walk.state(check_id).answer is not None:
            self.view.say("This check has its result already; u takes the last entry back.")
        elif self._do(lambda: self.session.set_aside(check_id)):
            self._after_entry(check_id, "Set aside; it comes back before you leave the station.")

    def action_undo(self) -> None:
        """Take back the last entry."""
        self._turn(self.session.undo, "Undone.", "There is nothing to undo.")

    def action_redo(self) -> None:
        """Bring back what was undone."""
        self._turn(self.session.redo, "Redone.", "There is nothing to redo.")

    def _turn(self, turn: Callable[[], bool], done: str, nothing: str) -> None:
        turned: list[bool] = []
        if self._do(lambda: turned.append(turn())):
            self._at = self.session.walk.at
            self._show(done if turned[0] else nothing)

    def action_note(self) -> None:
        """Write or change the note."""
        from checkrun.screens.note import NoteScreen

        if not self._may_enter():
            return
        check_id, name, drafts = self._at, self.session.id, self.look.drafts
        kept = drafts.get(name, "note", check_id)

        def done(text: str | None) -> None:
            if text is None or self._do(lambda: self.session.note(check_id, text)):
                drafts.drop(name, "note", check_id)

        self.app.push_screen(
            NoteScreen(
                self.session.walk.route.checks[check_id].ask,
                self.session.walk.state(check_id).note if kept is None else kept,
                changed=lambda text: drafts.keep(name, "note", check_id, text),
            ),
            done,
        )

    def action_reading(self) -> None:
        """Open the reading field with what stands in it."""
        if self.session.walk.route.checks[self._at].reading is None:
            self.view.say("Nothing is measured here; a digit opens the field all the same.")
        else:
            self._open_reading("")

    def action_type_reading(self, name: str) -> None:
        """Open the reading field with the digit that was pressed."""
        self._open_reading({"minus": "-", "full_stop": "."}.get(name, name))

    def _open_reading(self, start: str) -> None:
        if self._may_enter():
            kept = self.look.drafts.get(self.session.id, "reading", self._at)
            present = self.session.walk.state(self._at).reading
            self.query_one(ReadingField).open(
                self._at, start or (present if kept is None else kept), self._reading_typed
            )

    def _reading_typed(self, check_id: str, text: str) -> None:
        judged = judging.judged(self.look, self.session, check_id, text)
        self.view.show_typed(check_id, text, judged)
        # Typed, not yet entered: seen first, kept right after.
        self.call_after_refresh(self._keep_draft, check_id)

    def _keep_draft(self, check_id: str) -> None:
        """Keep what stands in the field, unless it was entered meanwhile."""
        field = self.query_one(ReadingField)
        if field.check_id == check_id:
            self.look.drafts.keep(self.session.id, "reading", check_id, field.text)

    @on(ReadingField.Left)
    def _reading_left(self, event: ReadingField.Left) -> None:
        event.stop()
        self._leave_reading()

    def _leave_reading(self) -> bool:
        """Keep what was typed and close the field; False if it could not be kept."""
        field = self.query_one(ReadingField)
        check_id = field.check_id
        if check_id:
            if not self._do(lambda: judging.keep(self.look, self.session, check_id, field.text)):
                return False
            field.close()
            self.look.drafts.drop(self.session.id, "reading", check_id)
            self.view.show_entered(self._at)
        return True
