"""What all screens share: keys, colours, settings, two programs, full disks, drafts, sizes."""

from __future__ import annotations

import errno
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from textual.binding import Binding
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import TextArea
from ui.helpers import (
    World,
    check_at,
    flat,
    on_screen,
    painted,
    session_of,
    settled,
    shown,
    status,
    strips,
    type_text,
    until,
)

from checkrun import settings as settings_file
from checkrun.report.glyphs import ASCII
from checkrun.route.model import Result
from checkrun.screens import ask, carstate, jump, keys, message, note, reason, recover
from checkrun.screens.app import CheckrunApp
from checkrun.screens.bill import BillScreen
from checkrun.screens.brief import BriefScreen
from checkrun.screens.browse import BrowseScreen
from checkrun.screens.claims import ClaimsScreen
from checkrun.screens.dryrun import DryRunScreen
from checkrun.screens.editor import EditorScreen
from checkrun.screens.help import HelpScreen
from checkrun.screens.home import HomeScreen
from checkrun.screens.intake import IntakeScreen
from checkrun.screens.reader import RouteReader
from checkrun.screens.routes import RoutesScreen
from checkrun.screens.stop import StopScreen
from checkrun.screens.summary import SummaryScreen
from checkrun.screens.unsaved import UnsavedScreen
from checkrun.screens.walk import WalkScreen
from checkrun.screens.widgets.reading import ReadingField
from checkrun.settings import Settings

TABLES: list[tuple[type[Screen[Any]], tuple[Binding, ...]]] = [
    (HomeScreen, keys.HOME),
    (WalkScreen, keys.WALK),
    (StopScreen, keys.STOP),
    (SummaryScreen, keys.SUMMARY),
    (ClaimsScreen, keys.CLAIMS),
    (BillScreen, keys.BILL),
    (RoutesScreen, keys.ROUTES),
    (BrowseScreen, keys.BROWSE),
    (DryRunScreen, keys.DRYRUN),
    (EditorScreen, keys.EDITOR),
    (UnsavedScreen, keys.UNSAVED),
    (IntakeScreen, keys.INTAKE),
    (BriefScreen, keys.BRIEF),
    (RouteReader, keys.READER),
    (HelpScreen, keys.READER),
    (ask.AskScreen, keys.ASK),
    (carstate.CarStateScreen, keys.STATE),
    (jump.JumpScreen, keys.JUMP),
    (message.MessageScreen, keys.MESSAGE),
    (note.NoteScreen, keys.NOTE),
    (reason.ReasonScreen, keys.REASON),
    (recover.RecoverScreen, keys.RECOVER),
]
#: What the focused list or field of a screen does itself when Enter is pressed.
BY_THE_WIDGET = {"ask.done", "state.choose", "reason.choose"}


# Keys


@pytest.mark.parametrize(
    ("screen", "binding"),
    [(screen, binding) for screen, table in TABLES for binding in table],
    ids=lambda found: found.id if isinstance(found, Binding) else found.__name__,
)
def test_every_key_has_its_action_on_its_screen(
    screen: type[Screen[Any]], binding: Binding
) -> None:
    name = binding.action.partition("(")[0]
    assert binding.id in BY_THE_WIDGET or hasattr(screen, f"action_{name}")
    assert binding.description
    assert binding.tooltip.endswith(".")


@pytest.mark.parametrize(
    ("screen", "table"), TABLES, ids=lambda found: getattr(found, "__name__", "")
)
def test_no_key_means_two_things_on_a_screen_and_help_is_on_all(
    screen: type[Screen[Any]], table: tuple[Binding, ...]
) -> None:
    named = [key for binding in (*table, *keys.ANYWHERE) for key in binding.key.split(",")]
    assert len(named) == len(set(named))
    assert hasattr(screen, "action_help")


def test_the_table_holds_every_screen_that_has_a_table() -> None:
    assert [*keys.BY_SCREEN.values()] == [
        keys.HOME,
        keys.WALK,
        keys.STOP,
        keys.SUMMARY,
        keys.CLAIMS,
        keys.BILL,
        keys.ROUTES,
        keys.BROWSE,
        keys.DRYRUN,
        keys.INTAKE,
        keys.BRIEF,
        keys.EDITOR,
        keys.UNSAVED,
        keys.ASK,
        keys.STATE,
        keys.JUMP,
        keys.FROM_HERE,
        keys.MESSAGE,
        keys.NOTE,
        keys.REASON,
        keys.RECOVER,
        keys.READER,
        keys.ANYWHERE,
    ]


def test_every_id_is_used_once_so_that_a_person_can_name_it() -> None:
    named = [b.id for table in {id(t): t for _, t in TABLES}.values() for b in table]
    named += [binding.id for binding in keys.ANYWHERE]
    assert len(named) == len(set(named))


@pytest.mark.parametrize("key", ["question_mark", "f1"])
async def test_help_shows_the_keys_of_the_screen_first_and_the_words(
    world: World, key: str
) -> None:
    app = world.walk_app()
    async with app.run_test(size=(100, 40)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press(key)
        await on_screen(app, HelpScreen)
        page = app.screen.query_one("#page")
        await until(lambda: painted(app, "#page").startswith("Walk"))
        text = " ".join(painted(app, "#page").split())
        for table in keys.BY_SCREEN.values():
            for binding in table:
                assert " ".join(binding.tooltip.split()) in text
        assert "never counts as a pass" in text
        assert "After Directive 2014/45/EU." in text
        turn = page.size.height - 2
        for step, top in (("space", turn), ("up", turn - 1), ("down", turn), ("pageup", 0)):
            await pilot.press(step)
            await until(lambda top=top: page._top == top, step)
        await pilot.press("question_mark")  # no second help over the first
        assert len(app.screen_stack) == 2
        await pilot.press("escape")
        await on_screen(app, WalkScreen)


@pytest.mark.parametrize(
    ("opening", "screen"),
    [
        (("n",), note.NoteScreen),
        (("x",), reason.ReasonScreen),
        (("j",), jump.JumpScreen),
        (("t",), carstate.CarStateScreen),
        (("m", "s"), ask.AskScreen),
    ],
)
async def test_f1_and_f2_work_in_dialogs_too(
    world: World, opening: tuple[str, ...], screen: type[Screen[Any]]
) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press(*opening)
        await on_screen(app, screen)
        await pilot.press("f2")
        await until(lambda: app.theme == "light")
        await pilot.press("f1")
        await on_screen(app, HelpScreen)
        await pilot.press("q")
        await on_screen(app, screen)


async def test_keys_of_ones_own_take_the_place_of_ours_and_are_shown(world: World) -> None:
    world.settings = Settings(keys={"walk.pass": "g", "any.help": "h"})
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        assert painted(app, "#hints").startswith(" g pass ")
        await pilot.press("p")
        assert session_of(app).walk.counts.answered == 0
        await pilot.press("g")
        await until(lambda: check_at(app) == "nose-lip")
        assert session_of(app).walk.state("bonnet-gap").answer.result is Result.PASS
        await pilot.press("h")
        await on_screen(app, HelpScreen)
        await until(lambda: "g Record a pass and go on." in " ".join(shown(app).split()))


# Jumping


async def test_a_few_letters_lead_to_a_check(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("j")
        await on_screen(app, jump.JumpScreen)
        await until(lambda: "Engine bay, engine running" in shown(app))
        await type_text(pilot, "lam")
        await until(lambda: "Both head lamps" in shown(app))
        await pilot.press("enter")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "nose-lamps"


async def test_arrows_mark_another_line_of_the_jump(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("j", "down", "down", "up", "enter")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "left-door"


@pytest.mark.parametrize("key", ["escape", "f9"])
async def test_letters_that_fit_nothing_lead_nowhere_and_back_stays(world: World, key: str) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("j", "[", "b", "]", "z", "enter", "down", "up")
        assert type(app.screen) is jump.JumpScreen
        await pilot.press(key)
        await on_screen(app, WalkScreen)
        assert check_at(app) == "bonnet-gap"


# Colours and settings


async def test_f2_goes_through_the_colours_and_the_next_start_has_them(world: World) -> None:
    settings_file.save(world.settings_path, "theme", "light")
    world.settings = settings_file.load(world.settings_path)
    app = world.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, HomeScreen)
        assert app.theme == "light"
        await pilot.press("f2")
        await until(lambda: app.theme == "contrast")
        assert settings_file.load(world.settings_path).theme == "contrast"
        await pilot.press("f2")
        await until(lambda: app.theme == "dark")
    world.settings = replace(settings_file.load(world.settings_path), theme="none such")
    assert world.app().theme == "dark"


async def test_settings_that_cannot_be_used_are_told_and_left_alone(world: World) -> None:
    world.settings_path.write_text('{"theme": ', encoding="utf-8")
    world.settings = settings_file.load(world.settings_path)
    app = world.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, message.MessageScreen)
        assert "The settings could not be used" in flat(app)
        await pilot.press("enter")
        await on_screen(app, HomeScreen)
        await pilot.press("f2")
        await until(lambda: app.theme == "light")
        assert world.settings_path.read_text("utf-8") == '{"theme": '


async def test_colours_that_cannot_be_kept_are_told(world: World) -> None:
    world.settings_path.mkdir()
    app = world.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, HomeScreen)
        await pilot.press("f2")
        await until(lambda: app.theme == "light")


def colours(app: CheckrunApp) -> set[str]:
    """Every colour that a terminal would be sent for the screen on top."""
    found = set()
    for strip in strips(app):
        for segment in strip:
            style = segment.style
            if style is not None:
                found |= {str(c.name) for c in (style.color, style.bgcolor) if c is not None}
    return found


def cursor_shows(app: CheckrunApp) -> bool:
    """Whether the focused field marks a character without a colour."""
    assert app.focused is not None
    lines = app.focused.render_lines(app.focused.size.region)
    styles = [segment.style for line in lines for segment in line]
    return any(style is not None and (style.underline or style.reverse) for style in styles)


async def test_no_color_sends_no_colour_and_still_tells_results_and_marks_apart(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = world.begin()
    with world.store.open(name) as session:
        session.answer("bonnet-gap", Result.FAIL)
    monkeypatch.setenv("NO_COLOR", "1")
    app = world.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, HomeScreen)
        assert colours(app) <= {"default"}
        marked = [
            segment.text
            for strip in strips(app)
            for segment in strip
            if segment.style is not None and segment.style.underline
        ]
        assert any("Start a walk" in text for text in marked)
        await pilot.press("down", "enter")
        await on_screen(app, WalkScreen)
        await until(lambda: "✗" in painted(app, "#plan"))
        await pilot.press("left")
        await until(lambda: "✗ fail" in painted(app, "#entered"))
        assert colours(app) <= {"default"}
        await pilot.press("f2")
        await until(lambda: app.theme == "light")
        assert colours(app) <= {"default"}
        for key in ("5", "n"):  # the cursor of a field and of a text can still be seen
            await pilot.press(key)
            await until(lambda: app.focused is not None, key)
            await until(lambda: cursor_shows(app), key)
            await pilot.press("escape")


async def test_a_poor_terminal_gets_plain_characters_everywhere(world: World) -> None:
    name = world.begin()
    with world.store.open(name) as session:
        session.answer("bonnet-gap", Result.FAIL)
        session.set_aside("nose-lip")
        session.answer("nose-lamps", Result.NOT_EXAMINED, why="no time")
    app = world.app(glyphs=ASCII)
    async with app.run_test(size=(160, 45)) as pilot:
        for pressed, screen in (
            ((), HomeScreen),
            (("n",), RoutesScreen),
            (("r",), RouteReader),
            (("q", "q", "down", "enter"), WalkScreen),
            (("right",), WalkScreen),
            (("5",), WalkScreen),
            (("enter", "x"), reason.ReasonScreen),
            (("b", "t"), carstate.CarStateScreen),
            (("1",), StopScreen),
            (("b", "j"), jump.JumpScreen),
            (("escape", "n"), note.NoteScreen),
            (("f9", "k"), ClaimsScreen),
            (("b",), BillScreen),
            (("a",), ask.AskScreen),
            (("escape", "q", "q", "m"), SummaryScreen),
            (("s",), ask.AskScreen),
            (("escape", "f1"), HelpScreen),
        ):
            await pilot.press(*pressed)
            await on_screen(app, screen)
            odd = {sign for sign in shown(app) if not sign.isascii()}
            assert not odd, f"{screen.__name__}: {odd}"
        assert painted(app, "#page").isascii()


# Two programs, full disks


async def test_a_second_program_can_only_look_and_says_who_has_the_session(world: World) -> None:
    name = world.begin()
    with world.store.open(name) as first:
        app = world.walk_app(name)
        async with app.run_test(size=(120, 30)) as pilot:
            await on_screen(app, WalkScreen)
            await until(lambda: status(app).startswith("Looking only: "))
            assert "(process " in status(app)
            for key in ("p", "c", "f", "x", "n", "5", "r", "s", "t", "u", "y", "f5"):
                await pilot.press(key)
                await on_screen(app, message.MessageScreen)
                await pilot.press("enter")
                await on_screen(app, WalkScreen)
            await pilot.press("right", "m", "s")
            await on_screen(app, ask.AskScreen)
            await pilot.press("i", "enter")
            await on_screen(app, message.MessageScreen)
            await pilot.press("enter", "w")
            await on_screen(app, WalkScreen)
            assert check_at(app) == "nose-lip"
            assert session_of(app).walk.counts.answered == 0
        assert len(world.look(name).walk.events) == len(first.walk.events) == 1


def full_disk(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """From now on nothing can be written; calling the result frees the disk."""
    import checkrun.session.durable as durable

    def refuse(handle: int, payload: bytes) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(durable, "_write_all", refuse)
    return monkeypatch.undo


@pytest.mark.parametrize("key", ["p", "s"])
async def test_on_a_full_disk_the_check_stays_and_the_entry_works_once_there_is_room(
    world: World, key: str
) -> None:
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        with pytest.MonkeyPatch.context() as patch:
            full_disk(patch)
            await pilot.press(key)
            await on_screen(app, message.MessageScreen)
            assert "the disk is full" in flat(app)
            await pilot.press("enter")
            await on_screen(app, WalkScreen)
            assert check_at(app) == "bonnet-gap"
            assert len(world.look(name).walk.events) == 1
        await pilot.press(key)
        await until(lambda: check_at(app) == "nose-lip")
        assert len(world.look(name).walk.events) == 2


async def test_on_a_full_disk_a_reading_and_a_note_are_not_lost(world: World) -> None:
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        with pytest.MonkeyPatch.context() as patch:
            full_disk(patch)
            await pilot.press("4", "2", "enter")
            await on_screen(app, message.MessageScreen)
            await pilot.press("enter")
            await on_screen(app, WalkScreen)
            assert app.screen.query_one(ReadingField).text == "42"
        await until(lambda: app.focused is not None and app.focused.id == "reading")
        await pilot.press("enter")
        await until(lambda: session_of(app).walk.state("bonnet-gap").reading == "42")
        with pytest.MonkeyPatch.context() as patch:
            full_disk(patch)
            await pilot.press("n", "a", "b", "f10")
            await on_screen(app, message.MessageScreen)
            await pilot.press("enter")
            await on_screen(app, WalkScreen)
            assert session_of(app).walk.state("bonnet-gap").note == ""
        await pilot.press("n")
        await on_screen(app, note.NoteScreen)
        await until(lambda: app.screen.query_one(TextArea).text == "ab")
        await pilot.press("f10")
        await until(lambda: world.look(name).walk.state("bonnet-gap").note == "ab")


async def test_on_a_full_disk_a_stop_is_not_taken_for_confirmed(world: World) -> None:
    name = world.begin()
    world.answer_all(name, but=("left-sill", "rail", "pipe"))
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("p")
        await on_screen(app, StopScreen)
        with pytest.MonkeyPatch.context() as patch:
            full_disk(patch)
            await pilot.press("y")
            await on_screen(app, message.MessageScreen)
            assert session_of(app).walk.car_state["car"] == "down"


# Drafts


async def test_half_a_note_survives_a_closed_terminal(world: World) -> None:
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("n", "r", "u", "s", "enter", "t")
        await until(lambda: app.drafts.get(name, "note", "bonnet-gap") == "rus\nt")
    again = world.walk_app(name)
    async with again.run_test(size=(80, 24)) as pilot:
        await on_screen(again, WalkScreen)
        assert session_of(again).walk.state("bonnet-gap").note == ""
        await pilot.press("n")
        await on_screen(again, note.NoteScreen)
        assert again.screen.query_one(TextArea).text == "rus\nt"
        await pilot.press("y", "f10")
        await until(lambda: session_of(again).walk.state("bonnet-gap").note == "rus\nty")
        assert again.drafts.get(name, "note", "bonnet-gap") is None


async def test_half_a_reading_survives_a_closed_terminal(world: World) -> None:
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("3", "comma", "5")
        await until(lambda: app.drafts.get(name, "reading", "bonnet-gap") == "3,5")
    again = world.walk_app(name)
    async with again.run_test(size=(80, 24)) as pilot:
        await on_screen(again, WalkScreen)
        await pilot.press("r", "enter")
        await until(lambda: session_of(again).walk.state("bonnet-gap").reading == "3,5")
        assert again.drafts.get(name, "reading", "bonnet-gap") is None


# Sizes


async def _nothing(pilot: Pilot[None], app: CheckrunApp) -> None:
    """Stay where the app begins."""


def _keys(*pressed: str) -> Callable[[Pilot[None], CheckrunApp], Any]:
    async def press(pilot: Pilot[None], app: CheckrunApp) -> None:
        await pilot.press(*pressed)

    return press


@pytest.mark.parametrize(
    ("pressed", "screen"),
    [
        ((), WalkScreen),
        (("5",), WalkScreen),
        (("n",), note.NoteScreen),
        (("x",), reason.ReasonScreen),
        (("j",), jump.JumpScreen),
        (("t",), carstate.CarStateScreen),
        (("t", "1"), StopScreen),
        (("m",), SummaryScreen),
        (("m", "s"), ask.AskScreen),
        (("k",), ClaimsScreen),
        (("b",), BillScreen),
        (("b", "a"), ask.AskScreen),
        (("f1",), HelpScreen),
        (("p", "u", "u"), WalkScreen),
    ],
)
async def test_a_tiny_terminal_and_back_changes_nothing_on_the_walk(
    world: World, pressed: tuple[str, ...], screen: type[Screen[Any]]
) -> None:
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press(*pressed)
        await on_screen(app, screen)
        before, at = await settled(app), check_at(app)
        for size in ((20, 5), (1, 1), (160, 45), (100, 30)):
            await pilot.resize_terminal(*size)
            await until(lambda size=size: tuple(app.screen.size) == size)
        assert type(app.screen) is screen
        assert check_at(app) == at
        await until(lambda: shown(app) == before)


@pytest.mark.parametrize(
    ("pressed", "screen"),
    [
        ((), HomeScreen),
        (("n",), RoutesScreen),
        (("n", "r"), RouteReader),
        (("n", "enter"), IntakeScreen),
    ],
)
async def test_a_tiny_terminal_and_back_changes_nothing_before_the_walk(
    world: World, pressed: tuple[str, ...], screen: type[Screen[Any]]
) -> None:
    app = world.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, HomeScreen)
        await pilot.press(*pressed)
        await on_screen(app, screen)
        before = await settled(app)
        for size in ((20, 5), (1, 1), (160, 45), (100, 30)):
            await pilot.resize_terminal(*size)
            await until(lambda size=size: tuple(app.screen.size) == size)
        assert type(app.screen) is screen
        await until(lambda: shown(app) == before)


async def test_a_wide_terminal_lists_the_stations_as_soon_as_it_is_wide(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(60, 20)) as pilot:
        await on_screen(app, WalkScreen)
        assert "1964 FN4-0123" not in shown(app)
        await pilot.resize_terminal(160, 45)
        await until(lambda: "Engine bay, engine running" in shown(app))
        assert "1964 FN4-0123" in shown(app)


async def test_walking_at_twenty_by_five_works(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(20, 5)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("f", "5", "enter", "n", "a", "f10", "x", "1", "u", "j", "escape", "v")
        await on_screen(app, WalkScreen)
        walk = session_of(app).walk
        assert walk.state("bonnet-gap").answer.result is Result.FAIL
        assert (walk.state("nose-lip").reading, walk.state("nose-lip").note) == ("5", "a")
