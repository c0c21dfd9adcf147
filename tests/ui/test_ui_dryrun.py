"""A dry run: invented answers by key and by itself, all other keys as on a walk, nothing kept."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from ui.helpers import FINCH, World, flat, on_screen, painted, shown, status, type_text, until

from checkrun.judge.invented import Invented, dry_session, invent
from checkrun.route.model import Result
from checkrun.screens import dryrun, keys
from checkrun.screens.app import CheckrunApp
from checkrun.screens.browse import BrowseScreen
from checkrun.screens.dryrun import NOTHING_KEPT, DryRunScreen
from checkrun.screens.help import HelpScreen
from checkrun.screens.home import HomeScreen
from checkrun.screens.message import MessageScreen
from checkrun.screens.note import NoteScreen
from checkrun.screens.reason import ReasonScreen
from checkrun.screens.routes import RoutesScreen
from checkrun.screens.stop import StopScreen
from checkrun.screens.summary import SummaryScreen
from checkrun.session.session import Session
from checkrun.session.store import Store

SIZES = [(60, 20), (100, 30), (160, 45)]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where temporary folders are made."""
    there = tmp_path / "temporary"
    there.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(there))
    return there


def dry(world: World, name: str = "finch", year: int | None = None) -> CheckrunApp:
    session = dry_session(Store(world.folder / "dry", world.now), world.catalog, name, year)
    assert session is not None
    return world.app(lambda app: DryRunScreen(session, leave=app.exit))


def session_of(app: CheckrunApp) -> Session:
    return next(s for s in app.screen_stack if isinstance(s, DryRunScreen)).session


def at(app: CheckrunApp) -> str:
    return next(s for s in app.screen_stack if isinstance(s, DryRunScreen))._at


def kept(world: World) -> list[Path]:
    """Every file in the person's own store."""
    return [p for p in (world.folder / "sessions").rglob("*") if p.is_file()]


def say(monkeypatch: pytest.MonkeyPatch, **said: Invented) -> None:
    """Have these said at some checks, and a pass at the others."""
    monkeypatch.setattr(
        dryrun,
        "invent",
        lambda walk, check, today: said.get(check.replace("-", "_"), Invented(Result.PASS)),
    )


# By key


@pytest.mark.parametrize("size", SIZES)
async def test_the_headline_says_that_nothing_is_kept_and_the_last_line_the_minutes(
    world: World, size: tuple[int, int]
) -> None:
    app = dry(world)
    async with app.run_test(size=size) as pilot:
        await on_screen(app, DryRunScreen)
        first = shown(app).splitlines()[0]
        assert NOTHING_KEPT == "dry run: nothing is kept"
        assert NOTHING_KEPT in first
        assert "1/5" in first
        assert "0/9" in first
        assert "0 of 14 min  down, wheels on, bonnet shut, boot shut, cold" in shown(app)
        await pilot.press("enter")
        await until(lambda: session_of(app).walk.counts.answered == 1)
        await until(lambda: "2 of 14 min  Invented: " in shown(app))
        assert "1/9" in shown(app).splitlines()[0]


async def test_enter_records_what_is_invented_for_the_check_and_goes_on(world: World) -> None:
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, DryRunScreen)
        walk = session_of(app).walk
        for _ in range(3):
            check = at(app)
            said = invent(walk, check, datetime(2026, 3, 14, tzinfo=UTC).date())
            await pilot.press("enter")
            answer = walk.state(check).answer
            assert answer is not None
            assert (answer.result, answer.why) == (said.result, said.why)
            assert walk.state(check).note == said.note
        assert at(app) == "left-door"


async def test_a_reading_is_invented_with_its_judgement(world: World) -> None:
    limit = "reading: {kind: measure, unit: mm, tool: feeler stack, pass: {at-most: 4}}"
    text = FINCH.replace("reading: {kind: measure, unit: mm, tool: feeler stack}", limit)
    world.write_route("finch", text)
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, DryRunScreen)
        await pilot.press("enter")
        state = session_of(app).walk.state("bonnet-gap")
        assert state.answer is not None
        assert state.judged is not None
        assert state.reading
        assert state.reading_unit == "mm"
        assert state.judged["result"] == state.answer.result.value
        assert f"{state.reading} mm" in shown(app)


async def test_a_reading_of_ones_own_decides_what_is_invented(world: World) -> None:
    limit = "reading: {kind: measure, unit: mm, tool: feeler stack, pass: {at-most: 4}}"
    text = FINCH.replace("reading: {kind: measure, unit: mm, tool: feeler stack}", limit)
    world.write_route("finch", text)
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, DryRunScreen)
        await pilot.press("9", "enter")
        assert at(app) == "bonnet-gap"  # the first Enter leaves the field
        await pilot.press("enter")
        state = session_of(app).walk.state("bonnet-gap")
        assert state.answer is not None
        assert (state.reading, state.answer.result) == ("9", Result.FAIL)


async def test_what_is_set_aside_comes_back_and_is_answered(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    say(monkeypatch, nose_lip=Invented(Result.FAIL, note="photographed", aside=True))
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, DryRunScreen)
        walk = session_of(app).walk
        await pilot.press("enter", "enter")
        assert walk.state("nose-lip").aside == 1
        assert "Set aside" in status(app)
        assert at(app) == "nose-lamps"
        await pilot.press("enter")
        assert at(app) == "nose-lip"
        await pilot.press("enter")
        answer = walk.state("nose-lip").answer
        assert answer is not None
        assert answer.result is Result.FAIL
        assert "Invented: fail; photographed" in status(app)


async def test_a_check_with_its_result_is_left_as_it_is(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    say(monkeypatch)
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, DryRunScreen)
        await pilot.press("f", "left")
        assert at(app) == "bonnet-gap"
        await pilot.press("enter")
        assert at(app) == "nose-lip"
        answer = session_of(app).walk.state("bonnet-gap").answer
        assert answer is not None
        assert answer.result is Result.FAIL


async def test_all_keys_of_a_walk_work(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    say(monkeypatch)
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, DryRunScreen)
        walk = session_of(app).walk
        await pilot.press("c")
        assert walk.counts.concern == 1
        await pilot.press("u")
        assert walk.counts.answered == 0
        await pilot.press("x")
        await on_screen(app, ReasonScreen)
        await pilot.press("1")
        await on_screen(app, DryRunScreen)
        assert walk.counts.not_examined == 1
        await pilot.press("n")
        await on_screen(app, NoteScreen)
        await type_text(pilot, "soft")
        await pilot.press("f10")
        await on_screen(app, DryRunScreen)
        assert walk.state("nose-lip").note == "soft"
        await pilot.press("m")
        await on_screen(app, SummaryScreen)
        await pilot.press("w")
        await on_screen(app, DryRunScreen)
        await pilot.press("question_mark")
        await on_screen(app, HelpScreen)
        await until(lambda: painted(app, "#page").startswith("Dry run"))


def test_its_own_keys_are_none_of_a_walk() -> None:
    tables = (*keys.DRYRUN, *keys.WALK, *keys.ANYWHERE)
    named = [key for binding in tables for key in binding.key.split(",")]
    named += keys.READING_STARTERS
    assert len(named) == len(set(named))


async def test_the_last_answer_shows_the_summary(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    say(monkeypatch, knock=Invented(Result.FAIL, aside=True))
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, DryRunScreen)
        for _ in range(30):
            if isinstance(app.screen, SummaryScreen):
                break
            await pilot.press("y" if isinstance(app.screen, StopScreen) else "enter")
        await on_screen(app, SummaryScreen)
        assert session_of(app).walk.counts.open == 0
        assert "Noise from below at a fast idle" in flat(app)
        await pilot.press("w", "enter")  # at the last check again: the summary again
        await on_screen(app, SummaryScreen)


# Nothing is kept


@pytest.mark.parametrize("leave", ["q", "ctrl+q"])
async def test_from_the_routes_the_store_comes_and_goes_and_ones_own_has_no_trace(
    world: World, folder: Path, leave: str
) -> None:
    world.begin()
    before = {p: p.read_bytes() for p in kept(world)}
    app = world.app(lambda app: RoutesScreen(world.catalog))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, RoutesScreen)
        own = app.drafts
        await pilot.press("d")
        await on_screen(app, DryRunScreen)
        (there,) = folder.iterdir()
        assert there.name.startswith("checkrun-dry-run-")
        assert session_of(app).path.parent == there
        await pilot.press("enter", "n")
        await on_screen(app, NoteScreen)
        await type_text(pilot, "half a note")
        await until(lambda: any("half a note" in p.read_text() for p in there.rglob("*.json")))
        await pilot.press("f9")
        await on_screen(app, DryRunScreen)
        await pilot.press("3")
        await pilot.press("enter", leave)
        if leave == "q":
            await on_screen(app, RoutesScreen)
            assert app.drafts is own
            assert not app.dry
    assert list(folder.iterdir()) == []
    assert {p: p.read_bytes() for p in kept(world)} == before


async def test_the_home_screen_does_not_list_it(world: World, folder: Path) -> None:
    app = world.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, HomeScreen)
        await pilot.press("r")
        await on_screen(app, RoutesScreen)
        await pilot.press("d")
        await on_screen(app, DryRunScreen)
        await pilot.press("enter", "q")
        await on_screen(app, RoutesScreen)
        await pilot.press("q")
        await on_screen(app, HomeScreen)
        assert "No walk yet" in flat(app)


async def test_a_signed_dry_run_leads_back_to_where_it_was_begun(
    world: World, folder: Path
) -> None:
    app = world.app(lambda app: RoutesScreen(world.catalog))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, RoutesScreen)
        await pilot.press("b")
        await on_screen(app, BrowseScreen)
        await pilot.press("d")
        await on_screen(app, DryRunScreen)
        session_of(app).sign("Ines")
        await pilot.press("m")
        await on_screen(app, SummaryScreen)
        await pilot.press("q")
        await on_screen(app, BrowseScreen)
        await until(lambda: list(folder.iterdir()) == [])


async def test_no_room_for_the_store_is_told(
    world: World, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from checkrun.session.errors import CannotWrite

    def full(*_: object) -> None:
        raise CannotWrite(Path("sessions"), "the disk is full")

    monkeypatch.setattr(Store, "create", full)
    app = world.app(lambda app: RoutesScreen(world.catalog))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, RoutesScreen)
        await pilot.press("d")
        await on_screen(app, MessageScreen)
        assert "the disk is full" in flat(app)
        assert list(folder.iterdir()) == []


# By itself


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beats of a fiftieth of a second."""
    monkeypatch.setattr(dryrun, "BEAT", 0.02)


async def test_it_goes_by_itself_waits_at_safety_stops_and_ends_at_the_summary(
    world: World, monkeypatch: pytest.MonkeyPatch, quick: None
) -> None:
    say(monkeypatch, left_sill=Invented(Result.CONCERN, aside=True))
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await on_screen(app, DryRunScreen)
        assert isinstance(screen, DryRunScreen)
        await pilot.press("o")
        for stop in ("Raise the car", "Take the wheels off"):
            await until(lambda: isinstance(app.screen, StopScreen), stop)
            await until(lambda stop=stop: stop in flat(app), stop)
            answered = screen.session.walk.counts.answered
            await pilot.pause(0.15)
            assert isinstance(app.screen, StopScreen)  # it waits, and goes on after a yes
            assert screen.session.walk.counts.answered == answered
            assert screen.going
            await pilot.press("y")
        await until(lambda: isinstance(app.screen, StopScreen) and "Start the engine" in flat(app))
        await pilot.press("pagedown", "y")
        await on_screen(app, SummaryScreen)
        assert not screen.going
        assert screen.session.walk.counts.open == 0


async def test_what_needs_no_care_is_shown_and_confirmed_by_itself(
    world: World, monkeypatch: pytest.MonkeyPatch, quick: None
) -> None:
    text = FINCH.replace(
        "    place: left\n    needs: {car: down, engine: cold}",
        "    place: left\n    needs: {boot: open}",
    )
    world.write_route("finch", text)
    say(monkeypatch)
    seen: list[str] = []
    confirm = StopScreen.action_confirm

    def confirmed(screen: StopScreen) -> None:
        seen.append(flat(app))
        confirm(screen)

    monkeypatch.setattr(StopScreen, "action_confirm", confirmed)
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await on_screen(app, DryRunScreen)
        assert isinstance(screen, DryRunScreen)
        await pilot.press("o")
        await until(lambda: screen.session.walk.counts.answered >= 5)
        (stop,) = seen
        assert "Before: Left side" in stop
        assert "Open the boot" in stop
        assert screen.session.walk.car_state["boot"] == "open"
        await until(lambda: isinstance(app.screen, StopScreen) and "Raise the car" in flat(app))


async def test_the_same_key_stops_it(
    world: World, monkeypatch: pytest.MonkeyPatch, quick: None
) -> None:
    say(monkeypatch)
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await on_screen(app, DryRunScreen)
        assert isinstance(screen, DryRunScreen)
        await pilot.press("o")
        await until(lambda: screen.session.walk.counts.answered >= 1)
        await pilot.press("o")
        assert not screen.going
        assert "Stopped." in status(app)
        answered = screen.session.walk.counts.answered
        await pilot.pause(0.1)
        assert screen.session.walk.counts.answered == answered


async def test_going_back_from_a_stop_stops_it(
    world: World, monkeypatch: pytest.MonkeyPatch, quick: None
) -> None:
    say(monkeypatch)
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await on_screen(app, DryRunScreen)
        assert isinstance(screen, DryRunScreen)
        await pilot.press("o")
        await until(lambda: isinstance(app.screen, StopScreen))
        await pilot.press("b")
        await on_screen(app, DryRunScreen)
        assert not screen.going


async def test_it_waits_while_something_is_typed_or_read(
    world: World, monkeypatch: pytest.MonkeyPatch, quick: None
) -> None:
    say(monkeypatch)
    monkeypatch.setattr(dryrun, "BEAT", 0.15)
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await on_screen(app, DryRunScreen)
        assert isinstance(screen, DryRunScreen)
        await pilot.press("o", "4")
        answered = screen.session.walk.counts.answered
        await pilot.pause(0.4)
        assert screen.session.walk.counts.answered == answered
        await pilot.press("enter", "n")
        await on_screen(app, NoteScreen)
        answered = screen.session.walk.counts.answered
        await pilot.pause(0.4)
        assert screen.session.walk.counts.answered == answered
        await pilot.press("f9")
        await until(lambda: screen.session.walk.counts.answered > answered)


async def test_a_full_disk_stops_it_with_the_reason(
    world: World, monkeypatch: pytest.MonkeyPatch, quick: None
) -> None:
    from checkrun.session.errors import CannotWrite

    def full(*_: object, **__: object) -> None:
        raise CannotWrite(Path("sessions"), "the disk is full")

    say(monkeypatch)
    app = dry(world)
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await on_screen(app, DryRunScreen)
        assert isinstance(screen, DryRunScreen)
        monkeypatch.setattr(Session, "answer", full)
        await pilot.press("o")
        await on_screen(app, MessageScreen)
        assert "the disk is full" in flat(app)
        assert not screen.going
        await pilot.press("enter")
        await pilot.pause(0.1)
        assert app.screen is screen
