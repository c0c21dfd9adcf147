"""A dry run: a walk with invented answers in a store that goes away, to feel a route's rhythm."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from decimal import Decimal
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.timer import Timer

from checkrun.judge.invented import Invented, enter, invent
from checkrun.screens import carchange, keys
from checkrun.screens.stop import StopScreen
from checkrun.screens.theme import width_class
from checkrun.screens.walk import WalkScreen
from checkrun.screens.widgets.headline import Headline
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.painted import Painted, Runs
from checkrun.screens.widgets.reading import ReadingField
from checkrun.screens.widgets.walkview import WalkView
from checkrun.session.drafts import Drafts
from checkrun.session.stops import Change
from checkrun.weigh.findings import with_unit

if TYPE_CHECKING:
    from checkrun.session.fold import Walk
    from checkrun.session.session import Session

#: Seconds between two answers of a dry run that goes by itself.
BEAT = 1.0
NOTHING_KEPT = "dry run: nothing is kept"


class DryHeadline(Headline):
    """The walk's first line, which says above all that this is none."""

    def make(self, width: int, height: int) -> Iterable[Runs]:
        """The one row; the station's name has what is left of it."""
        if self._source is None:
            return []
        walk, station, _, bar = self._source
        counts = walk.counts
        place = f" {walk.station_index[station.id] + 1}/{len(walk.stations)} "
        done = f" {counts.answered}/{counts.total} "
        row = [(f" {NOTHING_KEPT} ", "caution"), (place, "here")]
        if width < 84:
            room = max(0, width - len(NOTHING_KEPT) - len(place) - len(done) - 4)
            return [[*row, (f" {station.title[:room]} ", "title"), (done, "text")]]
        cells = 20 * counts.answered // max(counts.total, 1)
        row += [(f" {station.title} ", "title"), (done, "text")]
        row += [(bar[0] * cells, "done-bar"), (bar[1] * (20 - cells), "quiet")]
        return [[*row, (f"  {walk.year} {walk.route.title}", "quiet")]]


class DryView(WalkView):
    """The walk's view; its last line tells the minutes walked by the route's own reckoning."""

    HEADLINE = DryHeadline

    def say(self, message: str | None) -> None:
        """Say something after the minutes."""
        super().say(message)
        status = self.query_one("#status", Painted)
        done, total = _minutes(self._walk)
        status.paint([[(f" {done:.0f} of {total:.0f} min ", "here"), *status.rows[0]]])


class DryRunScreen(WalkScreen):
    """A walk on which one key invents the answer, and another lets it go by itself."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.DRYRUN]

    def __init__(
        self,
        session: Session,
        *,
        leave: Callable[[], None],
        folder: TemporaryDirectory[str] | None = None,
    ) -> None:
        """Show a session of a store that goes away.

        Args:
            session: Open; closed when the screen goes.
            leave: What to do when the person leaves.
            folder: The store, if it is to go away with the screen.
        """
        super().__init__(session, leave=leave)
        self._folder = folder
        self._beats: Timer | None = None
        self._stop: StopScreen | None = None
        self._kept: tuple[Drafts, dict[tuple[str, str], str]] | None = None

    def compose(self) -> ComposeResult:
        """What the walk shows, and the keys."""
        self.add_class(width_class(self.app.size.width))
        yield DryView(self.session.walk, self.look.glyphs)
        yield Hints([*keys.DRYRUN, *keys.WALK], rows=2)

    def on_mount(self) -> None:
        """Nothing that is typed here is kept in the person's own store either."""
        self._kept = self.look.drafts, self.look.marked
        self.look.drafts, self.look.marked = Drafts(self.session.store.folder), {}
        self.look.dry = True

    def on_unmount(self) -> None:
        """Give back what was there before, and let the store go."""
        self._halt()
        if self._kept is not None:
            self.look.drafts, self.look.marked = self._kept
            self.look.dry = False
        self.session.close()
        if self._folder is not None:
            self._folder.cleanup()

    # One answer

    def action_invent(self) -> None:
        """Record an invented answer for this check and go on."""
        if not self._leave_reading() or not self._may_enter():
            return
        walk, check_id = self.session.walk, self._at
        if walk.state(check_id).answer is not None:
            following = walk.next_after(check_id)
            if following is None:
                self._walked()
            else:
                self._go(following)
            return
        today = walk.events[-1].at.date()
        said = invent(walk, check_id, today)
        first = not walk.state(check_id).aside
        if said.aside and first and walk.next_after(check_id) is not None:
            self.action_set_aside()
        elif self._do(lambda: enter(self.session, check_id, said, today)):
            self._after_entry(check_id, _told(said, self._unit(check_id)))

    def _unit(self, check_id: str) -> str:
        reading = self.session.walk.route.checks[check_id].reading
        return "" if reading is None else reading.unit

    # By itself

    @property
    def going(self) -> bool:
        """Whether it goes by itself."""
        return self._beats is not None

    def action_run(self) -> None:
        """Go by itself, an answer a beat; the same key stops it."""
        if self.going:
            self._halt()
            self.view.say("Stopped.")
        elif self._leave_reading() and self._may_enter():
            self._beats = self.set_interval(BEAT, self._beat)
            self.view.say("It goes by itself now; the same key stops it.")

    def _halt(self) -> None:
        if self._beats is not None:
            self._beats.stop()
            self._beats = None

    def _beat(self) -> None:
        """One answer, or a change of the car once it was seen; a safety stop waits for a yes."""
        top = self.app.screen
        if isinstance(top, StopScreen):
            seen, self._stop = self._stop is top, top
            changes = carchange.needed(self.session, self._at)
            if seen and top.is_mounted and not any(change.caution for change in changes):
                top.action_confirm()
        elif top is self and not self.query_one(ReadingField).check_id:
            if self.session.walk.counts.open:
                self.action_invent()
            else:
                self._halt()
                self._walked()

    def _stopped(self, changes: tuple[Change, ...], choice: str | None) -> None:
        if choice != "confirm":
            self._halt()
        super()._stopped(changes, choice)

    def _do(self, action: Callable[[], object]) -> bool:
        done = super()._do(action)
        if not done:
            self._halt()
        return done

    def _walked(self) -> None:
        self._halt()
        super()._walked()

    def action_help(self) -> None:
        """Show every key."""
        self.look.help("Dry run")


def _minutes(walk: Walk) -> tuple[Decimal, Decimal]:
    """Minutes of the checks with a result, and of all, by the route's own figures."""
    done = total = Decimal(0)
    for check_id, check in walk.route.checks.items():
        total += check.minutes
        if walk.state(check_id).answer is not None:
            done += check.minutes
    return done, total


def _told(said: Invented, unit: str) -> str:
    """An invented answer in one line: one does not see it otherwise, for the walk goes on."""
    words = f"Invented: {said.result.value.replace('-', ' ')}"
    for text in (said.why, with_unit(said.reading, unit), said.note):
        if text:
            words += f"; {text}"
    return words
