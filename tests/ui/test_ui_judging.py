"""Readings judge themselves on the walk screen, and the person keeps the last word."""

from __future__ import annotations

from ui.helpers import (
    FINCH,
    World,
    check_at,
    on_screen,
    session_of,
    shown,
    status,
    type_text,
    until,
)

from checkrun.route.model import Result
from checkrun.screens.reason import ReasonScreen
from checkrun.screens.summary import SummaryScreen
from checkrun.screens.walk import WalkScreen
from checkrun.screens.widgets.reading import ReadingField


def own_limits(world: World) -> None:
    """The small car with limits at its first check, and a timed reading at the next."""
    text = FINCH.replace(
        "reading: {kind: measure, unit: mm, tool: feeler stack}",
        "reading: {kind: measure, unit: mm, pass: {at-most: 4}, fail: {above: 6}}",
    ).replace(
        "        fail: Thick, with filler in it.\n",
        "        fail: Thick, with filler in it.\n"
        "        reading: {kind: timed, unit: bar, seconds: 1, at-most-per-minute: 0.5}\n",
    )
    assert text.count("at-most") == 2
    world.write_route("finch", text)


async def test_the_judgement_changes_with_every_key(world: World) -> None:
    own_limits(world)
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("3")
        await until(lambda: "judged    ✓ pass" in shown(app))
        await pilot.press("full_stop", "5")
        await until(lambda: "3.5 mm" in shown(app))
        await pilot.press("backspace", "backspace", "0")
        await until(lambda: "judged    ✗ fail" in shown(app))


async def test_a_accepts_the_judgement_and_both_are_kept(world: World) -> None:
    own_limits(world)
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("7", "enter", "a")
        await until(lambda: check_at(app) == "nose-lip")
        state = world.look(name).walk.state("bonnet-gap")
        assert state.answer is not None
        assert state.answer.result is Result.FAIL
        assert state.judged is not None
        assert state.judged["result"] == "fail"
        assert state.judged["si"] == {"value": 0.007}


async def test_another_result_asks_for_a_reason_and_the_summary_shows_both(world: World) -> None:
    own_limits(world)
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("7", "enter", "p")
        await on_screen(app, ReasonScreen)
        assert "You say pass; the reading is judged fail." in shown(app)
        await pilot.press("2")
        await until(lambda: check_at(app) == "nose-lip")
        answer = session_of(app).walk.state("bonnet-gap").answer
        assert answer is not None
        assert (answer.result, answer.why) == (Result.PASS, "the limit does not fit this car")
        await pilot.press("m")
        await on_screen(app, SummaryScreen)
        await until(lambda: "Judged otherwise than recorded (1)" in shown(app))


async def test_going_back_from_the_reason_records_nothing(world: World) -> None:
    own_limits(world)
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("7", "enter", "p")
        await on_screen(app, ReasonScreen)
        await pilot.press("escape")
        await on_screen(app, WalkScreen)
        assert session_of(app).walk.state("bonnet-gap").answer is None


async def test_the_same_result_as_judged_asks_nothing(world: World) -> None:
    own_limits(world)
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("3", "enter", "p")
        await until(lambda: check_at(app) == "nose-lip")


async def test_what_is_no_quantity_is_told_under_the_field_and_stays(world: World) -> None:
    own_limits(world)
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("r")
        await type_text(pilot, "3 furlong")
        await until(lambda: "`furlong` is not a known unit" in shown(app))
        assert app.screen.query_one(ReadingField).text == "3 furlong"


async def test_bare_numbers_follow_the_chosen_units_and_a_typed_unit_wins(world: World) -> None:
    own_limits(world)
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("f3", "f3")
        await until(lambda: app.units == "us")
        await pilot.press("1", "enter")
        state = session_of(app).walk.state("bonnet-gap")
        assert (state.reading, state.reading_unit) == ("1", "in")
        assert state.judged is not None
        assert state.judged["result"] == "fail"
        await pilot.press("r", "end", "space", "m", "m", "enter")
        state = session_of(app).walk.state("bonnet-gap")
        assert state.judged is not None
        assert state.judged["result"] == "pass"


async def test_a_without_a_judgement_says_so(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("a")
        await until(lambda: "No reading here is judged yet" in status(app))


async def test_w_counts_down_and_tells_when_the_time_is_over(world: World) -> None:
    own_limits(world)
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("w")
        await until(lambda: "Nothing is timed at this check." in status(app))
        await pilot.press("right", "w")
        await until(lambda: "s of 1 s; w stops it" in status(app))
        await until(lambda: "time: read the end value" in status(app))
        await pilot.press("w", "w")
        await until(lambda: "stops it" not in status(app))
