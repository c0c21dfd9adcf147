"""A small car to walk round, an app over it, and ways to wait for and read what is on screen."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from textual._context import visible_screen_stack
from textual.pilot import Pilot
from textual.screen import Screen
from textual.strip import Strip
from textual.widgets import Input, TextArea

from checkrun.report.glyphs import UNICODE, Glyphs
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Result, Route
from checkrun.screens.app import CheckrunApp
from checkrun.screens.home import HomeScreen
from checkrun.screens.walk import WalkScreen
from checkrun.screens.widgets.painted import Painted
from checkrun.session.session import Session
from checkrun.session.store import Store
from checkrun.settings import Settings

#: How long a condition may take to come true, seconds; a machine under load is slow, not wrong.
PATIENCE = 6.0

#: An invented tourer: nine checks at five stations, with a stop before three of them.
FINCH = """\
format: 1
id: finch
title: Ash Finch tourer, 1960-1969 (an invented marque)
about: A small route. Its [b]texts[/b] look like markup in places and are none.
order: as-written
car:
  years: 1960-1969
  outline: {length: 3.9, width: 1.6, wheelbase: 2.4, front-overhang: 0.7}
  facts:
    - {id: serial, ask: Chassis serial, mark: chassis-serial, example: FN4-0123, required: yes}
    - {id: long-tank, ask: "Is the long tank fitted?", kind: yes-no}
    - {id: trim, ask: "Trim [as sold]", kind: choice, choices: [plain, de luxe]}
safety:
  - Chock the wheels before anything else.
marks:
  chassis-serial:
    title: Chassis serial
    fields:
      - {text: FN}
      - {name: year, digits: 1, means: model year}
      - {text: "-"}
      - {name: serial, digits: 4}
    source: common practice
places:
  nose: {x: -0.8, y: 0.0, z: 0.6}
  left: {x: 1.2, y: -1.0, z: 0.6}
  under: {x: 1.4, y: -0.3, z: 0.4}
  wheel: {x: 0.0, y: -0.8, z: 0.3}
  bay: {x: -0.2, y: 0.3, z: 0.7}
stations:
  - id: nose
    title: Nose, standing
    place: nose
    needs: {car: down, bonnet: shut, engine: cold}
    checks:
      - id: bonnet-gap
        ask: Gap at the bonnet's front edge
        how: Slide the feeler stack along the edge, bonnet shut.
        pass: Even all along.
        concern: Two millimetres of taper.
        fail: The edges touch.
        why: A taper is what a replaced front section usually shows.
        reading: {kind: measure, unit: mm, tool: feeler stack}
        tools: [feeler stack]
        class: major
        group: body
        minutes: 2
        cost: {hours: [4, 10, 30], parts: [0, 200, 900]}
        source: common practice
      - id: nose-lip
        ask: "Lip of the nose, brake [mm] and [red]x[/]"
        how: "Feel its edge with a thumb; [b]bold[/b] is no markup here."
        pass: Thin and even.
        concern: Wavy.
        fail: Thick, with filler in it.
        class: major
        group: structure
        minutes: 1
        source: common practice
      - id: nose-lamps
        ask: Both head lamps
        how: Switch them on and walk to the front.
        pass: Both burn.
        concern: One is dim.
        fail: One is dark.
        class: dangerous
        group: safety
        minutes: 1
        source: common practice
  - id: left
    title: Left side
    place: left
    needs: {car: down, engine: cold}
    checks:
      - id: left-door
        ask: Left door in its opening
        how: Lift it by the handle, door open by a hand.
        pass: No play.
        concern: A little play.
        fail: It drops.
        class: minor
        group: trim
        minutes: 1
        source: common practice
      - id: left-sill
        ask: Left sill under the door
        how: Tap it with a knuckle from end to end.
        pass: One sound all along.
        concern: Dull in one place.
        fail: It gives.
        class: major
        group: structure
        minutes: 1
        source: common practice
  - id: under
    title: Under the middle
    place: under
    needs: {car: raised}
    checks:
      - id: rail
        ask: Left frame rail from inside
        how: Probe with a finger through the drain hole.
        pass: Smooth.
        concern: Scale.
        fail: Soft metal.
        caution: Wear eye protection; rust falls.
        class: dangerous
        group: structure
        minutes: 2
        source: common practice
      - id: pipe
        ask: Exhaust from manifold to tail
        how: Look along it with a torch.
        pass: Dry and whole.
        concern: Soot at a joint.
        fail: A hole.
        class: major
        group: mechanical
        minutes: 1
        source: common practice
  - id: wheel
    title: Left front brake, wheel off
    place: wheel
    needs: {car: raised, wheels: off}
    checks:
      - id: drum
        ask: Drum and shoes, left front
        how: Wipe it wet, look at the friction face.
        pass: Even.
        concern: Grooved.
        fail: Cracked.
        reading: {kind: measure, unit: mm}
        class: dangerous
        group: safety
        minutes: 3
        source: common practice
  - id: bay
    title: Engine bay, engine running
    place: bay
    needs: {car: down, bonnet: open, engine: running}
    checks:
      - id: knock
        ask: Noise from below at a fast idle
        how: Listen with a rod at the sump.
        pass: Even.
        concern: A tick.
        fail: A knock.
        class: major
        group: mechanical
        minutes: 2
        source: common practice
"""

#: A layer that adds a question and takes one away.
FINCH_1964 = """\
format: 1
id: finch-1964
title: Ash Finch tourer, 1964
built-on: finch
car:
  years: 1964
  facts:
    - {id: tank-date, ask: Date on the tank}
stations:
  - id: left
    checks:
      - id: tank-date-seen
        ask: Date stamped on the tank
        how: Read it with a mirror.
        pass: Fits the year.
        concern: Half gone.
        fail: Another year.
        class: minor
        group: identity
        source: common practice
"""

_FRONT = "cause: front, pass: [0.8, 0.2], concern: [0.15, 0.3], fail: [0.05, 0.5]"
#: The same car with two claims that five of its checks speak of, and with costs.
FINCH_CLAIMS = (
    FINCH.replace(
        "        cost: {hours: [4, 10, 30], parts: [0, 200, 900]}\n",
        "        cost: {hours: [4, 10, 30], parts: [0, 200, 900], together: front}\n"
        f"        signs: [{{claim: nose-first, {_FRONT}}}]\n",
    )
    .replace(
        "        fail: Thick, with filler in it.\n",
        "        fail: Thick, with filler in it.\n"
        "        cost: {hours: [2, 5, 12], parts: [0, 50, 90], together: front}\n"
        f"        signs: [{{claim: nose-first, {_FRONT}}}]\n",
    )
    .replace(
        "        fail: It drops.\n",
        "        fail: It drops.\n"
        "        signs: [{claim: nose-first, pass: [0.6, 0.4], fail: [0.4, 0.6]}]\n",
    )
    .replace(
        "        fail: Soft metal.\n",
        "        fail: Soft metal.\n"
        "        cost: {hours: [10, 30, 90], parts: [50, 400, 2000], base-rate: 0.2}\n"
        "        signs: [{claim: rails-sound, pass: [0.9, 0.3], fail: [0.1, 0.7]}]\n",
    )
    .replace(
        "        fail: A knock.\n",
        "        fail: A knock.\n"
        "        signs: [{claim: rails-sound, pass: [0.55, 0.5], fail: [0.45, 0.5]}]\n",
    )
    + """\
claims:
  - {id: nose-first, says: "The nose is the [b]first[/b] one", before: 0.6, matters: 0.25}
  - {id: rails-sound, says: The rails are sound inside, before: 0.5, matters: 0.4}
"""
)


@dataclass
class World:
    """A store, a folder of routes and a file of settings in a temporary folder.

    Attributes:
        now: The clock of the store.
    """

    folder: Path
    now: Callable[[], Any]
    settings: Settings = field(default_factory=Settings)

    def __post_init__(self) -> None:
        self.routes.mkdir(parents=True, exist_ok=True)
        self.write_route("finch", FINCH)

    @property
    def routes(self) -> Path:
        return self.folder / "routes"

    @property
    def settings_path(self) -> Path:
        return self.folder / "settings.json"

    @property
    def store(self) -> Store:
        return Store(self.folder / "sessions", self.now)

    @property
    def catalog(self) -> Catalog:
        return Catalog([Folder(self.routes, "shipped")])

    def write_route(self, name: str, text: str) -> None:
        (self.routes / f"{name}.yaml").write_text(text, encoding="utf-8")

    def route(self, name: str = "finch") -> Route:
        return self.catalog.load(name)

    def begin(self, **facts: str) -> str:
        """A new session, closed; its name."""
        given = {"serial": "FN4-0123", **facts}
        with self.store.create(self.route(), 1964, given) as session:
            return session.id

    def look(self, name: str) -> Session:
        """The session as it is on disk, for reading only."""
        return self.store.open(name, write=False)

    def answer_all(
        self, name: str, result: Result = Result.PASS, *, but: tuple[str, ...] = ()
    ) -> None:
        """Give every check a result, except some."""
        with self.store.open(name) as session:
            session.answer_many([c for c in session.walk.sequence if c not in but], result)

    def app(
        self,
        first: Callable[[CheckrunApp], Screen[None]] | None = None,
        *,
        glyphs: Glyphs = UNICODE,
        catalog: Catalog | None = None,
    ) -> CheckrunApp:
        """The app, on its home screen unless told otherwise."""
        return CheckrunApp(
            catalog=catalog or self.catalog,
            store=self.store,
            glyphs=glyphs,
            first=first or (lambda app: HomeScreen()),
            settings=self.settings,
            settings_path=self.settings_path,
        )

    def walk_app(self, name: str | None = None, *, glyphs: Glyphs = UNICODE) -> CheckrunApp:
        """The app on a walk; leaving the walk leaves the app."""
        session = self.store.open(self.begin() if name is None else name)
        return self.app(lambda app: WalkScreen(session, leave=app.exit), glyphs=glyphs)


async def until(condition: Callable[[], object], what: str | Callable[[], str] = "") -> None:
    """Wait until a condition holds; fails when it does not within the limit."""
    end = time.monotonic() + PATIENCE
    while True:
        try:
            if condition():
                return
        except Exception:
            if time.monotonic() > end:
                raise
        if time.monotonic() > end:
            told = what() if callable(what) else what
            raise AssertionError(f"this did not come true: {told or condition}")
        await asyncio.sleep(0.005)


async def on_screen(app: CheckrunApp, kind: type[Screen[Any]]) -> Screen[Any]:
    """Wait until a screen of that kind is on top, painted, and no key is on its way any more."""
    await until(
        lambda: type(app.screen) is kind and app.screen.is_mounted and not app.keys_waiting,
        lambda: f"{kind.__name__}, not {app.screen_stack}",
    )
    await until(lambda: shown(app).strip() != "", f"{kind.__name__} is painted")
    return app.screen


def walk_screen(app: CheckrunApp) -> WalkScreen:
    """The walk in the stack of screens."""
    return next(screen for screen in app.screen_stack if isinstance(screen, WalkScreen))


def session_of(app: CheckrunApp) -> Session:
    """The session that is open."""
    return walk_screen(app).session


def check_at(app: CheckrunApp) -> str:
    """The check shown on the walk screen."""
    return walk_screen(app)._at


def strips(app: CheckrunApp) -> list[Strip]:
    """The lines of the terminal, with what a dialog lets be seen of the screen below it."""
    visible_screen_stack.set(app._background_screens)
    return app.screen._compositor.render_strips()


def shown(app: CheckrunApp) -> str:
    """The text on the terminal."""
    return "\n".join(strip.text.rstrip() for strip in strips(app))


async def settled(app: CheckrunApp) -> str:
    """The text of the top screen once it has stopped changing."""
    text = shown(app)
    for _ in range(200):
        await asyncio.sleep(0.03)
        text, before = shown(app), text
        if text == before and not app.keys_waiting:
            return text
    raise AssertionError("the screen never stands still")


def flat(app: CheckrunApp) -> str:
    """The text of the top screen with line breaks and runs of blanks made one blank."""
    return " ".join(shown(app).split())


def painted(app: CheckrunApp, selector: str) -> str:
    """The whole text of one painted widget of the top screen, also what is scrolled away."""
    return app.screen.query_one(selector, Painted).text


def status(app: CheckrunApp) -> str:
    """The line where the walk says something."""
    return walk_screen(app).query_one("#status", Painted).text.strip()


async def type_text(pilot: Pilot[None], text: str) -> None:
    """Type a text in the focused field, key by key."""
    named = {" ": "space", ",": "comma", ".": "full_stop", "-": "minus", "[": "left_square_bracket"}
    named |= {"]": "right_square_bracket", "/": "slash", "?": "question_mark"}
    await pilot.press(*(named.get(sign, sign) for sign in text))


def calm(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stop cursors from blinking, and make Pilot wait for what it waits for, not for the clock.

    Two looks at the same screen must be the same. Pilot naps 20 ms at a time until the program uses
    little time, which is long on an idle machine and too short on a busy one; here it naps for less
    and then waits after each key until every part of the screen has worked through its messages.
    """
    press = Pilot.press

    async def press_each(pilot: Pilot[None], *keys: str) -> None:
        for key in keys:
            await press(pilot, key)
            for _ in range(2):
                await pilot._wait_for_screen()
            await until(lambda: not pilot.app.is_running or pilot.app.screen.is_mounted)

    monkeypatch.setattr(Pilot, "press", press_each)
    monkeypatch.setattr("textual._wait.SLEEP_GRANULARITY", 0.004)
    monkeypatch.setattr(Input, "_toggle_cursor", lambda self: None)
    monkeypatch.setattr(TextArea, "_toggle_cursor_blink_visible", lambda self: None)


async def put_text(app: CheckrunApp, text: str) -> None:
    """Put a text in the focused field in one go, for what is no matter of keys."""
    focused = app.focused
    if isinstance(focused, TextArea):
        focused.text = text
    else:
        assert isinstance(focused, Input)
        focused.value = text
    await asyncio.sleep(0)
