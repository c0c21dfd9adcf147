"""Commands that open a screen; the screens are loaded only when all else is in order."""

from __future__ import annotations

import gc
import shutil
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from checkrun import locations, settings
from checkrun.commands import Arguments
from checkrun.commands.context import WrongUse, catalog, store
from checkrun.report.glyphs import glyphs_for
from checkrun.session.store import Store

if TYPE_CHECKING:
    from checkrun.screens.app import First


def home(args: Arguments) -> int:
    """Open the home screen."""
    there = store(args.store)
    _need_terminal()
    from checkrun.screens import start

    return _run(there, start.home())


def demo(args: Arguments) -> int:
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


def resume(args: Arguments) -> int:
    """Go on with a session where the person stood."""
    there = store(args.store)
    name = args.session or there.latest_open()
    if name is None:
        raise WrongUse("there is no open session. Start one with: checkrun walk")
    return _resume(there, name)


def walk(args: Arguments) -> int:
    """Choose a route, answer its questions, walk."""
    there = store(args.store)
    routes = catalog()
    route = None if args.route is None else routes.load(args.route)
    if route is not None and args.year is not None:
        routes.for_year(args.route, args.year)
    _need_terminal()
    from checkrun.screens import start

    if route is None:
        return _run(there, start.routes(routes))
    return _run(there, start.intake(routes, route, args.year))


def dry_run(args: Arguments) -> int:
    """Walk a route with invented answers in a store that goes away afterwards."""
    from checkrun.judge.invented import PREFIX, dry_session
    from checkrun.session.clock import now

    routes = catalog()
    routes.load(args.route)
    _need_terminal()
    with tempfile.TemporaryDirectory(prefix=PREFIX) as folder:
        session = dry_session(Store(Path(folder), now), routes, args.route, args.year)
        if session is None:
            raise WrongUse("there is nothing to walk: no check applies to a car of that year")
        from checkrun.screens import start

        return _run(session.store, start.dry_run(session))


def edit(args: Arguments) -> int:
    """Write in the file of a route, or of a piece."""
    from checkrun.session.openfile import CannotEdit, OpenFile

    there = store(args.store)
    routes = catalog()
    path = routes.find(args.route).path
    try:
        OpenFile(path)
    except CannotEdit as error:
        raise WrongUse(str(error)) from None
    _need_terminal()
    from checkrun.screens import start

    return _run(there, start.editor(routes, path))


def _resume(there: Store, name: str) -> int:
    session = there.open(name)
    _need_terminal()
    from checkrun.screens import start

    return _run(there, start.walk(session))


def _need_terminal() -> None:
    """Refuse to go on without one; with one, get ready to load a lot at once."""
    if not sys.stdin.isatty() or not sys.stdout.isatty():
        raise WrongUse("a screen needs a terminal; see checkrun --help for commands without one")
    # Until the first screen stands there is nothing to collect, and looking for it takes time.
    gc.disable()


def _run(there: Store, first: First) -> int:
    from checkrun.screens import start

    path = locations.settings()
    return start.run(
        first,
        catalog=catalog(),
        store=there,
        glyphs=glyphs_for(sys.stdout.encoding),
        settings=settings.load(path),
        settings_path=path,
    )
