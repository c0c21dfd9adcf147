"""The walk: one key a result, notes, readings, setting aside, going about."""

from __future__ import annotations

import pytest
from ui.helpers import (
    World,
    check_at,
    flat,
    on_screen,
    painted,
    put_text,
    session_of,
    shown,
    status,
    type_text,
    until,
)

from checkrun.route.model import Result
from checkrun.screens.note import NoteScreen
from checkrun.screens.reason import REASONS, ReasonScreen
from checkrun.screens.walk import WalkScreen
from checkrun.screens.widgets.reading import ReadingField
from checkrun.session.events import Kind


@pytest.mark.parametrize(
    ("key", "result"),
    [("p", Result.PASS), ("c", Result.CONCERN), ("f", Result.FAIL)],
)
async def test_a_result_key_records_the_result_on_disk_and_goes_on(
    world: World, key: str, result: Result
) -> None:
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press(key)
        await until(lambda: check_at(app) == "nose-lip")
        answer = world.look(name).walk.state("bonnet-gap").answer
        assert answer is not None
        assert answer.result is result
        await until(lambda: "Lip of the nose" in shown(app))


async def test_another_result_for_the_same_check_takes_the_place_of_the_first(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("p", "left", "f")
        await until(lambda: check_at(app) == "nose-lip")
        walk = session_of(app).walk
        assert walk.state("bonnet-gap").answer.result is Result.FAIL
        assert (walk.counts.pass_, walk.counts.fail, walk.counts.open) == (0, 1, 8)


@pytest.mark.parametrize("digit", range(1, len(REASONS) + 1))
async def test_x_asks_why_and_a_digit_gives_the_usual_reason(world: World, digit: int) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("x")
        await on_screen(app, ReasonScreen)
        assert "Gap at the bonnet's front edge" in shown(app)
        await pilot.press(str(digit))
        await until(lambda: check_at(app) == "nose-lip")
        answer = session_of(app).walk.state("bonnet-gap").answer
        assert (answer.result, answer.why) == (Result.NOT_EXAMINED, REASONS[digit - 1])


async def test_enter_takes_the_marked_reason(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("x", "down", "down", "enter")
        await until(lambda: check_at(app) == "nose-lip")
        assert session_of(app).walk.state("bonnet-gap").answer.why == REASONS[2]


async def test_own_words_are_a_reason_and_their_letters_and_digits_are_no_keys(
    world: World,
) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("x", "7")
        await until(lambda: app.focused is not None and app.focused.id == "own")
        await pilot.press("enter")  # nothing written yet: no reason
        await type_text(pilot, "bolt 3, [rusty]")
        await pilot.press("enter")
        await until(lambda: check_at(app) == "nose-lip")
        assert session_of(app).walk.state("bonnet-gap").answer.why == "bolt 3, [rusty]"


@pytest.mark.parametrize("key", ["escape", "b"])
async def test_going_back_from_the_reasons_records_nothing(world: World, key: str) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("x")
        await on_screen(app, ReasonScreen)
        await pilot.press(key)
        await on_screen(app, WalkScreen)
        assert check_at(app) == "bonnet-gap"
        assert session_of(app).walk.counts.answered == 0


# Notes


@pytest.mark.parametrize("key", ["f10", "escape"])
async def test_a_note_keeps_its_lines_and_its_result_keys_are_letters(
    world: World, key: str
) -> None:
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("n")
        await on_screen(app, NoteScreen)
        await pilot.press("p", "c", "enter", "f", "space", "x", "enter", "enter", "4", key)
        await on_screen(app, WalkScreen)
        state = world.look(name).walk.state("bonnet-gap")
        assert state.note == "pc\nf x\n\n4"
        assert state.answer is None
        assert check_at(app) == "bonnet-gap"
        assert "f x" in painted(app, "#entered")


async def test_f9_leaves_the_note_as_it_was(world: World) -> None:
    name = world.begin()
    with world.store.open(name) as session:
        session.note("bonnet-gap", "first words")
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("n", "z", "z", "f9")
        await on_screen(app, WalkScreen)
        assert session_of(app).walk.state("bonnet-gap").note == "first words"
        await pilot.press("n")
        await on_screen(app, NoteScreen)
        await until(lambda: "first words" in shown(app))
        assert "zz" not in shown(app)


async def test_a_note_can_be_written_on_and_emptied(world: World) -> None:
    name = world.begin()
    with world.store.open(name) as session:
        session.note("bonnet-gap", "old")
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("n", "x", "f10")
        await until(lambda: session_of(app).walk.state("bonnet-gap").note == "oldx")
        await pilot.press("n")
        await on_screen(app, NoteScreen)
        await put_text(app, "")
        await pilot.press("f10")
        await until(lambda: session_of(app).walk.state("bonnet-gap").note == "")


# Readings


def field_is_open(app: object) -> bool:
    return app.screen.query_one(ReadingField).has_class("-open")  # type: ignore[attr-defined]


@pytest.mark.parametrize("key", ["enter", "escape"])
async def test_a_digit_opens_the_reading_field_and_letters_in_it_are_no_results(
    world: World, key: str
) -> None:
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("3")
        await until(lambda: field_is_open(app))
        await type_text(pilot, ",5 pcfxnsuq")
        await pilot.press(key)
        await until(lambda: not field_is_open(app))
        walk = world.look(name).walk
        assert walk.state("bonnet-gap").reading == "3,5 pcfxnsuq"
        assert walk.counts.answered == 0
        await pilot.press("c")
        await until(lambda: check_at(app) == "nose-lip")


@pytest.mark.parametrize(
    ("key", "start"), [("0", "0"), ("9", "9"), ("minus", "-"), ("full_stop", ".")]
)
async def test_what_opens_the_field_stands_in_it(world: World, key: str, start: str) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press(key, "1", "enter")
        await until(lambda: session_of(app).walk.state("bonnet-gap").reading == f"{start}1")


async def test_r_opens_the_reading_that_stands_there_to_write_on(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("2", "enter", "r", "comma", "5", "enter")
        await until(lambda: session_of(app).walk.state("bonnet-gap").reading == "2,5")
        assert "2,5 mm" in painted(app, "#entered")


async def test_arrows_move_the_cursor_inside_the_reading_field(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("1", "3", "left", "2", "right", "4", "enter")
        await until(lambda: session_of(app).walk.state("bonnet-gap").reading == "1234")
        assert check_at(app) == "bonnet-gap"


async def test_r_says_so_where_nothing_is_measured_and_a_digit_opens_the_field_all_the_same(
    world: World,
) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("right", "r")
        await until(lambda: status(app).startswith("Nothing is measured here"))
        assert not field_is_open(app)
        await pilot.press("7", "enter")
        await until(lambda: session_of(app).walk.state("nose-lip").reading == "7")


async def test_an_emptied_reading_is_gone(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("7", "enter", "r", "backspace", "enter")
        await until(lambda: not field_is_open(app))
        assert session_of(app).walk.state("bonnet-gap").reading == ""


async def test_page_keys_step_on_with_the_field_open_and_the_reading_stays_with_its_check(
    world: World,
) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("4", "comma", "2", "pagedown")
        await until(lambda: check_at(app) == "nose-lip")
        assert not field_is_open(app)
        assert session_of(app).walk.state("bonnet-gap").reading == "4,2"
        assert session_of(app).walk.state("nose-lip").reading == ""
        await pilot.press("8", "pageup")
        await until(lambda: check_at(app) == "bonnet-gap")
        assert session_of(app).walk.state("nose-lip").reading == "8"


# Stepping, setting aside, undo


async def test_stepping_stops_at_both_ends_and_says_so(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("left")
        await until(lambda: status(app) == "This is the first check.")
        await pilot.press("right", "pagedown", "pageup", "left")
        await until(lambda: check_at(app) == "bonnet-gap")
        walk = session_of(app).walk
        assert [e.data["check"] for e in walk.events if e.kind is Kind.MOVED] == [
            "nose-lip",
            "nose-lamps",
            "nose-lip",
            "bonnet-gap",
        ]
        session_of(app).confirm_state({"bonnet": "open", "engine": "running"})
        walk_end = walk.sequence[-1]
        app.screen._go(walk_end)  # type: ignore[attr-defined]
        await pilot.press("right")
        await until(lambda: status(app) == "This is the last check; m shows the summary.")


async def test_what_is_set_aside_comes_back_before_the_station_is_left_and_again_at_the_end(
    world: World,
) -> None:
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("s")
        await until(lambda: check_at(app) == "nose-lip")
        assert status(app).startswith("Set aside; it comes back")
        await pilot.press("p", "p")
        await until(lambda: check_at(app) == "bonnet-gap")
        assert status(app).startswith("You set this aside.")
        assert "set aside" in painted(app, "#entered")
        await pilot.press("s")
        await until(lambda: check_at(app) == "left-door")
        session = session_of(app)
        rest = [c for c in session.walk.open_ids() if c not in ("left-door", "bonnet-gap")]
        session.answer_many(rest, Result.PASS)
        app.screen._at = "left-door"  # type: ignore[attr-defined]
        await pilot.press("p")
        await until(lambda: check_at(app) == "bonnet-gap")
        assert status(app).startswith("You set this aside.")


async def test_a_check_with_a_result_is_not_set_aside(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("p", "left", "s")
        await until(lambda: status(app).startswith("This check has its result already"))
        assert session_of(app).walk.state("bonnet-gap").aside == 0


async def test_undo_goes_back_to_the_check_and_redo_brings_it_again(world: World) -> None:
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("u")
        await until(lambda: status(app) == "There is nothing to undo.")
        await pilot.press("y")
        await until(lambda: status(app) == "There is nothing to redo.")
        await pilot.press("f", "u")
        await until(lambda: status(app) == "Undone.")
        assert check_at(app) == "bonnet-gap"
        assert world.look(name).walk.counts.answered == 0
        await pilot.press("y")
        await until(lambda: status(app) == "Redone.")
        assert world.look(name).walk.state("bonnet-gap").answer.result is Result.FAIL


async def test_after_the_last_result_the_summary_opens(world: World) -> None:
    from checkrun.screens.summary import SummaryScreen

    name = world.begin()
    world.answer_all(name, but=("bonnet-gap",))
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        assert check_at(app) == "bonnet-gap"
        await pilot.press("f")
        await on_screen(app, SummaryScreen)
        assert "1 fail, 0 concern, 8 pass, 0 not examined, 0 open" in shown(app)


# What is shown


async def test_space_and_arrows_scroll_the_text_and_another_check_starts_at_its_top(
    world: World,
) -> None:
    app = world.walk_app()
    async with app.run_test(size=(60, 12)) as pilot:
        await on_screen(app, WalkScreen)
        await until(lambda: "more lines: Space or Down" in shown(app))
        sheet = app.screen.query_one("#sheet")
        for key, moved in (("space", 3), ("down", 6), ("up", 3), ("up", 0), ("up", 0)):
            await pilot.press(key)
            await until(lambda moved=moved: sheet._top == moved, f"{key}: {moved}")
        await pilot.press("space", "right")
        await until(lambda: check_at(app) == "nose-lip" and sheet._top == 0)


async def test_v_turns_the_plan_over_and_the_next_check_turns_it_back(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(60, 20)) as pilot:
        await on_screen(app, WalkScreen)
        await until(lambda: "from above" in painted(app, "#plan"))
        await pilot.press("v")
        await until(lambda: "from below" in painted(app, "#plan"))
        await pilot.press("v")
        await until(lambda: "from above" in painted(app, "#plan"))
        await pilot.press("v", "p")
        await until(lambda: "from above" in painted(app, "#plan"))


async def test_texts_that_look_like_markup_stand_as_they_were_written(world: World) -> None:
    """Route, note, reading, reason and fact: on the walk, in dialogs, in the summary, at home."""
    from checkrun.screens.home import HomeScreen
    from checkrun.screens.summary import SummaryScreen

    name = world.begin(serial="[red]FN4[/]")
    text = "brake [mm] [red]x[/] \\[b]"
    with world.store.open(name) as session:
        session.answer("nose-lip", Result.FAIL, note=text, reading="[1] [/]")
        session.answer("nose-lamps", Result.NOT_EXAMINED, why="[b]no[/b] [key]")
        session.move("nose-lip")
    app = world.app()
    async with app.run_test(size=(160, 45)) as pilot:
        await on_screen(app, HomeScreen)
        assert "[red]FN4[/]" in shown(app)
        await pilot.press("down", "enter")
        await on_screen(app, WalkScreen)
        await until(lambda: "[b]bold[/b]" in shown(app))
        for part in ("brake [mm] and [red]x[/]", text, "[1] [/]", "[red]FN4[/]"):
            assert part in flat(app)
        await pilot.press("n")
        await on_screen(app, NoteScreen)
        await until(lambda: text in flat(app))
        assert "Lip of the nose, brake [mm] and [red]x[/]" in flat(app)
        await pilot.press("f9", "x")
        await on_screen(app, ReasonScreen)
        assert "Lip of the nose, brake [mm] and [red]x[/]" in flat(app)
        await pilot.press("b", "m")
        await on_screen(app, SummaryScreen)
        await until(lambda: text in flat(app))
        assert "[red]FN4[/]" in flat(app)
        await pilot.press("down", "down")  # past what it costs
        await until(lambda: "[b]no[/b] [key]" in flat(app))
