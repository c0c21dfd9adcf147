"""The routes there are: whose each is, what it covers, and how to start a walk on it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.screen import Screen
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from checkrun.report.brief import looking
from checkrun.report.sheet import Row
from checkrun.route.catalog import Catalog, Found
from checkrun.route.model import Route
from checkrun.route.problems import RouteError
from checkrun.screens import keys
from checkrun.screens.theme import BREAKPOINTS, width_class
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.painted import Painted
from checkrun.screens.widgets.sheet import Sheet

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp


class RoutesScreen(Screen[None]):
    """A list of routes with what each is for."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.ROUTES]
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS

    def __init__(self, catalog: Catalog) -> None:
        super().__init__()
        self._catalog = catalog
        self._found: tuple[Found, ...] = ()
        self._read: dict[str, Route | RouteError] = {}
        self._seen = 0

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    def _read_all(self) -> None:
        self._seen = self.look.edits
        self._found = self._catalog.all()
        for found in self._found:
            try:
                self._read[found.id] = self._catalog.load(found.id)
            except RouteError as error:
                self._read[found.id] = error

    def compose(self) -> ComposeResult:
        """Headline, list and detail, keys."""
        self._read_all()
        self.add_class(width_class(self.app.size.width))
        yield Painted(id="headline")
        with Horizontal(id="split"):
            yield OptionList(*(Option(self._line(found)) for found in self._found))
            detail = Sheet(id="detail")
            detail.add_class("-always")
            yield detail
        yield Hints(keys.ROUTES)

    def on_mount(self) -> None:
        """Start on the first route."""
        self.query_one("#headline", Painted).paint(
            [[(" Routes ", "here"), ("  which fits the car? Enter starts a walk on it", "quiet")]]
        )
        options = self.query_one(OptionList)
        options.focus()
        options.action_first()

    def on_screen_resume(self) -> None:
        """Read the routes anew when one may have been written in meanwhile."""
        if self._seen == self.look.edits or not self.is_mounted:
            return
        self._read_all()
        options = self.query_one(OptionList)
        kept = options.highlighted
        options.set_options(Option(self._line(found)) for found in self._found)
        options.highlighted = kept

    def _line(self, found: Found) -> Content:
        route = self._read[found.id]
        mine = " (yours)" if found.owner == "yours" else ""
        if isinstance(route, RouteError):
            return Content.assemble(f"{found.id}{mine}  ", ("can't be walked", "$error"))
        return Content.assemble(f"{route.title}{mine}", (f"  {route.years}, {found.id}", "$quiet"))

    @on(OptionList.OptionHighlighted)
    def _highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self.query_one("#detail", Sheet).show(self._rows(self._found[event.option_index]))

    def _rows(self, found: Found) -> Iterator[Row]:
        route = self._read[found.id]
        if isinstance(route, RouteError):
            yield Row("", f"{found.id} can't be walked yet", "fail")
            for problem in route.problems[:8]:
                yield Row("", str(problem))
                if problem.hint:
                    yield Row("", problem.hint, "quiet")
            return
        yield Row("", route.title, "title")
        if found.owner == "yours":
            wins = "; it wins over the shipped route of that name" if found.hides else ""
            yield Row("", f"Your own route{wins}.", "concern")
        yield Row("years", str(route.years))
        yield Row("checks", f"{len(route.checks)} at {len(route.stations)} stations")
        yield Row("time", f"about {looking(route):.0f} minutes, without lifting")
        if route.built_on:
            yield Row("built on", ", then ".join(route.built_on))
        if route.about:
            yield Row("", "")
            yield Row("", route.about)

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_choose()

    def _marked(self) -> tuple[Found, Route] | None:
        place = self.query_one(OptionList).highlighted
        if place is None:
            return None
        found = self._found[place]
        route = self._read[found.id]
        if isinstance(route, RouteError):
            self.look.tell(f"{found.id} can't be walked: {route}")
            return None
        return found, route

    def action_choose(self) -> None:
        """Ask about the car."""
        from checkrun.screens.intake import IntakeScreen

        marked = self._marked()
        if marked is not None:
            self.app.push_screen(IntakeScreen(self._catalog, marked[1]))

    def action_read(self) -> None:
        """Read the route in walking order."""
        from checkrun.screens.reader import RouteReader

        marked = self._marked()
        if marked is not None:
            self.app.push_screen(RouteReader(marked[1], self.look.glyphs))

    def action_browse(self) -> None:
        """Go through the route station by station."""
        marked = self._marked()
        if marked is not None:
            self.look.browse_route(self._catalog, *marked)

    def action_dry_run(self) -> None:
        """Walk it with invented answers."""
        marked = self._marked()
        if marked is not None:
            self.look.dry_run(self._catalog, marked[0].id, None)

    def action_edit(self) -> None:
        """Change the file of the route, be it in order or not."""
        place = self.query_one(OptionList).highlighted
        if place is not None:
            self.look.edit_route(self._catalog, self._found[place])

    def action_leave(self) -> None:
        """Go back."""
        self.look.leave_intake()

    def action_help(self) -> None:
        """Show the keys."""
        self.look.help("Routes")
