"""The claims on screen: how sure, by what, where to look next, and one's own prior."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot
from textual.widgets import Input
from ui.helpers import (
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

from checkrun.report.glyphs import ASCII, UNICODE
from checkrun.route.model import Result
from checkrun.screens import keys
from checkrun.screens.app import CheckrunApp
from checkrun.screens.ask import AskScreen
from checkrun.screens.bill import BillScreen
from checkrun.screens.claims import ClaimsScreen
from checkrun.screens.help import HelpScreen
from checkrun.screens.message import MessageScreen
from checkrun.screens.walk import WalkScreen
from checkrun.session.valuing import believe


def weighed_walk(world: World) -> str:
    """A session with three signs seen of the nose, two of them of one cause, and none of the rails.

    Odds 0.6 : 0.4 times 4 (lip; the gap says the same) times 2 : 3 (door): 4 to 1, so 80 %.
    """
    world.write_route("finch", FINCH_CLAIMS)
    name = world.begin()
    with world.store.open(name) as session:
        session.answer("bonnet-gap", Result.PASS)
        session.answer("nose-lip", Result.PASS)
        session.answer("nose-lamps", Result.PASS)
        session.answer("left-door", Result.FAIL)
    return name


async def open_claims(pilot: Pilot[None], app: CheckrunApp) -> None:
    await on_screen(app, WalkScreen)
    await pilot.press("k")
    await on_screen(app, ClaimsScreen)
    await until(lambda: "Claims" in shown(app))


def sheet(app: CheckrunApp) -> str:
    """The whole sheet in one line, also what is scrolled away."""
    return " ".join(painted(app, "#sums").split())


def said(app: CheckrunApp) -> str:
    return painted(app, "#status").strip()


def marked(app: CheckrunApp) -> str:
    """The text of the marked row."""
    pointer = app.glyphs.station["next"]
    rows = [line for line in painted(app, "#items").splitlines() if line.startswith(pointer)]
    return rows[0] if rows else ""


def test_the_keys_that_are_tested_here_are_all_there_are() -> None:
    assert {binding.id for binding in keys.CLAIMS} == {
        "claims.down",
        "claims.up",
        "claims.go",
        "claims.believe",
        "claims.more",
        "claims.less",
        "claims.bill",
        "claims.undo",
        "claims.redo",
        "claims.leave",
    }


async def test_k_shows_each_claim_and_how_sure_of_it_one_may_be(world: World) -> None:
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=(160, 45)) as pilot:
        await open_claims(pilot, app)
        await until(lambda: " 80 % The nose is the [b]first[/b] one" in marked(app))
        await until(lambda: " 50 % The rails are sound inside" in painted(app, "#items"))
        for part in (
            "80.0 %, odds 4.0 to 1 for",
            "60.0 % before anything was looked at (of the route)",
            "+4.3 decibans, weak support for",
            "25.0 % of what it is worth",
            "already counted (front)",
            "No open sign left",
        ):
            assert part in sheet(app), part


async def test_arrows_mark_another_claim_and_stop_at_both_ends(world: World) -> None:
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("up")
        await until(lambda: "The nose" in marked(app))
        await pilot.press("down")
        await until(lambda: "The rails" in marked(app))
        await until(lambda: sheet(app).startswith("The rails are sound inside"))
        await until(lambda: "No sign seen yet" in sheet(app))
        await pilot.press("down")
        await until(lambda: "The rails" in marked(app))
        await pilot.press("up")
        await until(lambda: sheet(app).startswith("The nose is the [b]first[/b] one"))


@pytest.mark.parametrize("key", ["enter", "g"])
async def test_one_key_goes_to_the_check_that_would_tell_most(world: World, key: str) -> None:
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("down")
        # The rail tells far more than the noise, and both take two minutes.
        await until(lambda: "1 Left frame rail from inside" in sheet(app))
        assert "2 Noise from below" in sheet(app)
        await pilot.press(key)
        await until(lambda: check_at(app) == "rail")
        session = session_of(app)
        assert session.walk.at == "rail"
        # The walk asks for the lift first, as whenever one comes to that station.
        await pilot.press("y")
        await on_screen(app, WalkScreen)
        await until(lambda: "Left frame rail from inside" in shown(app))


async def test_after_going_there_the_walk_says_how_to_come_back(world: World) -> None:
    name = weighed_walk(world)
    with world.store.open(name) as session:
        session.undo()
        session.move("bonnet-gap")
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("enter")
        await on_screen(app, WalkScreen)
        await until(lambda: check_at(app) == "left-door")
        assert status(app) == "k brings you back to the claims."


async def test_where_no_open_check_tells_more_that_is_said(world: World) -> None:
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("enter")
        await until(lambda: said(app) == "No open check would tell more of this claim.")
        assert type(app.screen) is ClaimsScreen


# One's own prior


async def test_e_changes_what_is_believed_before_looking_and_repaints(world: World) -> None:
    name = weighed_walk(world)
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("e")
        await on_screen(app, AskScreen)
        await until(lambda: "The nose is the [b]first[/b] one. The route says 0.6" in flat(app))
        await put_text(app, "30 %")
        await pilot.press("enter")
        await on_screen(app, ClaimsScreen)
        # Odds 3 : 7 times 8 : 3 are 8 : 7.
        await until(lambda: " 53 %" in marked(app))
        await until(lambda: "30.0 % before anything was looked at (your own)" in sheet(app))
        assert world.look(name).walk.priors == {"nose-first": "0.3"}
        await pilot.press("e")
        await on_screen(app, AskScreen)
        assert app.screen.query_one(Input).value == "0.3"
        await put_text(app, "")
        await pilot.press("enter")
        await on_screen(app, ClaimsScreen)
        await until(lambda: " 80 %" in marked(app))
        assert world.look(name).walk.priors == {}


async def test_a_prior_that_is_none_is_told_under_the_field_and_what_was_typed_stays(
    world: World,
) -> None:
    name = weighed_walk(world)
    app = world.walk_app(name)
    async with app.run_test(size=(60, 20)) as pilot:
        await open_claims(pilot, app)
        count = len(session_of(app).walk.events)
        await pilot.press("e")
        await on_screen(app, AskScreen)
        await pilot.press("1", "full_stop", "2")
        await until(lambda: "before: 1.2 is no share." in flat(app))
        await pilot.press("enter")
        await settled(app)
        assert type(app.screen) is AskScreen
        assert app.screen.query_one(Input).value == "1.2"
        assert len(session_of(app).walk.events) == count
        await pilot.press("home", "delete", "0")
        await until(lambda: "no share" not in shown(app))
        await pilot.press("enter")
        await on_screen(app, ClaimsScreen)
        await until(lambda: world.look(name).walk.priors == {"nose-first": "0.2"})


@pytest.mark.parametrize("key", ["escape", "f9"])
async def test_going_back_from_the_question_changes_nothing(world: World, key: str) -> None:
    name = weighed_walk(world)
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("e")
        await on_screen(app, AskScreen)
        await type_text(pilot, "0.1")
        await pilot.press(key)
        await on_screen(app, ClaimsScreen)
        await settled(app)
        assert session_of(app).walk.priors == {}
        await until(lambda: " 80 %" in marked(app))


# Undo


async def test_u_and_y_take_an_answer_back_and_bring_it_again_in_sight(world: World) -> None:
    name = weighed_walk(world)
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("u")
        # Without the door the odds are 6 to 1.
        await until(lambda: " 86 %" in marked(app))
        await until(lambda: said(app) == "Undone: the result at Left door in its opening.")
        await until(lambda: "1 Left door in its opening" in sheet(app))
        assert world.look(name).walk.state("left-door").answer is None
        await pilot.press("y")
        await until(lambda: " 80 %" in marked(app))
        await until(lambda: said(app) == "Redone: the result at Left door in its opening.")
        await pilot.press("y")
        await until(lambda: said(app) == "There is nothing to redo.")
        await pilot.press(*"uuuuu")
        await until(lambda: said(app) == "There is nothing to undo.")
        await until(lambda: " 60 %" in marked(app))
        await pilot.press("q")
        await on_screen(app, WalkScreen)
        assert session_of(app).walk.counts.answered == 0


async def test_undo_takes_back_a_prior_as_well(world: World) -> None:
    name = weighed_walk(world)
    with world.store.open(name) as session:
        believe(session, "rails-sound", "0.9")
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("down")
        await until(lambda: " 90 % The rails" in marked(app))
        await pilot.press("u")
        await until(lambda: " 50 % The rails" in marked(app))
        await until(lambda: "The rails" in marked(app))


async def test_what_was_said_last_stays_while_help_is_read(world: World) -> None:
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("u", "question_mark")
        await on_screen(app, HelpScreen)
        await until(lambda: painted(app, "#page").startswith("Claims"))
        await pilot.press("q")
        await on_screen(app, ClaimsScreen)
        await until(lambda: said(app) == "Undone: the result at Left door in its opening.")


# Scrolling, and the ways out


@pytest.mark.parametrize(("on", "back"), [("space", "pageup"), ("pagedown", "pageup")])
async def test_the_signs_scroll_and_another_claim_starts_at_its_top(
    world: World, on: str, back: str
) -> None:
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=(60, 20)) as pilot:
        await open_claims(pilot, app)
        await until(lambda: "more lines: Space or Page Down" in shown(app))
        await until(lambda: "already counted" not in shown(app))
        await pilot.press(on, on)
        await until(lambda: "already counted" in shown(app))
        await pilot.press(back, back)
        await until(lambda: "odds 4.0 to 1 for" in shown(app))
        await pilot.press(on, on, "down")
        await until(lambda: "odds even" in shown(app))


@pytest.mark.parametrize("key", ["k", "w", "q", "escape"])
async def test_the_claims_lead_back_to_the_walk_where_it_stood(world: World, key: str) -> None:
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, WalkScreen)
        at = check_at(app)
        await open_claims(pilot, app)
        await pilot.press(key)
        await on_screen(app, WalkScreen)
        assert check_at(app) == at


async def test_on_coming_back_the_same_claim_is_marked(world: World) -> None:
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("down")
        await until(lambda: "The rails" in marked(app))
        for key in ("q", "k", "b", "b"):
            await pilot.press(key)
            await settled(app)
        await on_screen(app, ClaimsScreen)
        await until(lambda: "The rails" in marked(app))
        await until(lambda: sheet(app).startswith("The rails"))


async def test_b_opens_the_bill_above_the_claims_and_both_lead_to_each_other(
    world: World,
) -> None:
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        for _ in range(3):  # however often, there is never more than one of each
            await pilot.press("b")
            await on_screen(app, BillScreen)
            await pilot.press("k")
            await on_screen(app, ClaimsScreen)
        kinds = [type(screen) for screen in app.screen_stack]
        assert (kinds.count(ClaimsScreen), kinds.count(BillScreen)) == (1, 0)
        await pilot.press("q")
        await on_screen(app, WalkScreen)


async def test_from_the_bill_above_the_claims_one_key_goes_to_a_check_of_the_walk(
    world: World,
) -> None:
    name = weighed_walk(world)
    with world.store.open(name) as session:
        session.answer("bonnet-gap", Result.FAIL)
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("b")
        await on_screen(app, BillScreen)
        if "Gap at the bonnet" not in marked(app):
            await pilot.press("down")
        await until(lambda: "Gap at the bonnet" in marked(app))
        await pilot.press("enter")
        await on_screen(app, WalkScreen)
        await until(lambda: check_at(app) == "bonnet-gap")
        assert ClaimsScreen not in [type(screen) for screen in app.screen_stack]


async def test_what_is_entered_on_the_bill_shows_on_the_claims_below_it(world: World) -> None:
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await pilot.press("b")
        await on_screen(app, BillScreen)
        await pilot.press("u", "b")
        await on_screen(app, ClaimsScreen)
        await until(lambda: " 86 %" in marked(app))


async def test_a_reading_that_is_being_typed_is_kept_when_the_claims_are_opened(
    world: World,
) -> None:
    name = weighed_walk(world)
    with world.store.open(name) as session:
        session.move("bonnet-gap")
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("4", "enter", "k")
        await on_screen(app, ClaimsScreen)
        assert session_of(app).walk.state("bonnet-gap").reading == "4"


# Sizes, characters, and sessions that can't be changed


@pytest.mark.parametrize(
    ("size", "two_sided"), [((60, 20), False), ((100, 30), False), ((160, 45), True)]
)
async def test_the_bars_have_both_sides_where_there_is_room_from_the_first_frame_on(
    world: World, size: tuple[int, int], two_sided: bool
) -> None:
    """The sheet's width is known only when it is laid out, and that is in time."""
    bars = ("━│ ", "│━━ ")
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=size) as pilot:
        await on_screen(app, WalkScreen)
        await pilot.press("k")
        await on_screen(app, ClaimsScreen)
        await until(lambda: all((bar in painted(app, "#sums")) is two_sided for bar in bars))
        await until(lambda: "━━" in painted(app, "#sums"))


async def test_another_size_makes_the_bars_anew_and_the_screen_stays_usable(world: World) -> None:
    app = world.walk_app(weighed_walk(world))
    async with app.run_test(size=(160, 45)) as pilot:
        await open_claims(pilot, app)
        before = await settled(app)
        await pilot.press("down")
        for size in ((60, 20), (20, 5), (1, 1), (100, 30)):
            await pilot.resize_terminal(*size)
            await until(lambda size=size: tuple(app.screen.size) == size)
            await pilot.press("up")
            assert "│" not in painted(app, "#sums"), size
        await pilot.press("u")
        await until(lambda: " 86 %" in marked(app))
        await pilot.press("y")
        await until(lambda: " 80 %" in marked(app))
        await pilot.resize_terminal(160, 45)
        await until(lambda: "│━━ " in painted(app, "#sums"))
        now = await settled(app)
        await until(lambda: now.replace(said(app), "").split() == before.split())
        await pilot.press("q")
        await on_screen(app, WalkScreen)


@pytest.mark.parametrize("size", [(60, 20), (100, 30), (160, 45)])
async def test_a_poor_terminal_gets_plain_characters(world: World, size: tuple[int, int]) -> None:
    app = world.walk_app(weighed_walk(world), glyphs=ASCII)
    async with app.run_test(size=size) as pilot:
        await open_claims(pilot, app)
        for key in ("space", "down", "e"):
            assert {sign for sign in shown(app) if not sign.isascii()} == set()
            assert painted(app, "#sums").isascii()
            assert painted(app, "#items").isascii()
            await pilot.press(key)
        await on_screen(app, AskScreen)
        assert shown(app).isascii()


@pytest.mark.parametrize("glyphs", [UNICODE, ASCII], ids=["unicode", "ascii"])
async def test_a_route_without_claims_has_a_screen_that_says_so(
    world: World, glyphs: object
) -> None:
    app = world.walk_app(glyphs=glyphs)  # type: ignore[arg-type]
    async with app.run_test(size=(100, 30)) as pilot:
        await open_claims(pilot, app)
        await until(lambda: "0 claims weighed" in shown(app))
        await until(lambda: sheet(app) == "This route makes no claims of the car.")
        await pilot.press("down", "up", "e", "space", "pageup", "enter", "u", "y")
        await until(lambda: said(app) == "There is nothing to redo.")
        assert type(app.screen) is ClaimsScreen
        await pilot.press("b")
        await on_screen(app, BillScreen)
        await pilot.press("q", "q")
        await on_screen(app, WalkScreen)


async def test_looking_only_nothing_can_be_entered_and_everything_seen(world: World) -> None:
    name = weighed_walk(world)
    with world.store.open(name) as first:
        app = world.walk_app(name)
        async with app.run_test(size=(100, 30)) as pilot:
            await open_claims(pilot, app)
            events = len(first.walk.events)
            for key in ("e", "u", "y"):
                await pilot.press(key)
                await on_screen(app, MessageScreen)
                assert "Looking only: " in flat(app)
                await pilot.press("enter")
                await on_screen(app, ClaimsScreen)
            await pilot.press("down", "space", "pageup", "up")
            await until(lambda: " 80 %" in marked(app))
            assert len(world.look(name).walk.events) == events
            await pilot.press("down", "enter")
            await until(lambda: check_at(app) == "rail")
        assert len(world.look(name).walk.events) == events


async def test_a_signed_session_shows_its_claims_and_takes_nothing(world: World) -> None:
    name = weighed_walk(world)
    with world.store.open(name) as session:
        session.sign("Ines")
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await until(lambda: "Summary" in shown(app))
        await pilot.press("k")
        await on_screen(app, ClaimsScreen)
        for key in ("e", "u", "y"):
            await pilot.press(key)
            await on_screen(app, MessageScreen)
            assert "Signed off by Ines. Open it again on the summary" in flat(app)
            await pilot.press("enter")
            await on_screen(app, ClaimsScreen)
        await until(lambda: " 80 %" in marked(app))
