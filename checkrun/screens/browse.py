"""A route browsed as a walk: where one goes, what is done to the car, what is looked at there."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.screen import Screen

from checkrun.report.plan import Mark, View, view_of
from checkrun.report.way import Way, way
from checkrun.report.waysheet import list_rows, told_rows
from checkrun.route.catalog import Catalog, Found, RouteNotFound, YearNotCovered
from checkrun.route.model import Route, Station, Years
from checkrun.route.problems import RouteError
from checkrun.route.stretches import layers_on, stretches
from checkrun.route.tailor import of_year
from checkrun.screens import keys
from checkrun.screens.theme import BREAKPOINTS, width_class
from checkrun.screens.widgets.figures import Figures
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.painted import Painted
from checkrun.screens.widgets.picklist import PickList
from checkrun.screens.widgets.plan import Plan
from checkrun.screens.widgets.sheet import Sheet
from checkrun.session.fold import Walk

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp


class BrowseScreen(Screen[None]):
    """One route, at one of its checks."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.BROWSE]
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    AUTO_FOCUS = ""

    def __init__(self, catalog: Catalog, found: Found, route: Route) -> None:
        """Show a route.

        Args:
            catalog: Where it was found.
            found: Its file.
            route: What is in it.
        """
        super().__init__()
        self._catalog = catalog
        self._found = found
        self._route = route
        self._years: tuple[Years, ...] | None = None
        self._year: Years | None = None
        self._layer = route.id
        self._way: Way | None = None
        self._walk = Walk(route, ())
        self._at = ""
        self._turned: View | None = None
        self._seen = 0

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    def compose(self) -> ComposeResult:
        """Headline; the way, the check and the plan; figures; keys."""
        self.add_class(width_class(self.app.size.width))
        yield Painted(id="headline")
        with Container(id="browse"):
            yield PickList(self.look.glyphs.station["next"], id="way")
            yield Sheet(id="told", more="Space")
            yield Plan(self.look.glyphs)
        yield Figures(id="status")
        yield Hints(keys.BROWSE, rows=2)

    def on_mount(self) -> None:
        """Plan the way once the screen stands: for a long route that takes its time."""
        self._seen = self.look.edits
        self._paint_headline("Planning the way ...")
        self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        """Plan the way, if a key that was pressed early has not had it planned already."""
        if self._way is None:
            self._take(self._route)

    def on_screen_resume(self) -> None:
        """Take the route anew when it may have been changed meanwhile."""
        if self._seen != self.look.edits and self._way is not None:
            self._seen = self.look.edits
            self._read_anew()

    def _read_anew(self) -> None:
        try:
            self._route = self._catalog.load(self._found.id)
        except (RouteNotFound, RouteError) as error:
            self.look.tell(f"It can't be walked as it is now: {error}")
            return
        self._years = None
        self._take_years(self._year if self._year in self._stretches() else None)

    def _take_years(self, years: Years | None) -> None:
        """Show the route for some model years, by the layer that fits them; None for all."""
        route = self._route
        if years is not None:
            try:
                route = self._catalog.for_year(self._found.id, years.first)
            except (RouteNotFound, RouteError, YearNotCovered) as error:
                self.look.tell(str(error))
                return
        self._year, self._layer = years, route.id
        self._take(route if years is None else of_year(route, years.first))

    def _take(self, route: Route) -> None:
        """Show a route from now on, at the check that was shown if it has it."""
        self._way = way(route)
        self._walk = Walk(route, self._way.stations)
        if self._at not in self._walk.index:
            self._at = self._walk.sequence[0] if self._walk.sequence else ""
        self._show()

    # What is shown

    @property
    def _place(self) -> int:
        """The number of the present station, from 0."""
        station = self._walk.route.station_of.get(self._at)
        return 0 if station is None else self._walk.station_index[station.id]

    def _show(self) -> None:
        walked = self._way
        if walked is None:
            return
        self._paint_headline()
        self.query_one(Figures).show(walked, self._place)
        glyphs, place = self.look.glyphs, self._place
        rows, at = list_rows(walked, place, self._at, self._mark, glyphs)
        self.query_one(PickList).show(rows, at)
        self.query_one("#told", Sheet).show(told_rows(walked, place, self._at, glyphs))
        if self._at:
            here = walked.halts[self._place].station
            view = self._turned or view_of(here, walked.route.outline)
            self.query_one(Plan).show(walked.route.outline, walked.stations, self._mark, view)

    def _paint_headline(self, message: str = "") -> None:
        """The years and the name, or what is to be said until the next key."""
        if self._year is None:
            known = self._route.years
            years = f"all years {known}" if known.span > 1 else f"model year {known}"
        else:
            word = "year" if self._year.span == 1 else "years"
            years = f"model {word} {self._year}: {self._layer}"
        told = (message, "message") if message else (self._walk.route.title, "title")
        row = [(f" {years} ", "here"), ("  ", "text"), told]
        self.query_one("#headline", Painted).paint([row])

    def _mark(self, station: Station) -> Mark:
        """How a station stands on the way: walked, here, next, or still to come."""
        place = self._walk.station_index[station.id] - self._place
        if place == 0:
            return Mark.YOU
        return Mark.DONE if place < 0 else Mark.NEXT if place == 1 else Mark.OPEN

    # Keys

    def _go(self, check_id: str) -> None:
        if self._walk.route.station_of[check_id] is not self._walk.route.station_of[self._at]:
            self._turned = None
        self._at = check_id
        self._show()

    def action_check(self, by: int) -> None:
        """Go to the next or the previous check, over the ends of a station too."""
        self._begin()
        place = self._walk.index.get(self._at, 0) + by
        if 0 <= place < len(self._walk.sequence):
            self._go(self._walk.sequence[place])

    def action_station(self, by: int) -> None:
        """Go to the first check of the next or the previous station."""
        self._begin()
        place = self._place + by
        if 0 <= place < len(self._walk.stations):
            self._go(self._walk.stations[place].checks[0].id)

    def action_scroll(self, by: int) -> None:
        """Scroll the text of the check."""
        self.query_one("#told", Sheet).scroll_rows(3 * by)

    def action_view(self) -> None:
        """See the car from the other side, until another station is gone to."""
        self._begin()
        plan = self.query_one(Plan)
        if self._way is None or not self._at:
            return
        if plan.both:
            self._paint_headline("Both views are on screen.")
            return
        shown = self._turned or view_of(
            self._way.halts[self._place].station, self._way.route.outline
        )
        self._turned = View.BELOW if shown is View.ABOVE else View.ABOVE
        self._show()

    def action_year(self) -> None:
        """Go on to the next model years that are walked in another way, then to all of them."""
        self._begin()
        years = self._stretches()
        if len(years) < 2:
            self._paint_headline("Every model year is walked alike.")
            return
        place = -1 if self._year is None else years.index(self._year)
        self._take_years(years[place + 1] if place + 1 < len(years) else None)

    def _stretches(self) -> tuple[Years, ...]:
        """The years between which the walk changes; found when first asked for."""
        if self._years is None:
            others = []
            for found in self._catalog.all():
                try:
                    others.append(self._catalog.load(found.id))
                except RouteError:
                    continue
            self._years = stretches(self._route, layers_on(self._route, others))
        return self._years

    def action_jump(self) -> None:
        """Go to a check or station by a few letters."""
        from checkrun.screens.jump import JumpScreen

        def done(check_id: str | None) -> None:
            if check_id is not None:
                self._go(check_id)

        self._begin()
        if self._at:
            self.app.push_screen(JumpScreen(self._walk, self.look.glyphs), done)

    def action_walk(self) -> None:
        """Start a walk on it: ask about the car first."""
        from checkrun.screens.intake import IntakeScreen

        year = None if self._year is None else self._year.first
        self.app.push_screen(IntakeScreen(self._catalog, self._route, year))

    def action_dry_run(self) -> None:
        """Walk it with invented answers."""
        self.look.dry_run(
            self._catalog, self._found.id, None if self._year is None else self._year.first
        )

    def action_edit(self) -> None:
        """Change the file of the route."""
        self.look.edit_route(self._catalog, self._found)

    def action_read(self) -> None:
        """Read it from its first station to its last."""
        from checkrun.screens.reader import RouteReader

        self.app.push_screen(RouteReader(self._walk.route, self.look.glyphs))

    def action_leave(self) -> None:
        """Go back to the routes."""
        self.dismiss(None)

    def action_help(self) -> None:
        """Show the keys."""
        self.look.help("Browsing a route")
