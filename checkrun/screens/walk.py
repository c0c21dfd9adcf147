"""The walk screen: where one stands, the check, and what was entered, one key a result."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import partial
from typing import TYPE_CHECKING, ClassVar, cast

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Input

from checkrun.report.pace import minutes_to_go
from checkrun.report.plan import Mark, View, view_of
from checkrun.report.sheet import check_rows, entered_rows
from checkrun.route.model import Result, Station
from checkrun.screens import keys
from checkrun.screens.theme import BREAKPOINTS
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.painted import Painted, Runs
from checkrun.screens.widgets.plan import Plan
from checkrun.screens.widgets.sheet import Sheet
from checkrun.screens.widgets.stations import Stations
from checkrun.session.errors import StoreError
from checkrun.session.session import Session
from checkrun.session.stops import Change, changes_before

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp

#: A longer gap between two entries is a break and does not count as time at the car.
_BREAK = timedelta(minutes=10)


class WalkScreen(Screen[None]):
    """One session, from the check the person stands at."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *keys.WALK,
        *(
            Binding(name, f"type_reading({name!r})", "reading", show=False, id=f"walk.digit-{name}")
            for name in keys.READING_STARTERS
        ),
    ]
    HORIZONTAL_BREAKPOINTS = list(BREAKPOINTS)
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
        self._view: View | None = None
        self._message = ""
        self._minutes = minutes_to_go(session.walk)
        self._spent = timedelta()
        self._clocked = 0
        self._typed_for = ""

    # What is on screen

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    def compose(self) -> ComposeResult:
        """Headline, the three columns, what was said last, the keys."""
        glyphs = self.look.glyphs
        yield Painted(id="headline")
        with Horizontal(id="body"):
            yield Stations(glyphs)
            with Vertical(id="left"):
                yield Sheet(id="sheet")
                yield Painted(id="entered")
                with Horizontal(id="reading-row"):
                    yield Painted(id="reading-label")
                    yield Input(id="reading", compact=True, select_on_focus=False)
            yield Plan(glyphs)
        yield Painted(id="status")
        yield Hints(keys.WALK, rows=2)

    def on_mount(self) -> None:
        """Show where the walk stands."""
        walk = self.session.walk
        self.query_one("#reading-label", Painted).paint([[("reading", "label")]])
        if self.session.busy:
            self._say(f"Looking only: {self.session.busy}")
        elif walk.counts.answered:
            self._say(f"Welcome back. {self._last_answered()}")
        self._show()
        if walk.signed is not None:
            self.call_after_refresh(self.action_summary)
        else:
            self.call_after_refresh(self._arrive)

    def on_unmount(self) -> None:
        """Let go of the session's file."""
        self.session.close()

    def on_screen_resume(self) -> None:
        """Show the walk anew when another screen has gone from above it."""
        if self._at != self.session.walk.at and not self.session.read_only:
            self._at = self.session.walk.at
        self._show()

    def on_resize(self, event: events.Resize) -> None:
        """The painted parts fit themselves; what was entered may have more room."""
        self._show_entered()

    def _last_answered(self) -> str:
        """The last result, as a help to pick up the thread after a break."""
        walk = self.session.walk
        done = walk.last_answered(1)
        if not done:
            return ""
        answer = walk.state(done[0]).answer
        word = "" if answer is None else answer.result.value.replace("-", " ")
        return f"Done last: {walk.route.checks[done[0]].ask}: {word}."

    def _show(self) -> None:
        """Paint everything that depends on the present check."""
        walk = self.session.walk
        if self._at not in walk.index:
            self._at = walk.at
        check, station = walk.route.checks[self._at], walk.route.station_of[self._at]
        state = walk.state(self._at)
        self.query_one(Sheet).show(check_rows(check, station, state, self.look.glyphs))
        self._show_entered()
        self._show_headline(station)
        self._show_plan(station)
        self._show_status()

    def _show_entered(self) -> None:
        walk = self.session.walk
        widget = self.query_one("#entered", Painted)
        width = widget.size.width - 11
        if width <= 0 or self._at not in walk.index:
            return
        rows: list[Runs] = []
        for row in entered_rows(walk.state(self._at), self.look.glyphs):
            lines = row.text.splitlines() or [""]
            more = " ..." if len(lines) > 1 else ""
            role = row.role if row.role not in ("text", "entered") else "label"
            rows.append([(f"{row.label:11}", role), (lines[0] + more, row.role)])
        widget.paint(rows)

    def _show_headline(self, station: Station) -> None:
        walk = self.session.walk
        counts = walk.counts
        place = walk.stations.index(station) + 1
        name = walk.facts.get("serial") or walk.route.title
        full, empty = self.look.glyphs.bar
        cells = 10 if self.size.width < 84 else 20
        done = round(cells * counts.answered / max(counts.total, 1))
        self.query_one("#headline", Painted).paint(
            [
                [
                    (f" {place}/{len(walk.stations)} ", "here"),
                    (f" {station.title} ", "title"),
                    (f" {counts.answered}/{counts.total} ", "text"),
                    (full * done, "done-bar"),
                    (empty * (cells - done), "quiet"),
                    (f" {self._time()}", "quiet"),
                    (f"  {walk.year} {name}", "quiet"),
                ]
            ]
        )

    def _time(self) -> str:
        """Minutes at the car so far and likely to come."""
        moments = self.session.walk.events
        for index in range(max(self._clocked, 1), len(moments)):
            gap = moments[index].at - moments[index - 1].at
            if timedelta() < gap <= _BREAK:
                self._spent += gap
        self._clocked = len(moments)
        return f"{self._spent.total_seconds() / 60:.0f} min, ~{self._minutes:.0f} to go"

    def _show_plan(self, station: Station) -> None:
        walk = self.session.walk
        mark = self._marker(station)
        view = self._view or view_of(station, walk.route.outline)
        self.query_one(Plan).show(walk.route.outline, walk.stations, mark, view)
        stations = self.query_one(Stations)
        if stations.display and self.has_class("-wide"):
            here = walk.stations.index(station)
            stations.show(walk.stations, here, walk.station_counts, mark)

    def _marker(self, here: Station) -> Callable[[Station], Mark]:
        walk = self.session.walk
        following = walk.next_after(here.checks[-1].id)
        ahead = None if following is None else walk.route.station_of[following]

        def mark(station: Station) -> Mark:
            if station is here:
                return Mark.YOU
            if ahead is not None and station is ahead:
                return Mark.NEXT
            counts = walk.station_counts(station.id)
            if counts.fail:
                return Mark.FAIL
            if counts.concern:
                return Mark.CONCERN
            return Mark.OPEN if counts.open else Mark.DONE

        return mark

    def _show_status(self) -> None:
        walk = self.session.walk
        if self._message:
            row = [(f" {self._message}", "message")]
        else:
            state = walk.car_state
            words = [
                f"car {state['car']}",
                f"wheels {state['wheels']}",
                f"bonnet {state['bonnet']}",
                f"boot {state['boot']}",
                f"engine {state['engine']}",
            ]
            row = [(" " + " · ".join(words), "quiet")]
        self.query_one("#status", Painted).paint([row])

    def _say(self, message: str) -> None:
        self._message = message

    # Going about

    def _arrive(self) -> None:
        """Ask for the car's state that this station needs, if it is another."""
        walk = self.session.walk
        if self.session.read_only or walk.signed is not None:
            return
        station = walk.route.station_of[self._at]
        changes = changes_before(walk.car_state, station)
        if changes and walk.state(self._at).answer is None:
            self._stop(changes, station)

    def _stop(self, changes: tuple[Change, ...], station: Station | None) -> None:
        from checkrun.screens.stop import StopScreen

        title = "Change of the car's state" if station is None else f"Before: {station.title}"
        cannot = station is not None
        self.app.push_screen(
            StopScreen(title, changes, can_refuse=cannot), partial(self._stopped, changes)
        )

    def _stopped(self, changes: tuple[Change, ...], choice: str | None) -> None:
        if choice == "confirm":
            self._do(lambda: self._confirm(changes))
            self._say("")
            self._show()
        elif choice == "cannot":
            self._cannot(changes)
        elif choice == "back":
            self._step_back_from_stop()

    def _confirm(self, changes: tuple[Change, ...]) -> None:
        for change in changes:
            self.session.confirm_state({change.part: change.value}, change.caution)

    def _step_back_from_stop(self) -> None:
        """Go to the nearest check before this one whose station needs no change."""
        walk = self.session.walk
        for check_id in reversed(walk.sequence[: walk.index[self._at]]):
            if not changes_before(walk.car_state, walk.route.station_of[check_id]):
                self._go(check_id, "You stayed where the car is as it is.")
                return
        self._show()

    def _cannot(self, changes: tuple[Change, ...]) -> None:
        """Record every open check that needs these changes as not examined, with one reason."""
        walk = self.session.walk
        wanted = {(change.part, change.value) for change in changes}
        blocked = [
            check_id
            for check_id in walk.open_ids()
            if wanted & set(walk.route.station_of[check_id].needs)
        ]
        what = ", ".join(change.do.lower() for change in changes)
        self._ask_reason(f"{len(blocked)} checks not examined, since you can't {what}", blocked)

    def _go(self, check_id: str, message: str = "") -> None:
        """Stand at a check from now on."""
        if self.session.read_only or self.session.walk.signed is not None:
            self._at = check_id
        elif not self._do(lambda: self.session.move(check_id)):
            return
        else:
            self._at = self.session.walk.at
        self._view = None
        self._say(message)
        self._show()
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
        self._at = walk.at
        self._view = None
        check = walk.route.checks[before]
        if walk.state(before).answer is not None:
            self._minutes = max(0.0, self._minutes - float(check.minutes))
        self._say(message)
        if self._at != before and walk.state(self._at).aside:
            self._say("You set this aside. Answer it, or press s to leave it for the end.")
        self._show()
        if walk.next_after(before) is None and self._at == before:
            self.action_summary()
        else:
            self._arrive()

    # What is entered

    def action_answer(self, result: str) -> None:
        """Record a result and go on."""
        self._record(Result(result), "")

    def _record(self, result: Result, why: str) -> None:
        check_id = self._at
        had = self.session.walk.state(check_id).answer
        self._leave_reading()
        if self._do(lambda: self.session.answer(check_id, result, why=why)):
            if had is not None:
                self._minutes += float(self.session.walk.route.checks[check_id].minutes)
            self._after_entry(check_id)

    def action_not_examined(self) -> None:
        """Ask why, then record it."""
        check = self.session.walk.route.checks[self._at]
        self._ask_reason(check.ask, [self._at])

    def _ask_reason(self, title: str, checks: list[str]) -> None:
        from checkrun.screens.reason import ReasonScreen

        if self._refused():
            self._show()
            return

        def done(why: str | None) -> None:
            if not why:
                self._show()
            elif len(checks) == 1 and checks[0] == self._at:
                self._record(Result.NOT_EXAMINED, why)
            elif self._do(lambda: self.session.answer_many(checks, Result.NOT_EXAMINED, why)):
                self._minutes = minutes_to_go(self.session.walk)
                self._after_entry(
                    checks[-1], f"{len(checks)} checks not examined; u takes it back."
                )

        self.app.push_screen(ReasonScreen(title), done)

    def _refused(self) -> bool:
        """Whether nothing can be entered; says why."""
        walk = self.session.walk
        if self.session.read_only:
            self.look.tell(f"Looking only: {self.session.busy}")
            return True
        if walk.signed is not None:
            self.look.tell(
                f"Signed off by {walk.signed[0]}. To change something, press m for the summary "
                "and o to open the session again."
            )
            return True
        return False

    def action_set_aside(self) -> None:
        """Leave the check for later."""
        check_id = self._at
        if self.session.walk.state(check_id).answer is not None:
            self._say("This check has its result already; u takes the last entry back.")
            self._show_status()
            return
        if self._do(lambda: self.session.set_aside(check_id)):
            self._after_entry(check_id, "Set aside; it comes back before you leave the station.")

    def action_undo(self) -> None:
        """Take back the last entry."""
        self._turn(self.session.undo, "Undone.", "There is nothing to undo.")

    def action_redo(self) -> None:
        """Bring back what was undone."""
        self._turn(self.session.redo, "Redone.", "There is nothing to redo.")

    def _turn(self, turn: Callable[[], bool], done: str, nothing: str) -> None:
        turned = False

        def action() -> None:
            nonlocal turned
            turned = turn()

        if self._do(action):
            self._at = self.session.walk.at
            self._minutes = minutes_to_go(self.session.walk)
            self._say(done if turned else nothing)
            self._show()

    def action_note(self) -> None:
        """Write or change the note."""
        from checkrun.screens.note import NoteScreen

        if self._refused():
            return
        check_id = self._at
        walk = self.session.walk
        drafts = self.look.drafts
        kept = drafts.get(self.session.id, "note", check_id)

        def done(text: str | None) -> None:
            if text is not None and not self._do(lambda: self.session.note(check_id, text)):
                return
            drafts.drop(self.session.id, "note", check_id)
            self._show()

        self.app.push_screen(
            NoteScreen(
                walk.route.checks[check_id].ask,
                walk.state(check_id).note if kept is None else kept,
                changed=lambda text: drafts.keep(self.session.id, "note", check_id, text),
            ),
            done,
        )

    def action_reading(self) -> None:
        """Open the reading field with what stands in it."""
        self._open_reading("")

    def action_type_reading(self, name: str) -> None:
        """Open the reading field with the digit that was pressed."""
        self._open_reading({"minus": "-", "full_stop": "."}.get(name, name))

    def _open_reading(self, start: str) -> None:
        if self._refused():
            return
        walk = self.session.walk
        if walk.route.checks[self._at].reading is None and not start:
            self._say("Nothing is measured at this check; a digit opens the field all the same.")
            self._show_status()
            return
        field = self.query_one("#reading", Input)
        kept = self.look.drafts.get(self.session.id, "reading", self._at)
        self._typed_for = self._at
        field.value = start or (walk.state(self._at).reading if kept is None else kept)
        field.cursor_position = len(field.value)
        self.query_one("#reading-row").add_class("-open")
        field.focus()

    @on(Input.Changed, "#reading")
    def _reading_changed(self, event: Input.Changed) -> None:
        event.stop()
        if self._typed_for:
            self.look.drafts.keep(self.session.id, "reading", self._typed_for, event.value)

    @on(Input.Submitted, "#reading")
    def _reading_done(self, event: Input.Submitted) -> None:
        event.stop()
        self._leave_reading()

    def on_key(self, event: events.Key) -> None:
        """Escape leaves the reading field as Enter does: what was typed is kept."""
        if event.key == "escape" and self._typed_for:
            event.stop()
            self._leave_reading()

    def _leave_reading(self) -> None:
        """Keep what was typed and give the keys back to the walk."""
        if not self._typed_for:
            return
        check_id, field = self._typed_for, self.query_one("#reading", Input)
        if not self._do(lambda: self.session.measure(check_id, field.value)):
            return
        self._typed_for = ""
        self.look.drafts.drop(self.session.id, "reading", check_id)
        self.query_one("#reading-row").remove_class("-open")
        self.set_focus(None)
        self._show_entered()

    # Other keys

    def action_step(self, by: int) -> None:
        """Go to the next or the previous check in walking order."""
        self._leave_reading()
        walk = self.session.walk
        place = walk.index[self._at] + by
        if 0 <= place < len(walk.sequence):
            self._go(walk.sequence[place])
        else:
            self._say(
                "This is the last check; m shows the summary."
                if by > 0
                else "This is the first check."
            )
            self._show_status()

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

        if self._refused():
            return

        def done(change: Change | None) -> None:
            if change is not None:
                self._stop((change,), None)

        self.app.push_screen(CarStateScreen(self.session.walk.car_state), done)

    def action_summary(self) -> None:
        """Show what came out so far."""
        from checkrun.screens.summary import SummaryScreen

        self._leave_reading()

        def done(check_id: str | None) -> None:
            if check_id is not None:
                self._go(check_id, "m brings you back to the summary.")
            else:
                self._show()

        self.app.push_screen(SummaryScreen(self.session, at=self._at), done)

    def action_scroll(self, by: int) -> None:
        """Scroll the text of the check."""
        self.query_one(Sheet).scroll_rows(3 * by)

    def action_view(self) -> None:
        """Turn the plan over."""
        walk = self.session.walk
        station = walk.route.station_of[self._at]
        shown = self._view or view_of(station, walk.route.outline)
        self._view = View.BELOW if shown is View.ABOVE else View.ABOVE
        self._show_plan(station)

    def action_take_route(self) -> None:
        """Go on with the version of the route that is on disk now."""
        if self._refused():
            return
        route = self.look.changed_route(self.session)
        if route is None:
            self._say("The route is as it was when the walk began.")
        elif self._do(lambda: self.session.take_route(route)):
            self._at = self.session.walk.at
            self._minutes = minutes_to_go(self.session.walk)
            apart = len(self.session.walk.vanished)
            self._say(
                f"The changed route is taken; {apart} answers are kept apart."
                if apart
                else "The changed route is taken; every answer fits."
            )
        self._show()

    def action_leave(self) -> None:
        """Leave the walk; everything is on disk."""
        self._leave_reading()
        self._leave()

    def action_help(self) -> None:
        """Show every key."""
        self.look.help("Walk")
