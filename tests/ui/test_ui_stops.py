"""Safety stops: what must be confirmed before the car is in another state, and what is recorded."""

from __future__ import annotations

import pytest
from ui.helpers import FINCH, World, check_at, flat, on_screen, session_of, shown, status, until

from checkrun.route.model import Result
from checkrun.screens.carstate import CarStateScreen
from checkrun.screens.help import HelpScreen
from checkrun.screens.message import MessageScreen
from checkrun.screens.reason import ReasonScreen
from checkrun.screens.stop import StopScreen
from checkrun.screens.walk import WalkScreen
from checkrun.session.events import Kind
from checkrun.session.fold import Walk
from checkrun.session.stops import CAUTIONS

OUTSIDE = ("bonnet-gap", "nose-lip", "nose-lamps", "left-door")


def before_the_lift(world: World) -> str:
    """A session whose next result but one is under the car."""
    name = world.begin()
    with world.store.open(name) as session:
        session.answer_many(OUTSIDE, Result.PASS)
    return name


def confirmed(walk: Walk) -> list[tuple[str, str, str]]:
    return [
        (event.data["part"], event.data["value"], event.data.get("caution", ""))
        for event in walk.events
        if event.kind is Kind.STATE_CONFIRMED
    ]


async def test_y_confirms_and_the_event_holds_the_caution_that_was_shown(world: World) -> None:
    name = before_the_lift(world)
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("p")
        await on_screen(app, StopScreen)
        await until(lambda: "STOP. Before: Under the middle" in shown(app))
        caution = CAUTIONS["car", "raised"]
        assert "Raise the car" in shown(app)
        # The box's edge stands between the lines, so that the words are looked for one by one.
        assert set(caution.split()) <= set(flat(app).split())
        assert confirmed(world.look(name).walk) == []
        await pilot.press("y")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "rail"
        walk = world.look(name).walk
        assert confirmed(walk) == [("car", "raised", caution)]
        assert walk.car_state["car"] == "raised"
        assert status(app).startswith("raised")
        await pilot.press("p", "p")  # nothing more is asked for at the same station
        await on_screen(app, StopScreen)
        assert "Take the wheels off" in shown(app)


async def test_y_shows_a_caution_that_is_out_of_sight_before_it_confirms(world: World) -> None:
    """On a small terminal four changes have more text than room."""
    name = world.begin()
    with world.store.open(name) as session:
        session.confirm_state({"car": "raised", "wheels": "off"})
        session.move("knock")
    app = world.walk_app(name)
    async with app.run_test(size=(60, 20)) as pilot:
        await on_screen(app, StopScreen)
        await until(lambda: "more lines: Space or Down" in shown(app))
        assert "y done and safe" in shown(app)
        assert "its gas kills" not in shown(app)
        await pilot.press("y")
        await until(lambda: "its gas kills" in shown(app))
        assert "y done and safe" in shown(app)
        assert len(confirmed(session_of(app).walk)) == 2
        await pilot.press("up", "pageup", "pagedown", "space", "y")
        await on_screen(app, WalkScreen)
        assert len(confirmed(session_of(app).walk)) == 6


async def test_a_long_message_can_be_read_to_its_end(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(60, 20)) as pilot:
        await on_screen(app, WalkScreen)
        app.tell(" ".join(f"[{n}] problem" for n in range(90)))
        await on_screen(app, MessageScreen)
        assert "Enter go on" in shown(app)
        await pilot.press("space", "down", "down", "down", "down", "down", "down", "down")
        await until(lambda: "[89] problem" in shown(app))
        await pilot.press("enter")
        await on_screen(app, WalkScreen)


@pytest.mark.parametrize("key", ["enter", "space", "p", "1"])
async def test_no_key_but_y_says_that_it_is_safe(world: World, key: str) -> None:
    app = world.walk_app(before_the_lift(world))
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("p")
        await on_screen(app, StopScreen)
        await pilot.press(key)
        assert type(app.screen) is StopScreen
        assert confirmed(session_of(app).walk) == []
        assert session_of(app).walk.state("rail").answer is None


@pytest.mark.parametrize("key", ["b", "left", "escape"])
async def test_back_leads_to_where_one_came_from_and_leaves_the_car_as_it_is(
    world: World, key: str
) -> None:
    app = world.walk_app(before_the_lift(world))
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("left", "left", "right", "right", "p")
        await on_screen(app, StopScreen)
        await pilot.press(key)
        await on_screen(app, WalkScreen)
        assert check_at(app) == "left-sill"
        assert status(app) == "The car stays as it is."
        assert confirmed(session_of(app).walk) == []


async def test_back_from_a_jump_leads_to_where_the_jump_began(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("right", "j", "d", "r", "u", "m", "enter")
        await on_screen(app, StopScreen)
        assert "Raise the car" in shown(app)
        assert "Take the wheels off" in shown(app)
        assert shown(app).index("Raise the car") < shown(app).index("Take the wheels off")
        await pilot.press("b")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "nose-lip"


async def test_a_session_resumed_at_a_stop_goes_back_to_the_nearest_free_check(
    world: World,
) -> None:
    name = before_the_lift(world)
    with world.store.open(name) as session:
        session.answer("left-sill", Result.PASS)
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, StopScreen)
        await pilot.press("b")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "left-sill"


async def test_x_records_everything_that_needs_it_as_not_examined_and_one_undo_takes_it_back(
    world: World,
) -> None:
    name = before_the_lift(world)
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("p")
        await on_screen(app, StopScreen)
        await pilot.press("x")
        await on_screen(app, ReasonScreen)
        assert "3 checks, since you can't: raise the car" in shown(app)
        await pilot.press("2")
        # What is left needs the engine running: the next stop.
        await on_screen(app, StopScreen)
        assert "Start the engine" in shown(app)
        walk = world.look(name).walk
        for check in ("rail", "pipe", "drum"):
            answer = walk.state(check).answer
            assert answer is not None
            assert (answer.result, answer.why) == (Result.NOT_EXAMINED, "not safe to do here")
        assert walk.state("knock").answer is None
        await pilot.press("b")
        await on_screen(app, WalkScreen)
        await pilot.press("u")
        await until(lambda: session_of(app).walk.counts.not_examined == 0)
        assert session_of(app).walk.counts.pass_ == 5


async def test_going_back_from_the_reason_asks_the_stop_again(world: World) -> None:
    app = world.walk_app(before_the_lift(world))
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("p")
        await on_screen(app, StopScreen)
        await pilot.press("x")
        await on_screen(app, ReasonScreen)
        await pilot.press("b")
        await on_screen(app, StopScreen)
        assert session_of(app).walk.counts.not_examined == 0


async def test_coming_down_again_wheels_go_on_first_and_the_engine_starts_last(
    world: World,
) -> None:
    name = world.begin()
    world.answer_all(name, but=("drum", "knock"))
    with world.store.open(name) as session:
        session.confirm_state({"car": "raised", "wheels": "off"})
        session.move("drum")
    app = world.walk_app(name)
    async with app.run_test(size=(80, 40)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("p")
        await on_screen(app, StopScreen)
        await until(lambda: "Start the engine" in shown(app))
        steps = ["Put the wheels on", "Let the car down", "Open the bonnet", "Start the engine"]
        places = [shown(app).index(step) for step in steps]
        assert places == sorted(places)
        await pilot.press("y")
        await on_screen(app, WalkScreen)
        assert [(part, value) for part, value, _ in confirmed(session_of(app).walk)[2:]] == [
            ("wheels", "on"),
            ("car", "down"),
            ("bonnet", "open"),
            ("engine", "running"),
        ]


async def test_an_engine_left_running_is_stopped_before_going_under_the_car(world: World) -> None:
    """The station itself says nothing of the engine; x must still find the checks it blocks."""
    name = world.begin()
    world.answer_all(name, but=("left-sill", "rail", "pipe"))
    with world.store.open(name) as session:
        session.confirm_state({"car": "raised", "engine": "running"})
        session.answer("left-sill", Result.PASS)
        session.move("rail")
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, StopScreen)
        assert "Engine off, and cold" in shown(app)
        await pilot.press("x")
        await on_screen(app, ReasonScreen)
        assert "2 checks, since you can't: engine off, and cold" in shown(app)
        await pilot.press("3")
        await until(lambda: session_of(app).walk.counts.not_examined == 2)
        assert session_of(app).walk.counts.open == 0


async def test_a_walk_that_begins_with_a_stop_can_be_looked_at_without_doing_it(
    world: World,
) -> None:
    """There is no other place to go back to; the stop is not asked over and over."""
    head, _, stations = FINCH.partition("stations:\n")
    under = "  - id: under" + stations.split("  - id: under")[1].split("  - id: wheel")[0]
    world.write_route("finch", f"{head}stations:\n{under}")
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, StopScreen)
        await pilot.press("b")
        await on_screen(app, WalkScreen)
        await until(lambda: status(app) == "The car stays as it is.")
        assert check_at(app) == "rail"
        await pilot.press("right")  # but it is asked before the next one
        await on_screen(app, StopScreen)


async def test_a_stop_without_danger_is_asked_too_but_does_not_shout(world: World) -> None:
    world.write_route("finch", FINCH.replace("engine: running}", "engine: cold}"))
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("j", "k", "n", "o", "c", "k", "enter")
        await on_screen(app, StopScreen)
        await until(lambda: "Open the bonnet and prop it" in shown(app))
        assert "STOP" not in shown(app)
        await pilot.press("y")
        await on_screen(app, WalkScreen)
        assert confirmed(session_of(app).walk) == [("bonnet", "open", "")]


# The car's state by hand


async def test_t_changes_one_part_of_the_cars_state_with_its_caution(world: World) -> None:
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("t")
        await on_screen(app, CarStateScreen)
        assert "Enter: Raise the car" in shown(app)
        await pilot.press("5")
        await on_screen(app, StopScreen)
        assert "Start the engine" in shown(app)
        assert "can't be done" not in shown(app)
        await pilot.press("x")  # nothing depends on it, so there is nothing to refuse
        assert type(app.screen) is StopScreen
        await pilot.press("y")
        await on_screen(app, WalkScreen)
        assert confirmed(world.look(name).walk) == [
            ("engine", "running", CAUTIONS["engine", "running"])
        ]


async def test_the_cars_state_is_chosen_with_arrows_too_and_b_changes_nothing(
    world: World,
) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("t", "down", "down", "enter")
        await on_screen(app, StopScreen)
        assert "Open the bonnet and prop it" in shown(app)
        await pilot.press("b")
        await on_screen(app, WalkScreen)
        assert confirmed(session_of(app).walk) == []
        assert check_at(app) == "bonnet-gap"


@pytest.mark.parametrize("key", ["escape", "b", "q"])
async def test_leaving_the_cars_state_changes_nothing(world: World, key: str) -> None:
    app = world.walk_app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("t")
        await on_screen(app, CarStateScreen)
        await pilot.press(key)
        await on_screen(app, WalkScreen)
        assert confirmed(session_of(app).walk) == []


async def test_the_help_of_a_stop_lists_its_keys_first(world: World) -> None:
    app = world.walk_app(before_the_lift(world))
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("p")
        await on_screen(app, StopScreen)
        await pilot.press("question_mark")
        await on_screen(app, HelpScreen)
        await until(lambda: "Before a station" in shown(app))
        await pilot.press("q")
        await on_screen(app, StopScreen)
