"""Commands that open a screen; only here is textual loaded."""

from __future__ import annotations

import gc
import shutil
import sys
import tempfile
from argparse import Namespace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from checkrun import locations, settings
from checkrun.commands.context import WrongUse, catalog, store
from checkrun.report.glyphs import glyphs_for
from checkrun.session.store import Store

if TYPE_CHECKING:
    from textual.screen import Screen

    from checkrun.screens.app import CheckrunApp, First


def home(args: Namespace) -> int:
    """Open the home screen."""

    def first(app: CheckrunApp) -> Screen[None]:
        from checkrun.screens.home import HomeScreen

        return HomeScreen()

    return _run(store(args.store), first)


def demo(args: Namespace) -> int:
    """Go on with a half-walked car in a store that goes away afterwards."""
    from checkrun.session.clock import now

    with tempfile.TemporaryDirectory(prefix="checkrun-demo-") as folder:
        for sample in locations.shipped("sample_sessions").glob("*.json"):
            shutil.copy(sample, folder)
        there = Store(Path(folder), now)
        name = there.latest_open()
        if name is None:
            raise WrongUse("the sample sessions are missing; install checkrun again")
        return _resume(there, name)


def resume(args: Namespace) -> int:
    """Go on with a session where the person stood."""
    there = store(args.store)
    name = args.session or there.latest_open()
    if name is None:
        raise WrongUse("there is no open session. Start one with: checkrun walk")
    return _resume(there, name)


def walk(args: Namespace) -> int:
    """Choose a route, answer its questions, walk."""
    there = store(args.store)
    routes = catalog()
    if args.route is None:

        def choose(app: CheckrunApp) -> Screen[None]:
            from checkrun.screens.routes import RoutesScreen

            return RoutesScreen(routes)

        return _run(there, choose)
    route = routes.load(args.route)
    if args.year is not None:
        routes.for_year(args.route, args.year)

    def ask(app: CheckrunApp) -> Screen[None]:
        from checkrun.screens.intake import IntakeScreen

        return IntakeScreen(routes, route, args.year)

    return _run(there, ask)


def _resume(there: Store, name: str) -> int:
    session = there.open(name)

    def first(app: CheckrunApp) -> Screen[None]:
        from checkrun.screens.walk import WalkScreen

        return WalkScreen(session, leave=app.exit)

    return _run(there, first)


def _run(there: Store, first: First) -> int:
    if not sys.stdin.isatty() or not sys.stdout.isatty():
        raise WrongUse("a screen needs a terminal; see checkrun --help for commands without one")
    # Until the first screen stands there is nothing to collect, and looking for it takes time.
    gc.disable()
    from checkrun.screens.app import CheckrunApp

    path = locations.settings()
    app = CheckrunApp(
        catalog=catalog(),
        store=there,
        glyphs=glyphs_for(sys.stdout.encoding),
        first=partial(_opening, first),
        settings=settings.load(path),
        settings_path=path,
    )
    app.run()
    return app.return_code or 0


def _opening(first: First, app: CheckrunApp) -> Screen[None]:
    """The first screen; once it stands, collect again, but never what is there for good."""

    def settled() -> None:
        gc.freeze()
        gc.enable()

    app.call_after_refresh(settled)
    return first(app)
