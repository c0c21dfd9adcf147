"""The program on screen: what all screens share, and which of them comes first."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.filter import NoColor
from textual.screen import Screen

from checkrun import settings as settings_file
from checkrun.report.glyphs import ASCII, Glyphs
from checkrun.screens import keys
from checkrun.screens.inorder import InOrder
from checkrun.screens.theme import THEMES
from checkrun.session.drafts import Drafts
from checkrun.session.errors import StoreError
from checkrun.settings import Settings

if TYPE_CHECKING:
    from checkrun.route.catalog import Catalog, Found
    from checkrun.route.model import Route
    from checkrun.session.session import Session
    from checkrun.session.store import Store

#: Makes the first screen once the app is there.
First = Callable[["CheckrunApp"], Screen[None]]


class CheckrunApp(InOrder[None]):
    """The app: the core's objects, the theme, and the way between screens.

    Attributes:
        catalog: The routes there are.
        store: Where sessions are kept.
        drafts: What is being typed.
        glyphs: The characters this terminal can show.
        units: What bare numbers are in: `metric`, `us`, or empty for the route's units.
        chosen_keys: The keys the person chose instead of ours, by the binding's id.
    """

    CSS_PATH = "app.tcss"
    TITLE = "checkrun"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [*keys.ANYWHERE]

    def __init__(
        self,
        *,
        catalog: Catalog,
        store: Store,
        glyphs: Glyphs,
        first: First,
        settings: Settings,
        settings_path: Path | None = None,
    ) -> None:
        super().__init__()
        if self.no_color:
            # Textual's own filter turns colours into greys; who sets NO_COLOR wants none sent.
            self._filters[:] = [NoColor()]
        self.catalog = catalog
        self.store = store
        self.drafts = Drafts(store.folder)
        self.glyphs = glyphs
        self.units = settings.units
        self.chosen_keys = dict(settings.keys)
        #: Where a person stood on the claims or the bill of a session, to come back to it.
        self.marked: dict[tuple[str, str], str] = {}
        #: Whether the walk on screen is a dry run, and how often a route was opened to be changed.
        self.dry = False
        self.edits = 0
        self._first = first
        self._settings = settings
        self._settings_path = settings_path
        self.set_class(glyphs is ASCII, "-ascii")
        for theme in THEMES.values():
            self.register_theme(theme)
        self.theme = settings.theme if settings.theme in THEMES else "dark"

    def get_default_screen(self) -> Screen[None]:
        """The screen at the bottom of all others."""
        return self._first(self)

    def on_mount(self) -> None:
        """Give actions the keys the person chose for them."""
        problem = self._settings.problem
        if self.chosen_keys:
            self.set_keymap(self.chosen_keys)
            unknown = [name for name in self._settings.keys if name not in keys.IDS]
            if unknown:
                from checkrun.route.problems import nearest

                hint = nearest(unknown[0], keys.IDS)
                problem = f"no action is called {unknown[0]}. {hint}".strip()
        if problem:
            self.tell(f"The settings could not be used in full: {problem}")

    # Between screens

    def open_session(self, name: str) -> None:
        """Open a session: on its check, or on its summary if it is signed off."""
        try:
            session = self.store.open(name)
        except StoreError as error:
            self.tell(str(error))
            return
        self.show_session(session)

    def show_session(self, session: Session) -> None:
        """Show an open session over the present screen."""
        from checkrun.screens.walk import WalkScreen

        self.push_screen(WalkScreen(session, leave=self.leave_walk))

    def start_walking(self, session: Session) -> None:
        """Walk a new session; the screens that led to it go away."""
        from checkrun.screens.home import HomeScreen

        while len(self.screen_stack) > 1 and not isinstance(self.screen, HomeScreen):
            self.pop_screen()
        self.show_session(session)

    def leave_walk(self) -> None:
        """Leave the walk: to the home screen if the program began there, else altogether."""
        from checkrun.screens.home import HomeScreen

        within = self.dry and len(self.screen_stack) > 1
        if within or isinstance(self.screen_stack[0], HomeScreen):
            self.pop_screen()
        else:
            self.exit()

    def leave_intake(self) -> None:
        """Leave the questions: to where they were asked from, or altogether."""
        if len(self.screen_stack) > 1:
            self.pop_screen()
        else:
            self.exit()

    def edit_file(self, catalog: Catalog, path: Path, through: Path | None = None) -> None:
        """Open a route file to write in it, or a piece by a route that takes it in."""
        from checkrun.screens.editor import EditorScreen
        from checkrun.session.openfile import CannotEdit

        try:
            screen = EditorScreen(catalog, path, through)
        except CannotEdit as error:
            self.tell(str(error))
            return
        self.push_screen(screen)

    def edit_route(self, catalog: Catalog, found: Found) -> None:
        """Open the file of a route to write in it."""
        self.edits += 1
        self.edit_file(catalog, found.path)

    def browse_route(self, catalog: Catalog, found: Found, route: Route) -> None:
        """Go through a route without walking it."""
        from checkrun.screens.browse import BrowseScreen

        self.push_screen(BrowseScreen(catalog, found, route))

    def dry_run(self, catalog: Catalog, name: str, year: int | None) -> None:
        """Walk a route with invented answers; its store goes away with the screen.

        Args:
            catalog: Where the route is found.
            name: Its id or path.
            year: The model year; None for the route as it is, in the middle of its years.
        """
        from tempfile import TemporaryDirectory

        from checkrun.judge.invented import PREFIX, dry_session
        from checkrun.route.catalog import RouteNotFound, YearNotCovered
        from checkrun.route.problems import RouteError
        from checkrun.screens.dryrun import DryRunScreen
        from checkrun.session.store import Store

        folder = TemporaryDirectory(prefix=PREFIX)
        try:
            session = dry_session(Store(Path(folder.name), self.store.now), catalog, name, year)
        except (RouteNotFound, RouteError, YearNotCovered, StoreError) as error:
            folder.cleanup()
            self.tell(str(error))
            return
        if session is None:
            folder.cleanup()
            self.tell("There is nothing to walk: none of its checks applies to this car.")
            return
        self.push_screen(DryRunScreen(session, leave=self.leave_walk, folder=folder))

    def changed_route(self, session: Session) -> Route | None:
        """The route of a session as it is on disk, if it is another than the one walked.

        Raises:
            RouteNotFound: If it is not there any more.
            RouteError: If it can't be walked as it is now.
        """
        route = self.catalog.load(session.walk.route.id)
        return None if session.same_route(route) else route

    def key_names(self, binding: Binding) -> str:
        """A binding's keys as they are with the person's own, in what this terminal can show."""
        return keys.shown(binding, self.chosen_keys, self.glyphs.arrows)

    def tell(self, text: str) -> None:
        """Tell something that must be read before going on."""
        from checkrun.screens.message import MessageScreen

        self.push_screen(MessageScreen(text))

    def help(self, screen: str) -> None:
        """Show the keys of a screen."""
        from checkrun.screens.help import HelpScreen

        self.push_screen(HelpScreen(screen, self.glyphs))

    def action_next_theme(self) -> None:
        """Go on to the next theme and keep it."""
        names = list(THEMES)
        self.theme = names[(names.index(self.theme) + 1) % len(names)]
        self._keep("theme", self.theme)

    def action_next_units(self) -> None:
        """Go on to the next choice of units for bare numbers and keep it."""
        choices = settings_file.UNITS
        self.units = choices[(choices.index(self.units) + 1) % len(choices)]
        self._keep("units", self.units)
        words = {"": "those of the route", "metric": "metric", "us": "US"}
        self.notify(f"Bare numbers are taken in units: {words[self.units]}", markup=False)

    def _keep(self, name: str, value: str) -> None:
        if self._settings_path is not None:
            try:
                settings_file.save(self._settings_path, name, value)
            except OSError as error:
                self.tell(f"The choice could not be kept: {error.strerror or error}")
