"""The summary: ranked, a way to a check and back, signing off, reading only, opening again."""

from __future__ import annotations

import re

import pytest
from textual.pilot import Pilot
from textual.widgets import OptionList
from ui.helpers import (
    FINCH,
    FINCH_CLAIMS,
    World,
    check_at,
    flat,
    on_screen,
    painted,
    put_text,
    session_of,
    settled,
    shown,
    status,
    type_text,
    until,
)

from checkrun.route.model import Result
from checkrun.screens.app import CheckrunApp
from checkrun.screens.ask import AskScreen
from checkrun.screens.bill import BillScreen
from checkrun.screens.claims import ClaimsScreen
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


# A place in the order by hand


def findings(app: CheckrunApp) -> list[str]:
    """The checks of the findings in their order, by the start of what they ask."""
    asked = ["Both head lamps", "Lip of the nose", "Gap at the bonnet", "Left door"]
    ranked = [line for line in lines(app) if re.match(r"[ 0-9]\d [✗!] ", line)]
    return [next(ask for ask in asked if ask in line) for line in ranked]


LAMPS, LIP, GAP, DOOR = "Both head lamps", "Lip of the nose", "Gap at the bonnet", "Left door"


async def open_summary(pilot: Pilot[None], app: CheckrunApp) -> None:
    await on_screen(app, WalkScreen)
    await pilot.press("m")
    await on_screen(app, SummaryScreen)
    await until(lambda: "80 % stay below" in " ".join(lines(app)))


async def mark(app: CheckrunApp, name: str) -> None:
    options = app.screen.query_one(OptionList)
    options.highlighted = options.get_option_index(name)
    await until(lambda: options.highlighted == options.get_option_index(name))


async def test_plus_and_minus_put_a_finding_elsewhere_with_a_reason_and_0_gives_it_back(
    world: World,
) -> None:
    name = findings_begun(world)
    app = world.walk_app(name)
    async with app.run_test(size=(120, 40)) as pilot:
        await open_summary(pilot, app)
        assert findings(app) == [LAMPS, LIP, GAP, DOOR]
        await mark(app, "find:left-door")
        await pilot.press("plus")
        await on_screen(app, AskScreen)
        await pilot.press("enter")  # no reason, no other place
        assert type(app.screen) is AskScreen
        await type_text(pilot, "the buyer asked [b]")
        await pilot.press("enter")
        await on_screen(app, SummaryScreen)
        await until(lambda: findings(app) == [LAMPS, LIP, DOOR, GAP])
        assert "Left door" in marked(app)
        await until(lambda: "put here by hand: the buyer asked [b]" in flat_detail(app))
        # It has its reason; moved on, it keeps it.
        await pilot.press("plus")
        await until(lambda: findings(app) == [LAMPS, DOOR, LIP, GAP])
        await pilot.press("plus")
        await until(lambda: findings(app) == [DOOR, LAMPS, LIP, GAP])
        await pilot.press("plus")
        await until(
            lambda: painted(app, "#status").strip() == "It stands at the end of the list already."
        )
        for order in ([LAMPS, DOOR, LIP, GAP], [LAMPS, LIP, DOOR, GAP], [LAMPS, LIP, GAP, DOOR]):
            await pilot.press("minus")
            await until(lambda order=order: findings(app) == order, str(order))
        await pilot.press("minus")
        await until(lambda: "end of the list" in painted(app, "#status"))
        rank = world.look(name).walk.state("left-door").rank
        assert rank is not None
        assert (rank.before, rank.why) == ("", "the buyer asked [b]")
        await pilot.press("0")
        await until(lambda: "by hand" not in flat_detail(app))
        assert findings(app) == [LAMPS, LIP, GAP, DOOR]
        assert world.look(name).walk.state("left-door").rank is None


async def test_0_where_the_rules_placed_it_writes_nothing(world: World) -> None:
    name = findings_begun(world)
    app = world.walk_app(name)
    async with app.run_test(size=(120, 40)) as pilot:
        await open_summary(pilot, app)
        count = len(session_of(app).walk.events)
        await mark(app, "find:left-door")
        await pilot.press("0")
        await settled(app)
        assert len(world.look(name).walk.events) == count
        assert findings(app) == [LAMPS, LIP, GAP, DOOR]


@pytest.mark.parametrize("key", ["escape", "f9"])
async def test_without_a_reason_it_stays_where_it_is(world: World, key: str) -> None:
    name = findings_begun(world)
    app = world.walk_app(name)
    async with app.run_test(size=(120, 40)) as pilot:
        await open_summary(pilot, app)
        await mark(app, "find:left-door")
        await pilot.press("plus")
        await on_screen(app, AskScreen)
        await pilot.press("x", key)
        await on_screen(app, SummaryScreen)
        await settled(app)
        assert findings(app) == [LAMPS, LIP, GAP, DOOR]
        assert world.look(name).walk.state("left-door").rank is None


@pytest.mark.parametrize("row", ["skip:rail", "open:left-sill", "at:left", "bill"])
@pytest.mark.parametrize("key", ["plus", "minus", "0"])
async def test_only_a_finding_has_a_place_in_the_order(world: World, row: str, key: str) -> None:
    app = world.walk_app(findings_begun(world))
    async with app.run_test(size=(120, 40)) as pilot:
        await open_summary(pilot, app)
        await mark(app, row)
        await pilot.press(key)
        await until(lambda: "Only a finding can be put elsewhere" in painted(app, "#status"))
        assert type(app.screen) is SummaryScreen


async def test_on_a_signed_session_no_finding_is_put_elsewhere(world: World) -> None:
    name = findings_begun(world)
    with world.store.open(name) as session:
        session.sign("Ines")
    app = world.walk_app(name)
    async with app.run_test(size=(120, 40)) as pilot:
        await on_screen(app, SummaryScreen)
        events = len(session_of(app).walk.events)
        await mark(app, "find:left-door")
        await pilot.press("plus")
        await on_screen(app, AskScreen)
        await type_text(pilot, "why not")
        await pilot.press("enter")
        await on_screen(app, MessageScreen)
        assert "igned off" in flat(app)
        await pilot.press("enter")
        await on_screen(app, SummaryScreen)
        assert findings(app) == [LAMPS, LIP, GAP, DOOR]
        assert len(world.look(name).walk.events) == events


# Claims and costs


def valued_begun(world: World) -> str:
    """The same findings, on a car of which two things are claimed."""
    world.write_route("finch", FINCH_CLAIMS)
    return findings_begun(world)


async def test_claims_and_the_bill_stand_between_findings_and_what_was_not_examined(
    world: World,
) -> None:
    app = world.walk_app(valued_begun(world))
    async with app.run_test(size=(120, 40)) as pilot:
        await open_summary(pilot, app)
        told = lines(app)
        heads = [
            next(place for place, line in enumerate(told) if head in line)
            for head in (
                "Findings, worst first (4)",
                "Claims (2)",
                "What it costs, and the most to pay",
                "Not examined (1)",
            )
        ]
        assert heads == sorted(heads)
        assert " 50 % The rails are sound inside" in told
        (bill,) = [line for line in told if "80 % stay below" in line]
        assert re.match(r"  mean [\d ]+, 80 % stay below [\d ]+, 90 % below [\d ]+$", bill)
        await mark(app, "bill")
        await until(lambda: "No price is known yet." in flat_detail(app))
        assert "By group, mean" in flat_detail(app)
        await mark(app, "claim:nose-first")
        await until(lambda: "The nose is the [b]first[/b] one" in flat_detail(app))
        assert "already counted (front)" in flat_detail(app)


@pytest.mark.parametrize("key", ["enter", "k"])
async def test_a_marked_claim_is_marked_on_the_claims_screen(world: World, key: str) -> None:
    app = world.walk_app(valued_begun(world))
    async with app.run_test(size=(120, 40)) as pilot:
        await open_summary(pilot, app)
        await mark(app, "claim:rails-sound")
        await pilot.press(key)
        await on_screen(app, ClaimsScreen)
        await until(lambda: "▸  50 % The rails" in painted(app, "#items"))
        await pilot.press("q")
        await on_screen(app, SummaryScreen)
        await until(lambda: "The rails are sound" in marked(app))


async def test_going_to_the_best_check_from_above_the_summary_leads_to_the_walk(
    world: World,
) -> None:
    name = valued_begun(world)
    with world.store.open(name) as session:
        session.undo()  # the rail is open again
        session.move("left-sill")
    app = world.walk_app(name)
    async with app.run_test(size=(120, 40)) as pilot:
        await open_summary(pilot, app)
        await mark(app, "claim:rails-sound")
        await pilot.press("k")
        await on_screen(app, ClaimsScreen)
        await pilot.press("enter")
        await until(lambda: check_at(app) == "rail")
        assert SummaryScreen not in [type(screen) for screen in app.screen_stack]


@pytest.mark.parametrize("key", ["enter", "b"])
async def test_what_is_entered_on_the_bill_shows_on_the_summary_below_it(
    world: World, key: str
) -> None:
    app = world.walk_app(valued_begun(world))
    async with app.run_test(size=(120, 40)) as pilot:
        await open_summary(pilot, app)
        await mark(app, "bill")
        await pilot.press(key)
        await on_screen(app, BillScreen)
        await pilot.press("a")
        await on_screen(app, AskScreen)
        await put_text(app, "40000")
        await pilot.press("enter")
        await on_screen(app, BillScreen)
        await until(lambda: "40 000.00" in painted(app, "#sums"))
        await pilot.press("q")
        await on_screen(app, SummaryScreen)
        await until(lambda: re.match(r"  most to pay [\d ]+; mean ", marked(app)))
        await until(lambda: "40 000.00" in flat_detail(app))


async def test_a_row_that_is_gone_when_one_comes_back_leaves_the_first_marked(
    world: World,
) -> None:
    """Undo on the claims takes the finding away that was marked."""
    name = valued_begun(world)
    with world.store.open(name) as session:
        session.answer("left-sill", Result.FAIL)
        session.move("left-sill")
    app = world.walk_app(name)
    async with app.run_test(size=(120, 40)) as pilot:
        await open_summary(pilot, app)
        await until(lambda: "Left sill under the door" in marked(app))
        await pilot.press("k", "u")
        await on_screen(app, ClaimsScreen)
        await until(lambda: "Undone" in painted(app, "#status"))
        await pilot.press("q")
        await on_screen(app, SummaryScreen)
        await until(lambda: "Both head lamps" in marked(app))
        await until(lambda: flat_detail(app).startswith("Both head lamps"))


async def test_the_text_of_the_marked_row_scrolls_and_begins_again(world: World) -> None:
    app = world.walk_app(valued_begun(world))
    async with app.run_test(size=(60, 20)) as pilot:
        await open_summary(pilot, app)
        await mark(app, "bill")
        await until(lambda: "more lines: Space" in shown(app))
        for _ in range(20):
            await pilot.press("space")
            await settled(app)
            if "how far the costs go together" in flat(app):
                break
        assert "how far the costs go together" in flat(app)
        await pilot.press("space")
        await until(lambda: "how far the costs go together" not in flat(app))


async def test_summary_and_walk_in_quick_turns_leave_nothing_behind(world: World) -> None:
    """The range of the costs is put in after the first frame, when the screen may be gone."""
    app = world.walk_app(valued_begun(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        for _ in range(6):
            app.simulate_key("m")
            app.simulate_key("q")
        await pilot.press("m", "w", "m", "b", "q", "k", "q", "w")
        await on_screen(app, WalkScreen)
        await settled(app)
        assert type(app.screen) is WalkScreen
