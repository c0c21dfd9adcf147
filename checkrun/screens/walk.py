"""The walk screen: where one stands, the check, and what was entered, one key a result."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from checkrun.screens import carchange, keys
from checkrun.screens.theme import BREAKPOINTS, width_class
from checkrun.screens.walkentries import WalkEntries
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.walkview import WalkView
from checkrun.session.stops import Change, changes_to

#: Seconds after which what is not needed for the first look is done.
_SETTLED = 0.4


class WalkScreen(WalkEntries):
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

    def action_countdown(self) -> None:
        """Start or stop the countdown of a reading taken over time."""
        self.view.count_down(self._at)

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

    def action_nearest(self) -> None:
        """Go to the open check that takes the least time to get to."""
        from checkrun.report.nearby import nearest_line
        from checkrun.session.nearby import nearest

        if not self._leave_reading():
            return
        walk = self.session.walk
        near = nearest(walk, self._at)
        here = walk.route.station_of[self._at].id
        line = nearest_line(near, here, walk.car_state)
        if near is None:
            self.view.say(line)
        else:
            self._go(near.check_id, line)

    def action_from_here(self) -> None:
        """Show what else can be done from this spot."""
        from checkrun.session.nearby import spot

        if not self._leave_reading():
            return
        walk = self.session.walk
        found = spot(walk, self._at)
        if not (found.now or found.opened):
            self.view.say("Nothing else is open at this spot; g goes to the nearest.")
            return
        from checkrun.screens.fromhere import FromHereScreen

        def done(check_id: str | None) -> None:
            if check_id is not None:
                self._go(check_id)

        self.app.push_screen(FromHereScreen(walk, self._at, found, self.look.glyphs), done)

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

    def _walked(self) -> None:
        """Nothing is left to go to."""
        self.action_summary()

    def action_summary(self) -> None:
        """Show what came out so far."""
        from checkrun.screens.summary import SummaryScreen

        if self._leave_reading():
            screen = SummaryScreen(self.session, at=self._at)
            self.app.push_screen(screen, self._back_from("m", "summary"))

    def action_claims(self) -> None:
        """Show how sure one may be of each claim."""
        from checkrun.screens.claims import ClaimsScreen

        if self._leave_reading():
            self.app.push_screen(ClaimsScreen(self.session), self._back_from("k", "claims"))

    def action_bill(self) -> None:
        """Show what it costs and the most to pay."""
        from checkrun.screens.bill import BillScreen

        if self._leave_reading():
            self.app.push_screen(BillScreen(self.session), self._back_from("b", "bill"))

    def _back_from(self, key: str, name: str) -> Callable[[str | None], None]:
        """What is done when a screen over the walk answers where to go."""

        def done(check_id: str | None) -> None:
            if check_id is not None:
                self._go(check_id, f"{key} brings you back to the {name}.")

        return done

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
