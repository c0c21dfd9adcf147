"""What every screen looks like at the three sizes it is made for.

A docstring says what a viewer should see. After a change that is meant to be seen, look at the
report, then write the new pictures with `--snapshot-update`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.screen import Screen
from ui.helpers import FINCH, FINCH_CLAIMS, World, on_screen, settled

from checkrun.judge.invented import dry_session
from checkrun.report.glyphs import ASCII
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Result
from checkrun.screens.app import CheckrunApp
from checkrun.screens.ask import AskScreen
from checkrun.screens.bill import BillScreen
from checkrun.screens.brief import BriefScreen
from checkrun.screens.browse import BrowseScreen
from checkrun.screens.claims import ClaimsScreen
from checkrun.screens.dryrun import DryRunScreen
from checkrun.screens.editor import EditorScreen
from checkrun.screens.help import HelpScreen
from checkrun.screens.home import HomeScreen
from checkrun.screens.intake import IntakeScreen
from checkrun.screens.jump import JumpScreen
from checkrun.screens.note import NoteScreen
from checkrun.screens.routes import RoutesScreen
from checkrun.screens.stop import StopScreen
from checkrun.screens.summary import SummaryScreen
from checkrun.screens.walk import WalkScreen
from checkrun.screens.widgets.painted import Painted
from checkrun.session.store import Store
from checkrun.session.valuing import set_cost, set_terms
from checkrun.settings import Settings

SIZES = [(60, 20), (100, 30), (160, 45)]
Compare = Callable[..., bool]

all_sizes = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")


def same(
    compare: Compare,
    app: CheckrunApp,
    size: tuple[int, int],
    first: type[Screen[Any]],
    *steps: str | type[Screen[Any]],
) -> bool:
    """Whether the app looks as in its picture after some keys, each screen waited for."""

    async def go(pilot: Pilot[None]) -> None:
        await on_screen(app, first)
        for step in steps:
            if isinstance(step, str):
                await pilot.press(step)
            else:
                await on_screen(app, step)
        if isinstance(app.screen, HomeScreen):
            folder = [[(" /home/ines/walks", "quiet")]]
            app.screen.query_one("#status", Painted).paint(folder)
        await settled(app)

    return compare(app, terminal_size=size, run_before=go)


def half_walked(world: World) -> str:
    """A session with a finding, something set aside and a note, standing at the left side."""
    name = world.begin()
    with world.store.open(name) as session:
        session.answer("bonnet-gap", Result.FAIL, reading="3,5", note="opens to the left")
        session.answer("nose-lip", Result.CONCERN)
        session.answer("nose-lamps", Result.NOT_EXAMINED, why="no time")
        session.set_aside("left-door")
    return name


def valued(world: World) -> str:
    """The same walk on a car of which two things are claimed, with a price and own figures."""
    world.write_route("finch", FINCH_CLAIMS)
    name = half_walked(world)
    with world.store.open(name) as session:
        session.answer("left-sill", Result.FAIL)
        session.answer("left-door", Result.FAIL)
        set_terms(session, {"asking": "38500", "currency": "EUR", "margin": "1000"})
        set_cost(session, "nose-lip", {"seller": "yes"})
        session.move("left-sill")
    return name


# Before the walk


@all_sizes
def test_home_empty(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """A line to start a walk, marked; what to do with no walk yet; a line for the routes; keys."""
    assert same(snap_compare, world.app(), size, HomeScreen)


@all_sizes
def test_home_with_sessions(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """Two walks to go on with, the latest first, then one signed off, each with its progress."""
    signed = world.begin(serial="FN4-0001")
    world.answer_all(signed)
    with world.store.open(signed) as session:
        session.sign("Ines")
    world.begin(serial="FN4-0002")
    half_walked(world)
    assert same(snap_compare, world.app(), size, HomeScreen, "down")


@all_sizes
def test_routes(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """The one route, and beside it (below it where it is narrow) what it covers."""
    app = world.app(lambda app: RoutesScreen(world.catalog))
    assert same(snap_compare, app, size, RoutesScreen)


@all_sizes
def test_browse(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """Under the car: the way with what is done to the car, the check, the plan, the figures."""
    catalog = world.catalog
    app = world.app(lambda app: BrowseScreen(catalog, catalog.find("finch"), catalog.load("finch")))
    assert same(snap_compare, app, size, BrowseScreen, "right", "right")


def writing(world: World) -> CheckrunApp:
    """The app in a route of one's own with two mistakes in it."""
    text = FINCH.replace("class: dangerous", "class: deadly", 1).replace("A tick.", "12:30", 1)
    file = world.folder / "own" / "finch.yaml"
    file.parent.mkdir()
    file.write_text(text, "utf-8")
    catalog = Catalog([Folder(file.parent, "yours"), Folder(world.routes, "shipped")])
    return world.app(lambda app: EditorScreen(catalog, file), catalog=catalog)


@all_sizes
def test_editor(
    world: World, snap_compare: Compare, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A route's text in colours, the first mistake underlined and told, with what to do."""
    monkeypatch.setenv("CHECKRUN_ROUTES", str(world.folder / "own"))
    assert same(snap_compare, writing(world), size, EditorScreen, "f4")


@all_sizes
def test_editor_preview(
    world: World, snap_compare: Compare, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Beside the text the check at the cursor as the mechanic will see it."""
    monkeypatch.setenv("CHECKRUN_ROUTES", str(world.folder / "own"))
    assert same(snap_compare, writing(world), size, EditorScreen, "f4", "f5")


@all_sizes
def test_dry_run(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """The left side after four invented answers; first of all, that nothing is kept."""
    session = dry_session(Store(world.folder / "dry", world.now), world.catalog, "finch", 1964)
    assert session is not None
    app = world.app(lambda app: DryRunScreen(session, leave=app.exit))
    assert same(snap_compare, app, size, DryRunScreen, "enter", "enter", "enter", "enter")


@all_sizes
def test_intake_with_a_wrong_serial(
    world: World, snap_compare: Compare, size: tuple[int, int]
) -> None:
    """Four questions; under the serial, in the error colour, where it leaves its pattern."""
    app = world.app(lambda app: IntakeScreen(world.catalog, world.route(), 1964))
    assert same(snap_compare, app, size, IntakeScreen, "enter", "f", "n", "x")


@all_sizes
def test_brief(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """How many checks, how long, what to bring, the care to take, and the stops to come."""
    app = world.app(lambda app: BriefScreen(world.route(), app.glyphs))
    assert same(snap_compare, app, size, BriefScreen)


# The walk


@all_sizes
def test_walk_with_findings(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """The left side: a check with its text, its plan with the nose marked as failed, the keys."""
    assert same(snap_compare, world.walk_app(half_walked(world)), size, WalkScreen)


@all_sizes
def test_walk_at_a_check_with_its_result(
    world: World, snap_compare: Compare, size: tuple[int, int]
) -> None:
    """The bonnet gap again: failed, with its reading in millimetres and its note."""
    app = world.walk_app(half_walked(world))
    keys = ("left", "left", "left", "left")
    assert same(snap_compare, app, size, WalkScreen, *keys)


@all_sizes
def test_walk_underneath(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """Under the car: the view from below, left and right changed over, and a caution."""
    name = world.begin()
    with world.store.open(name) as session:
        session.confirm_state({"car": "raised"})
        session.move("rail")
    assert same(snap_compare, world.walk_app(name), size, WalkScreen)


@all_sizes
def test_reading_field_open(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """The reading as it is typed, with its cursor, above the line that says something."""
    keys = ("2", "comma", "5")
    assert same(snap_compare, world.walk_app(), size, WalkScreen, *keys)


@pytest.mark.parametrize("theme", ["light", "contrast"])
def test_walk_in_other_colours(world: World, snap_compare: Compare, theme: str) -> None:
    """The walk in dark on light, and in white on black with strong colours."""
    world.settings = Settings(theme=theme)
    assert same(snap_compare, world.walk_app(half_walked(world)), (100, 30), WalkScreen)


# Over the walk


@all_sizes
def test_stop(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """A box that says STOP, what to do to the car, what can hurt, and three keys."""
    name = world.begin()
    with world.store.open(name) as session:
        session.move("drum")
    assert same(snap_compare, world.walk_app(name), size, StopScreen)


@all_sizes
def test_note(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """A box with the check and two lines of a note, the cursor at the end of the second."""
    keys = ("n", NoteScreen, "d", "r", "y", "enter", "r", "u", "s", "t")
    assert same(snap_compare, world.walk_app(), size, WalkScreen, *keys)


@all_sizes
def test_jump(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """Two letters and under them what fits, the first line marked."""
    keys = ("j", JumpScreen, "l", "e")
    assert same(snap_compare, world.walk_app(half_walked(world)), size, WalkScreen, *keys)


@all_sizes
def test_summary(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """The structure's concern above the body's fail, what was not examined, what is open."""
    keys = ("m", SummaryScreen)
    assert same(snap_compare, world.walk_app(half_walked(world)), size, WalkScreen, *keys)


@all_sizes
def test_claims(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """Two claims with how sure; of the first the signs with their bars, two-sided where there is
    room, one of them counted already; what to look at next stands above."""
    app = world.walk_app(valued(world))
    assert same(snap_compare, app, size, WalkScreen, "k", ClaimsScreen)


@all_sizes
def test_bill(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """The items with mean, chance and share of the spread, one that the seller puts right and one
    without a cost; beside or below it the marked one, the warning, and the sums."""
    app = world.walk_app(valued(world))
    assert same(snap_compare, app, size, WalkScreen, "b", BillScreen)


def test_claims_and_bill_in_plain_characters(world: World, snap_compare: Compare) -> None:
    """The bill as a poor terminal shows it: bars of #, a histogram of points, no box signs."""
    app = world.walk_app(valued(world), glyphs=ASCII)
    keys = ("k", ClaimsScreen, "b", BillScreen)
    assert same(snap_compare, app, (100, 45), WalkScreen, *keys)


def test_a_figure_that_is_none(world: World, snap_compare: Compare) -> None:
    """A box over the bill: what is asked, the field, and under it in the error colour why not."""
    app = world.walk_app(valued(world))
    keys = ("b", BillScreen, "h", AskScreen, *"9", "space", *"2")
    assert same(snap_compare, app, (100, 30), WalkScreen, *keys)


@all_sizes
def test_help(world: World, snap_compare: Compare, size: tuple[int, int]) -> None:
    """The keys of the walk first, each with its sentence, and how many lines are below."""
    assert same(snap_compare, world.walk_app(), size, WalkScreen, "f1", HelpScreen)
