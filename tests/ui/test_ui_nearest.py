"""The nearest open check, what else is done from a spot, and the round of what was set aside."""

from __future__ import annotations

import pytest
from textual.widgets import OptionList
from ui.helpers import (
    FINCH,
    World,
    check_at,
    flat,
    on_screen,
    painted,
    session_of,
    shown,
    status,
    until,
)

from checkrun.route.model import Result
from checkrun.screens.fromhere import FromHereScreen
from checkrun.screens.help import HelpScreen
from checkrun.screens.stop import StopScreen
from checkrun.screens.summary import SummaryScreen
from checkrun.screens.walk import WalkScreen

#: The same car with one more station an arm's length from the nose, and a bonnet to open there.
FINCH_BAY = (
    FINCH.replace(
        "  bay: {x: -0.2, y: 0.3, z: 0.7}\n",
        "  bay: {x: -0.2, y: 0.3, z: 0.7}\n  cap: {x: -0.8, y: 0.4, z: 0.9}\n",
    )
    + """\
  - id: cap
    title: Radiator cap
    place: cap
    needs: {car: down, bonnet: open, engine: cold}
    checks:
      - id: cap-seal
        ask: Seal of the radiator cap
        how: Cold only. Press it with a thumb.
        pass: Soft.
        concern: Hard.
        fail: Cracked.
        class: minor
        group: mechanical
        minutes: 1
        source: common practice
"""
)


def standing_at(world: World, check: str, *answered: str, **state: str) -> str:
    """A session with some checks passed and the car in a state, standing at a check."""
    name = world.begin()
    with world.store.open(name) as session:
        session.answer_many(answered, Result.PASS)
        session.confirm_state(state)
        session.move(check)
    return name


def all_but(*open_: str) -> tuple[str, ...]:
    checks = ("bonnet-gap", "nose-lip", "nose-lamps", "left-door", "left-sill", "rail", "pipe")
    return tuple(c for c in (*checks, "drum", "knock") if c not in open_)


async def test_g_goes_to_what_is_open_at_this_station_first(world: World) -> None:
    app = world.walk_app(standing_at(world, "nose-lip"))
    async with app.run_test(size=(60, 20)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("g")
        await until(lambda: check_at(app) == "nose-lamps")
        assert status(app) == "Nearest: right here, car stays down."
        await pilot.press("g")
        await until(lambda: check_at(app) == "bonnet-gap")
        # Kept, so that the walk stands there when it is resumed.
        assert world.look(session_of(app).id).walk.at == "bonnet-gap"


async def test_g_says_how_far_it_is_and_that_the_car_stays_up(world: World) -> None:
    """From the drum straight to the rail: 1.4 m back and half a metre to the middle."""
    name = standing_at(world, "drum", *all_but("rail", "knock"), car="raised", wheels="off")
    app = world.walk_app(name)
    async with app.run_test(size=(60, 20)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("g")
        await until(lambda: check_at(app) == "rail")
        assert status(app) == "Nearest: 1.5 m, car stays up."
        assert type(app.screen) is WalkScreen


async def test_g_leads_through_the_safety_stop_like_any_other_way(world: World) -> None:
    name = standing_at(world, "drum", *all_but("knock"), car="raised", wheels="off")
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("g")
        await on_screen(app, StopScreen)
        # Down 120, wheels on 360, bonnet 20, start and warm up 300, tools 30 seconds, and a walk.
        assert status(app) == "Nothing nearer; next needs the car down and more: 14 min."
        assert "Let the car down" in shown(app)
        await pilot.press("b")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "drum"
        assert session_of(app).walk.car_state["car"] == "raised"
        await pilot.press("g")
        await on_screen(app, StopScreen)
        await pilot.press("y")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "knock"
        assert session_of(app).walk.car_state["engine"] == "running"


async def test_g_with_nothing_else_open_stays_and_says_so(world: World) -> None:
    app = world.walk_app(standing_at(world, "drum", *all_but("drum"), car="raised", wheels="off"))
    async with app.run_test(size=(60, 20)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("g")
        await until(lambda: status(app) == "Nothing else is open; m shows the summary.")
        assert check_at(app) == "drum"


async def test_g_keeps_a_reading_that_is_being_typed_and_its_letters_are_no_keys(
    world: World,
) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("2", "g", "e")
        assert check_at(app) == "bonnet-gap"
        await pilot.press("enter", "g")
        await until(lambda: check_at(app) == "nose-lip")
        assert session_of(app).walk.state("bonnet-gap").reading == "2ge"


async def test_a_session_that_can_only_be_looked_at_is_gone_through_all_the_same(
    world: World,
) -> None:
    name = standing_at(world, "bonnet-gap", "bonnet-gap", "nose-lip", "nose-lamps")
    with world.store.open(name) as session:
        session.sign("Ines")
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, SummaryScreen)
        await pilot.press("w")
        await on_screen(app, WalkScreen)
        await pilot.press("g")
        await until(lambda: check_at(app) == "left-door")
        assert type(app.screen) is WalkScreen


@pytest.mark.parametrize("size", [(60, 20), (100, 30), (160, 45)])
async def test_e_lists_what_is_done_from_here_and_what_a_bonnet_would_open(
    world: World, size: tuple[int, int]
) -> None:
    world.write_route("finch", FINCH_BAY)
    app = world.walk_app()
    async with app.run_test(size=size) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("e")
        await on_screen(app, FromHereScreen)
        await until(lambda: "After a small change" in shown(app))
        text = flat(app)
        assert "What else is open at this spot" in text
        assert "With the car as it is" in text
        assert "Both head lamps here" in text
        assert "Lip of the nose, brake [mm] and [red]x[/]" in text
        assert "Seal of the radiator cap" in text
        assert "bonnet open: 50 s" in text
        assert "Gap at the bonnet's front edge here" not in text
        assert "Left door in its opening here" not in text
        # The first check is marked, not the heading above it; Enter goes there.
        await pilot.press("down", "enter")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "nose-lamps"


async def test_what_needs_the_bonnet_comes_with_its_change(world: World) -> None:
    world.write_route("finch", FINCH_BAY)
    app = world.walk_app(standing_at(world, "bonnet-gap", "nose-lip", "nose-lamps"))
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("e")
        await on_screen(app, FromHereScreen)
        await until(lambda: "With the car as it is: nothing." in shown(app))
        await pilot.press("enter")
        await on_screen(app, StopScreen)
        assert "Open the bonnet and prop it" in shown(app)
        await pilot.press("y")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "cap-seal"
        # With the bonnet open the nose is the one that needs a hand on it.
        await pilot.press("e")
        await on_screen(app, FromHereScreen)
        await until(lambda: "bonnet shut: 40 s" in flat(app))


@pytest.mark.parametrize("key", ["b", "left", "escape", "q", "e"])
async def test_back_from_the_list_stays(world: World, key: str) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("e")
        await on_screen(app, FromHereScreen)
        assert app.screen.query_one(OptionList).highlighted == 1
        await pilot.press(key)
        await on_screen(app, WalkScreen)
        assert check_at(app) == "bonnet-gap"


async def test_e_with_nothing_near_says_so(world: World) -> None:
    app = world.walk_app(standing_at(world, "left-sill", "left-door"))
    async with app.run_test(size=(60, 20)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("e")
        await until(lambda: status(app).startswith("Nothing else is open at this spot; g goes"))
        assert type(app.screen) is WalkScreen


async def test_what_was_set_aside_is_planned_anew_and_told_in_one_line(world: World) -> None:
    """From the drum, with the car up: the rail is a step off, so the nose waits for the lift.

    In walking order from the drum the nose would come first: down, and up again for the rail.
    """
    name = standing_at(
        world, "drum", *all_but("nose-lamps", "rail", "drum"), car="raised", wheels="off"
    )
    with world.store.open(name) as session:
        for check in ("nose-lamps", "rail"):
            session.set_aside(check)
        session.move("drum")
    app = world.walk_app(name)
    async with app.run_test(size=(60, 20)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("p")
        await until(lambda: check_at(app) == "rail")
        line = status(app)
        assert line.startswith("2 set aside, planned anew from here: ")
        assert line.endswith(" m, car goes down.")
        assert len(line) < 60
        # Read anew from disk the walk stands at the same check.
        assert world.look(name).walk.at == "rail"
        await pilot.press("p")
        await on_screen(app, StopScreen)
        assert "Before: Nose, standing" in shown(app)
        await pilot.press("y")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "nose-lamps"
        assert status(app).startswith("down")  # told once; now the car's state stands there
        await pilot.press("p")
        await on_screen(app, SummaryScreen)


async def test_the_line_is_still_there_after_the_stop_that_hid_it(world: World) -> None:
    name = standing_at(world, "knock", *all_but("rail", "drum", "knock"), engine="running")
    with world.store.open(name) as session:
        session.confirm_state({"bonnet": "open"})
        for check in ("rail", "drum"):
            session.set_aside(check)
        session.move("knock")
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("p")
        await on_screen(app, StopScreen)
        await pilot.press("y")
        await on_screen(app, WalkScreen)
        assert check_at(app) == world.look(name).walk.at
        assert check_at(app) in ("rail", "drum")
        assert status(app).startswith("2 set aside, planned anew from here: ")


async def test_what_is_set_aside_in_the_round_waits_until_the_others_had_their_turn(
    world: World,
) -> None:
    name = standing_at(world, "knock", *all_but("nose-lip", "left-door", "left-sill", "knock"))
    with world.store.open(name) as session:
        session.answer("knock", Result.PASS)
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        seen = []
        for _ in range(8):
            seen.append(check_at(app))
            await pilot.press("s")
            await on_screen(app, WalkScreen)
        # Each comes back before its station is left; then each once a round.
        assert sorted(seen[:5]) == sorted(("nose-lip", *("left-door", "left-sill") * 2))
        assert len(set(seen[5:8])) == 3


async def test_the_help_tells_of_both_keys_and_of_the_round(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(100, 60)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("question_mark")
        await on_screen(app, HelpScreen)
        await until(lambda: "walk.nearest" in flat(app))
        text = " ".join(painted(app, "#page").split())
        assert "Go to the nearest open check from here" in text
        assert "See what else can be done from this spot" in text
        assert "by the shortest way from where you then stand" in text
