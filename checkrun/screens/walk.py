"""The walk screen: where one stands, the check, and what was entered, one key a result."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen

from checkrun.route.model import Result
from checkrun.screens import carchange, judging, keys
from checkrun.screens.theme import BREAKPOINTS, width_class
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.reading import ReadingField
from checkrun.screens.widgets.walkview import WalkView
from checkrun.session.errors import StoreError
from checkrun.session.session import Session
from checkrun.session.stops import Change, changes_to

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp

#: Seconds after which what is not needed for the first look is done.
_SETTLED = 0.4


class WalkScreen(Screen[None]):
    """One session, from the check the person stands at."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *keys.WALK,
        *(
            Binding(name, f"type_reading({name!r})", "reading", show=False, id=f"walk.digit-{name}")
            for name in keys.READING_STARTERS
        ),
    ]
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    AUTO_FOCUS = ""

    def __init__(self, session: Session, *, leave: Callable[[], None]) -> None:
        """Show a session.

        Args:
            session: Open; closed when the screen goes.
            leave: What to do when the person leaves the walk.
        """
        super().__init__()
        self.session = session
        self._leave = leave
        self._at = session.walk.at
        self._came_from = ""

    # What is on screen

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    def compose(self) -> ComposeResult:
        """What the walk shows, and the keys."""
        self.add_class(width_class(self.app.size.width))
        yield WalkView(self.session.walk, self.look.glyphs)
        yield Hints(keys.WALK, rows=2)

    def on_mount(self) -> None:
        """Show where the walk stands."""
        walk = self.session.walk
        if self.session.busy:
            self.view.say(f"Looking only: {self.session.busy}")
        elif walk.counts.answered:
            self.view.say(f"Welcome back. {self._last_answered()}")
        self.call_after_refresh(self._begin, signed=walk.signed is not None)
        if walk.signed is None:
            self.set_timer(_SETTLED, self._look_for_changes)

    def _begin(self, *, signed: bool) -> None:
        """Show what comes before the first check, unless a key pressed early led elsewhere.

        Args:
            signed: Whether the session was signed off when it was opened; it may be since.
        """
        if self.app.screen is not self:
            return
        if signed:
            self.action_summary()
        else:
            self._arrive()

    def on_unmount(self) -> None:
        """Let go of the session's file."""
        self.session.close()

    def on_screen_resume(self) -> None:
        """Show the walk, at first and when another screen has gone from above it."""
        self._show()

    def _look_for_changes(self) -> None:
        """Say so if the route was changed since the walk began; the walk keeps its own copy."""
        from checkrun.route.catalog import RouteNotFound
        from checkrun.route.problems import RouteError

        walk = self.session.walk
        if self.session.read_only or walk.signed is not None or not self.is_current:
            return
        try:
            changed = self.look.changed_route(self.session) is not None
        except (RouteNotFound, RouteError):
            return
        if changed:
            self.view.say("The route was changed since this walk began; F5 takes the new one.")

    def _last_answered(self) -> str:
        """The last result, as a help to pick up the thread after a break."""
        walk = self.session.walk
        done = walk.last_answered(1)
        answer = walk.state(done[0]).answer if done else None
        if answer is None:
            return ""
        word = answer.result.value.replace("-", " ")
        return f"Done last: {walk.route.checks[done[0]].ask}: {word}."

    @property
    def view(self) -> WalkView:
        """The part that paints."""
        return self.query_one(WalkView)

    def _show(self, message: str | None = None) -> None:
        """Show the present check; a message stays until the next."""
        if self._at not in self.session.walk.index:
            self._at = self.session.walk.at
        self.view.show(self._at, message)

    # Going about

    def _arrive(self) -> None:
        """Ask for the car's state that this station needs, if it is another."""
        changes = carchange.needed(self.session, self._at)
        if changes:
            station = self.session.walk.route.station_of[self._at]
            carchange.ask(self.look, changes, station, partial(self._stopped, changes))

    def _stopped(self, changes: tuple[Change, ...], choice: str | None) -> None:
        if choice == "confirm":
            self._do(lambda: carchange.record(self.session, changes))
            self._show("")
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

    def _go(self, check_id: str, message: str = "") -> None:
        """Stand at a check from now on."""
        came_from = self._at
        if not self._do(lambda: self.session.move(check_id)):
            return
        self._at, self._came_from = check_id, came_from
        self.view.face()
        self._show(message)
        self._arrive()

    def _do(self, action: Callable[[], object]) -> bool:
        """Do something that is written down; an error is told and leaves everything as it was."""
        try:
            action()
        except StoreError as error:
            self.look.tell(str(error))
            return False
        return True

    def _after_entry(self, before: str, message: str = "") -> None:
        """Go on to where the fold says the person now stands."""
        walk = self.session.walk
        self._at, self._came_from = walk.at, before
        self.view.face()
        if walk.state(self._at).aside and walk.state(self._at).answer is None:
            message = "You set this aside. Answer it, or press s to leave it for the end."
        self._show(message)
        if walk.next_after(before) is None and self._at == before:
            self.action_summary()
        else:
            self._arrive()

    def _may_enter(self) -> bool:
        """Whether something can be entered now; if not, says why."""
        walk = self.session.walk
        if self.session.read_only:
            self.look.tell(f"Looking only: {self.session.busy}")
        elif walk.signed is not None:
            self.look.tell(
                f"Signed off by {walk.signed[0]}. To change something, press m for the summary "
                "and o to open the session again."
            )
        else:
            return True
        return False

    # What is entered

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

    def action_countdown(self) -> None:
        """Start or stop the countdown of a reading taken over time."""
        self.view.count_down(self._at)

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
                self._at, start or (present if kept is None else kept)
            )

    @on(ReadingField.Typed)
    def _reading_typed(self, event: ReadingField.Typed) -> None:
        event.stop()
        self.look.drafts.keep(self.session.id, "reading", event.check_id, event.text)
        judged = judging.judged(self.look, self.session, event.check_id, event.text)
        self.view.show_typed(event.check_id, event.text, judged)

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

    # Other keys

    def action_step(self, by: int) -> None:
        """Go to the next or the previous check in walking order."""
        if not self._leave_reading():
            return
        walk = self.session.walk
        place = walk.index[self._at] + by
        if 0 <= place < len(walk.sequence):
            self._go(walk.sequence[place])
        elif by > 0:
            self.view.say("This is the last check; m shows the summary.")
        else:
            self.view.say("This is the first check.")

    def action_jump(self) -> None:
        """Go to a check or station by a few letters."""
        from checkrun.screens.jump import JumpScreen

        def done(check_id: str | None) -> None:
            if check_id is not None:
                self._go(check_id)

        self.app.push_screen(JumpScreen(self.session.walk, self.look.glyphs), done)

    def action_state(self) -> None:
        """Change the car's state by hand."""
        from checkrun.screens.carstate import CarStateScreen

        def done(change: Change | None) -> None:
            if change is not None:
                wanted = {change.part: change.value}
                changes = changes_to(self.session.walk.car_state, wanted)
                carchange.ask(self.look, changes, None, partial(changed, changes))

        def changed(changes: tuple[Change, ...], choice: str | None) -> None:
            if choice == "confirm":
                self._do(lambda: carchange.record(self.session, changes))
                self._show("")

        if self._may_enter():
            self.app.push_screen(CarStateScreen(self.session.walk.car_state), done)

    def action_summary(self) -> None:
        """Show what came out so far."""
        from checkrun.screens.summary import SummaryScreen

        def done(check_id: str | None) -> None:
            if check_id is not None:
                self._go(check_id, "m brings you back to the summary.")

        if self._leave_reading():
            self.app.push_screen(SummaryScreen(self.session, at=self._at), done)

    def action_scroll(self, by: int) -> None:
        """Scroll the text of the check."""
        self.view.scroll_text(3 * by)

    def action_view(self) -> None:
        """Turn the plan over."""
        self.view.turn_over(self._at)

    def action_take_route(self) -> None:
        """Go on with the version of the route that is on disk now."""
        from checkrun.route.catalog import RouteNotFound
        from checkrun.route.problems import RouteError
        from checkrun.route.tailor import tailor

        if not self._may_enter():
            return
        try:
            route = self.look.changed_route(self.session)
        except (RouteNotFound, RouteError) as error:
            self.look.tell(f"You go on with the copy this walk began with, since {error}")
            return
        walk = self.session.walk
        if route is None:
            self.view.say("The route is as it was when the walk began.")
        elif not tailor(route, walk.year, walk.facts).checks:
            self.look.tell("You go on with the old route: none of the new one fits this car.")
        elif self._do(lambda: self.session.take_route(route)):
            apart = len(walk.vanished)
            self._at = walk.at
            answers = "1 answer is" if apart == 1 else f"{apart} answers are"
            self._show(
                f"The changed route is taken; {answers} kept apart."
                if apart
                else "The changed route is taken; every answer fits."
            )

    def action_leave(self) -> None:
        """Leave the walk; everything is on disk."""
        if self._leave_reading():
            self._leave()

    def action_help(self) -> None:
        """Show every key."""
        self.look.help("Walk")
