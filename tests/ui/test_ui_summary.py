"""The summary: ranked, a way to a check and back, signing off, reading only, opening again."""

from __future__ import annotations

import re

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
    type_text,
    until,
)

from checkrun.route.model import Result
from checkrun.screens.app import CheckrunApp
from checkrun.screens.ask import AskScreen
from checkrun.screens.help import HelpScreen
from checkrun.screens.message import MessageScreen
from checkrun.screens.summary import SummaryScreen
from checkrun.screens.walk import WalkScreen
from checkrun.session.events import Kind


def findings_begun(world: World) -> str:
    """A session with findings of every class, two not examined and the rest open."""
    name = world.begin()
    with world.store.open(name) as session:
        session.answer("left-door", Result.FAIL)
        session.answer("bonnet-gap", Result.FAIL, reading="3,5", note="left side\nonly")
        session.answer("nose-lip", Result.CONCERN)
        session.answer("nose-lamps", Result.CONCERN)
        session.answer("rail", Result.NOT_EXAMINED, why="no time")
        session.move("nose-lip")
    return name


def lines(app: CheckrunApp) -> list[str]:
    """The list, line by line."""
    options = app.screen.query_one(OptionList)
    return [str(options.get_option_at_index(place).prompt) for place in range(options.option_count)]


def marked(app: CheckrunApp) -> str:
    options = app.screen.query_one(OptionList)
    assert options.highlighted is not None
    return str(options.get_option_at_index(options.highlighted).prompt)


async def test_findings_stand_worst_first_and_each_says_why_it_stands_there(world: World) -> None:
    app = world.walk_app(findings_begun(world))
    async with app.run_test(size=(120, 40)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("m")
        await on_screen(app, SummaryScreen)
        ranked = [line for line in lines(app) if re.match(r"[ 0-9]\d [✗!?] ", line)]
        asked = ["Both head lamps", "Lip of the nose", "Gap at the bonnet", "Left door", "Left fr"]
        assert [next(a for a in asked if a in line) for line in ranked] == asked
        assert "not examined" in ranked[-1]
        # It opens on the check one came from.
        assert "Lip of the nose" in marked(app)
        await pilot.press("up")
        await until(lambda: "first: the worst class here is dangerous" in flat_detail(app))
        await pilot.press("down", "down")
        await until(lambda: "3,5 mm" in flat_detail(app))
        assert "left side only" in flat_detail(app)
        assert "The edges touch." in flat_detail(app)
        assert "but body comes after structure" in flat_detail(app)
        assert "1 concern" not in flat_detail(app)
        assert "2 fail, 2 concern, 0 pass, 1 not examined, 4 open" in shown(app)


def flat_detail(app: CheckrunApp) -> str:
    return " ".join(painted(app, "#detail").split())


async def test_enter_goes_to_the_check_and_m_comes_back_to_it(world: World) -> None:
    app = world.walk_app(findings_begun(world))
    async with app.run_test(size=(120, 40)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("m")
        await on_screen(app, SummaryScreen)
        await pilot.press("down", "enter")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "bonnet-gap"
        assert status(app) == "m brings you back to the summary."
        await pilot.press("m")
        await on_screen(app, SummaryScreen)
        assert "Gap at the bonnet" in marked(app)


@pytest.mark.parametrize("key", ["w", "m", "q"])
async def test_the_summary_leads_back_to_the_walk_where_it_stood(world: World, key: str) -> None:
    app = world.walk_app(findings_begun(world))
    async with app.run_test(size=(120, 40)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("m")
        await on_screen(app, SummaryScreen)
        await pilot.press("up", key)
        await on_screen(app, WalkScreen)
        assert check_at(app) == "nose-lip"


async def test_open_checks_and_stations_can_be_gone_to_as_well(world: World) -> None:
    app = world.walk_app(findings_begun(world))
    async with app.run_test(size=(100, 40)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("m")
        await on_screen(app, SummaryScreen)
        options = app.screen.query_one(OptionList)
        options.highlighted = options.get_option_index("at:left")
        await until(lambda: "Left side" in flat_detail(app))
        options.highlighted = options.get_option_index("open:left-sill")
        await pilot.press("enter")
        await on_screen(app, WalkScreen)
        assert check_at(app) == "left-sill"


async def test_signing_off_closes_the_record_and_a_reason_opens_it_again(world: World) -> None:
    name = findings_begun(world)
    app = world.walk_app(name)
    async with app.run_test(size=(120, 40)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("m", "o")
        await on_screen(app, MessageScreen)
        assert "not signed off" in flat(app)
        await pilot.press("enter", "s")
        await on_screen(app, AskScreen)
        assert "4 checks are still open" in flat(app)
        await pilot.press("enter")  # no name, no signature
        assert type(app.screen) is AskScreen
        await type_text(pilot, "ines q. [x]")
        await pilot.press("enter")
        await on_screen(app, SummaryScreen)
        await until(lambda: "Signed off by ines q. [x], " in shown(app))
        assert world.look(name).walk.signed is not None
        await pilot.press("s")
        await on_screen(app, MessageScreen)
        assert "signed off already, by ines q. [x]" in flat(app)
        await pilot.press("enter", "w")
        await on_screen(app, WalkScreen)
        events = len(session_of(app).walk.events)
        for key, screen in (
            ("p", MessageScreen),
            ("x", MessageScreen),
            ("n", MessageScreen),
            ("5", MessageScreen),
            ("t", MessageScreen),
            ("u", MessageScreen),
            ("y", MessageScreen),
            ("f5", MessageScreen),
        ):
            await pilot.press(key)
            await on_screen(app, screen)
            assert "igned off by ines q. [x]" in flat(app), key
            await pilot.press("enter")
            await on_screen(app, WalkScreen)
        await pilot.press("right", "left", "j", "escape")
        await on_screen(app, WalkScreen)
        assert len(session_of(app).walk.events) == events
        assert len(world.look(name).walk.events) == events
        await pilot.press("m", "o")
        await on_screen(app, AskScreen)
        await type_text(pilot, "forgot the boot")
        await pilot.press("enter")
        await on_screen(app, SummaryScreen)
        await until(lambda: "Signed off by" not in shown(app))
        last = world.look(name).walk.events[-1]
        assert (last.kind, last.data) == (Kind.REOPENED, {"why": "forgot the boot"})
        await pilot.press("w", "p")
        await until(lambda: session_of(app).walk.counts.pass_ == 1)


@pytest.mark.parametrize("key", ["escape", "f9"])
async def test_leaving_the_question_for_a_name_signs_nothing(world: World, key: str) -> None:
    app = world.walk_app(findings_begun(world))
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("m", "s")
        await on_screen(app, AskScreen)
        await pilot.press("i", key)
        await on_screen(app, SummaryScreen)
        assert session_of(app).walk.signed is None


async def test_a_signed_session_is_walked_through_without_stops(world: World) -> None:
    name = world.begin()
    with world.store.open(name) as session:
        session.answer("left-sill", Result.PASS)
        session.move("left-sill")
        session.sign("Ines")
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, SummaryScreen)
        await pilot.press("w")
        await on_screen(app, WalkScreen)
        await pilot.press("right")
        await until(lambda: check_at(app) == "rail")
        assert type(app.screen) is WalkScreen


async def test_answers_to_checks_the_route_no_longer_has_are_kept_apart(world: World) -> None:
    """F5 takes the changed route; the summary still tells what was said of the lost check."""
    name = world.begin()
    with world.store.open(name) as session:
        session.answer("nose-lip", Result.FAIL, note="thick [mm]", reading="7")
        session.answer("bonnet-gap", Result.PASS)
    app = world.walk_app(name)
    async with app.run_test(size=(120, 40)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("f5")
        await until(lambda: status(app) == "The route is as it was when the walk began.")
        lost = FINCH.index("      - id: nose-lip")
        world.write_route("finch", FINCH[:lost] + FINCH[FINCH.index("      - id: nose-lamps") :])
        await pilot.press("f5")
        await until(lambda: status(app) == "The changed route is taken; 1 answer is kept apart.")
        assert session_of(app).walk.counts.total == 8
        assert session_of(app).walk.counts.pass_ == 1
        await pilot.press("m")
        await on_screen(app, SummaryScreen)
        options = app.screen.query_one(OptionList)
        options.highlighted = options.get_option_index("apart:nose-lip")
        await until(lambda: "thick [mm]" in flat_detail(app))
        await pilot.press("enter")  # it leads nowhere: there is no such check
        assert type(app.screen) is SummaryScreen
        await pilot.press("w", "f5")
        await until(lambda: status(app) == "The route is as it was when the walk began.")
    assert [e.kind for e in world.look(name).walk.events][-1] is Kind.ROUTE_TAKEN


async def test_a_changed_route_without_a_check_for_this_car_is_not_taken(world: World) -> None:
    name = world.begin()
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        world.write_route("finch", FINCH.replace("ask:", "only: {years: 1969}\n        ask:"))
        await pilot.press("f5")
        await on_screen(app, MessageScreen)
        assert "You go on with the" in flat(app)
        await pilot.press("enter", "p")
        await until(lambda: check_at(app) == "nose-lip")
        assert session_of(app).walk.counts.total == 9


async def test_a_broken_route_is_told_and_the_walk_goes_on(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        world.write_route("finch", "format: 1\nid: finch\n")
        await pilot.press("f5")
        await on_screen(app, MessageScreen)
        assert "You go on with the copy this walk began with" in flat(app)


async def test_the_help_of_the_summary_lists_its_keys_first(world: World) -> None:
    app = world.walk_app(findings_begun(world))
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("m", "question_mark")
        await on_screen(app, HelpScreen)
        await until(lambda: painted(app, "#page").startswith("Summary"))
