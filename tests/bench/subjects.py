"""What is measured and what it is held against: generated routes, stores, and bare programs."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

from checkrun import locations
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Result, Route
from checkrun.session.session import Session
from checkrun.session.store import Store

#: An app without anything in it: the floor of every start and of the memory.
EMPTY_APP = "from textual.app import App\nApp().run()\n"

#: The least that a list with a detail can do: 120 rows, one key, one frame, no layout.
LIST_APP = """
from textual.app import App
from textual.binding import Binding
from textual.widgets import OptionList, Static
WORDS = "Feeler stack at front, middle and rear of both long edges, bonnet shut. "
class Bare(App):
    CSS = "OptionList { height: 1fr; } Static { height: 8; }"
    BINDINGS = [Binding("p", "go", "go")]
    def compose(self):
        yield OptionList(*(f"Check {n}" for n in range(120)))
        yield Static("Check 0")
    def on_mount(self):
        self.query_one(OptionList).highlighted = 0
    def action_go(self):
        rows = self.query_one(OptionList)
        rows.highlighted = (rows.highlighted + 1) % 120
        self.query_one(Static).update(f"Check {rows.highlighted}: {WORDS * 5}", layout=False)
Bare().run()
"""

_STATION = """\
  - id: station-{n}
    title: Station {n}
    place: at-{place}
    checks:
"""
_CHECK = """\
      - id: check-{n}
        ask: "{0}, {n}"
        how: "{1} {2}"
        pass: {3}
        concern: {4}
        fail: {5}
        why: {6} {7}
        reading: {{kind: gaps, unit: mm, points: [front, middle, rear], taper: 2.0}}
        class: major
        group: body
        minutes: 1.5
        source: common practice
"""
#: Taken in turn, so that hardly a line of one check is the same as that of the check before.
_TEXTS = (
    "Gap down each side of the bonnet",
    "Feeler stack at front, middle and rear of both long edges, bonnet shut; hold it flat.",
    "Lamp low along the panel from the front, then from the rear.",
    "Even along the edge and the same on both sides.",
    "Uneven, but the same way on both sides; hinges may be all that is out.",
    "Tapers one way on the left and the other way on the right.",
    "Opposite tapers are what a replaced front section usually shows.",
    "Look for filler where the light bends, and for thread that has been cut anew.",
    "A clean edge under old paint speaks for the panel the car left the works with.",
    "Wet, soft or cracked through.",
    "Dry, whole, and moves by hand without a sound.",
)
_PLACES = [(x / 2, y) for x in range(-1, 8) for y in (-0.9, -0.3, 0.3, 0.9)]


def route_text(checks: int) -> str:
    """A route of that many checks, ten to a station, all on the ground with the engine cold."""
    places = "".join(f"  at-{i}: {{x: {x}, y: {y}, z: 1}}\n" for i, (x, y) in enumerate(_PLACES))
    parts = [
        "format: 1\nid: generated\ntitle: A generated route\ncar:\n  years: 1960-1970\n"
        "  outline: {length: 4, width: 1.6, wheelbase: 2.4, front-overhang: 0.7}\n"
        f"order: as-written\nplaces:\n{places}stations:\n"
    ]
    for n in range(checks):
        if n % 10 == 0:
            parts.append(_STATION.format(n=n // 10, place=n // 10 % len(_PLACES)))
        texts = (_TEXTS[(n * 3 + k) % len(_TEXTS)] for k in range(8))
        parts.append(_CHECK.format(*texts, n=n))
    return "".join(parts)


def generated(folder: Path, checks: int) -> Route:
    """The generated route, read from a file in a folder of its own."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "generated.yaml").write_text(route_text(checks), encoding="utf-8")
    return Catalog([Folder(folder, "yours")]).load("generated")


def clock() -> Callable[[], datetime]:
    """A clock that goes on by twenty seconds with each look."""
    start, looks = datetime(2026, 3, 14, 9, 30, tzinfo=UTC), count()
    return lambda: start + timedelta(seconds=20 * next(looks))


def half_walked(store: Store, route: Route, year: int = 1966) -> Session:
    """A session with half of its checks passed; whatever state the car must be in is confirmed."""
    session = store.create(route, year, {"serial": "PL6-02417"})
    sequence = session.walk.sequence
    for check in sequence[: len(sequence) // 2]:
        session.answer(check, Result.PASS)
    session.confirm_state(dict(session.walk.route.station_of[session.walk.at].needs))
    return session


def shipped_route() -> Route:
    """The longest way round the demonstration car."""
    return Catalog([Folder(locations.shipped("checklists"), "shipped")]).for_year("plover", 1966)


def environment(folder: Path, store: Path) -> dict[str, str]:
    """The environment of a measured program: own folders, compiled files allowed."""
    unwanted = ("PYTHONDONTWRITEBYTECODE", "NO_COLOR", "PYTHONPROFILEIMPORTTIME")
    env = {
        name: value
        for name, value in os.environ.items()
        if name not in unwanted and not name.startswith(("XDG_", "CHECKRUN_"))
    }
    package = str(Path(locations.__file__).resolve().parents[1])
    return env | {
        "TERM": "xterm-256color",
        "COLORTERM": "truecolor",
        "LANG": "C.UTF-8",
        "PYTHONPATH": os.pathsep.join(filter(None, [package, os.environ.get("PYTHONPATH")])),
        # The usual places, as for most people: finding them is part of the start.
        "HOME": str(folder),
        "CHECKRUN_STORE": str(store),
    }


def program(folder: Path, name: str, text: str) -> list[str]:
    """How to run a program that is given as text."""
    (folder / f"{name}.py").write_text(text, encoding="utf-8")
    return [sys.executable, str(folder / f"{name}.py")]
