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


def home() -> First:
    """Begin on the home screen."""
    from checkrun.screens.home import HomeScreen

    return lambda app: HomeScreen()


def routes(catalog: Catalog) -> First:
    """Begin with the choice of a route."""
    from checkrun.screens.routes import RoutesScreen

    return lambda app: RoutesScreen(catalog)


def intake(catalog: Catalog, route: Route, year: int | None) -> First:
    """Begin with the questions of a route."""
    from checkrun.screens.intake import IntakeScreen

    return lambda app: IntakeScreen(catalog, route, year)


def walk(session: Session) -> First:
    """Begin in the middle of a walk."""
    from checkrun.screens.walk import WalkScreen

    return lambda app: WalkScreen(session, leave=app.exit)


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
