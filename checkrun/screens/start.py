"""The ways to begin on screen: which screen comes first, and the app over it."""

from __future__ import annotations

import gc
from typing import TYPE_CHECKING

from checkrun.screens.app import CheckrunApp, First

if TYPE_CHECKING:
    from pathlib import Path

    from textual.screen import Screen

    from checkrun.report.glyphs import Glyphs
    from checkrun.route.catalog import Catalog
    from checkrun.route.model import Route
    from checkrun.session.session import Session
    from checkrun.session.store import Store
    from checkrun.settings import Settings


# Each screen is imported when the app asks for it: by then the terminal has been spoken to, and
# what it takes to load overlaps with waiting for it.


def home() -> First:
    """Begin on the home screen."""

    def first(app: CheckrunApp) -> Screen[None]:
        from checkrun.screens.home import HomeScreen

        return HomeScreen()

    return first


def routes(catalog: Catalog) -> First:
    """Begin with the choice of a route."""

    def first(app: CheckrunApp) -> Screen[None]:
        from checkrun.screens.routes import RoutesScreen

        return RoutesScreen(catalog)

    return first


def intake(catalog: Catalog, route: Route, year: int | None) -> First:
    """Begin with the questions of a route."""

    def first(app: CheckrunApp) -> Screen[None]:
        from checkrun.screens.intake import IntakeScreen

        return IntakeScreen(catalog, route, year)

    return first


def editor(catalog: Catalog, path: Path) -> First:
    """Begin in the file of a route.

    Raises:
        CannotEdit: When the app asks for the screen, if it can't be edited.
    """

    def first(app: CheckrunApp) -> Screen[None]:
        from checkrun.screens.editor import EditorScreen

        return EditorScreen(catalog, path)

    return first


def dry_run(session: Session) -> First:
    """Begin a walk with invented answers."""

    def first(app: CheckrunApp) -> Screen[None]:
        from checkrun.screens.dryrun import DryRunScreen

        return DryRunScreen(session, leave=app.exit)

    return first


def walk(session: Session) -> First:
    """Begin in the middle of a walk."""

    def first(app: CheckrunApp) -> Screen[None]:
        from checkrun.screens.walk import WalkScreen

        return WalkScreen(session, leave=app.exit)

    return first


def run(
    first: First,
    *,
    catalog: Catalog,
    store: Store,
    glyphs: Glyphs,
    settings: Settings,
    settings_path: Path,
) -> int:
    """Run the app until the person leaves; the exit status."""

    def opening(app: CheckrunApp) -> Screen[None]:
        app.call_after_refresh(_settled)
        return first(app)

    app = CheckrunApp(
        catalog=catalog,
        store=store,
        glyphs=glyphs,
        first=opening,
        settings=settings,
        settings_path=settings_path,
    )
    app.run()
    return app.return_code or 0


def _settled() -> None:
    """The first screen stands: collect again, but never what is there for good."""
    gc.freeze()
    gc.enable()
