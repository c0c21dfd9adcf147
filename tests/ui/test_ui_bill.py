"""The bill on screen: every item and every sum, and each figure changed where it stands."""

from __future__ import annotations

import re
from decimal import Decimal

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

from checkrun.report.glyphs import ASCII
from checkrun.route.model import Result
from checkrun.screens import keys
from checkrun.screens.app import CheckrunApp
from checkrun.screens.ask import AskScreen
from checkrun.screens.bill import BillScreen
from checkrun.screens.claims import ClaimsScreen
from checkrun.screens.help import HelpScreen
from checkrun.screens.message import MessageScreen
from checkrun.screens.summary import SummaryScreen
from checkrun.screens.walk import WalkScreen
from checkrun.session.valuing import set_terms, terms_of

#: What the bonnet's gap costs: (4 + 4 x 10 + 30) / 6 hours at 80 are 986.67, and parts
#: (0 + 4 x 200 + 900) / 6 = 283.33: 1270. The lip's labour is done along with it: its parts are
#: (0 + 4 x 50 + 90) / 6 = 48.33, half of that for a concern. The rail is open and counts a fifth:
#: hours (10 + 120 + 90) / 6 at 80 are 2933.33, parts (50 + 1600 + 2000) / 6 = 608.33: 708.33.
GAP, LIP, RAIL = 1270.0, 24.1667, 708.3333


def billed_walk(world: World) -> str:
    """A fail, a concern and, open, a base rate; and a failed sill that nobody gives a cost."""
    world.write_route("finch", FINCH_CLAIMS)
    name = world.begin()
    with world.store.open(name) as session:
        session.answer("bonnet-gap", Result.FAIL)
        session.answer("nose-lip", Result.CONCERN)
        session.answer("nose-lamps", Result.PASS)
        session.answer("left-sill", Result.FAIL)
        session.move("left-sill")  # elsewhere the walk would first ask for the lift
    return name


async def open_bill(pilot: Pilot[None], app: CheckrunApp) -> None:
    await on_screen(app, WalkScreen)
    await pilot.press("b")
    await on_screen(app, BillScreen)
    await until(lambda: "mean chance spread" in painted(app, "#items"))


def items(app: CheckrunApp) -> list[str]:
    return painted(app, "#items").splitlines()[1:]


def marked(app: CheckrunApp) -> str:
    pointer = app.glyphs.station["next"]
    return next((line for line in items(app) if line.startswith(pointer)), "")


def sums(app: CheckrunApp) -> str:
    """The whole sheet in one line, also what is scrolled away."""
    return " ".join(painted(app, "#sums").split())


def said(app: CheckrunApp) -> str:
    return painted(app, "#status").strip()


def mean(app: CheckrunApp) -> float:
    """The mean of all as it is told, in whole money."""
    found = re.search(r"What it costs mean ([\d ]+?) half", sums(app))
    assert found, sums(app)
    return float(found[1].replace(" ", ""))


def near(told: float, reckoned: float) -> bool:
    """Whether a figure told in whole money is this one."""
    return abs(told - reckoned) <= 0.51


async def mark(pilot: Pilot[None], app: CheckrunApp, ask: str) -> None:
    """Go down the list to an item."""
    for _ in items(app):
        row = marked(app)
        if ask in row:
            return
        await pilot.press("down")
        await until(lambda row=row: marked(app) != row)
    raise AssertionError(f"{ask} is not in the list: {items(app)}")


async def answer(pilot: Pilot[None], app: CheckrunApp, key: str, text: str) -> None:
    """Press a key, put a text in the field it opens, and Enter."""
    await pilot.press(key)
    await on_screen(app, AskScreen)
    await put_text(app, text)
    await pilot.press("enter")
    await on_screen(app, BillScreen)


def test_the_keys_that_are_tested_here_are_all_there_are() -> None:
    assert {binding.id for binding in keys.BILL} == {
        "bill.down",
        "bill.up",
        "bill.asking",
        "bill.hours",
        "bill.parts",
        "bill.chance",
        "bill.seller",
        "bill.rate",
        "bill.margin",
        "bill.value",
        "bill.currency",
        "bill.percentile",
        "bill.correlation",
        "bill.go",
        "bill.more",
        "bill.less",
        "bill.claims",
        "bill.undo",
        "bill.redo",
        "bill.leave",
    }


async def test_b_shows_every_item_and_every_sum(world: World) -> None:
    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(160, 45)) as pilot:
        await open_bill(pilot, app)
        assert near(mean(app), GAP + LIP + RAIL)
        by_name = {
            name: next(line for line in items(app) if name in line)
            for name in ("Gap at the bonnet", "Lip of the nose", "Left frame rail", "Left sill")
        }
        assert re.search(r"1 270  100 % ", by_name["Gap at the bonnet"])
        assert re.search(r" 24   50 % ", by_name["Lip of the nose"])
        assert re.search(r" 708   20 % ", by_name["Left frame rail"])
        assert re.search(r" \?  100 % ", by_name["Left sill"])
        for part in (
            "The structure failed a check.",
            "No price is known yet.",
            "By group, mean structure 733 body 1 270",
            "Without any cost: enter your own Left sill under the door",
        ):
            assert part in sums(app), part
        await until(lambda: said(app) == "Press a to enter the price asked.")
        await until(lambda: "80 % stay below" in painted(app, "#headline"))


async def test_arrows_mark_an_item_and_show_what_it_is_reckoned_with(world: World) -> None:
    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_bill(pilot, app)
        first = marked(app)
        assert first == items(app)[0]
        await mark(pilot, app, "Lip of the nose")
        await until(
            lambda: sums(app).startswith("Lip of the nose, brake [mm] and [red]x[/] result concern")
        )
        assert "together labour once for all: front" in sums(app)
        await pilot.press(*["down"] * 6)
        await until(lambda: marked(app) == items(app)[-1])
        await pilot.press(*["up"] * 9)
        await until(lambda: marked(app) == first)


# What is said of the whole


@pytest.mark.parametrize(
    ("key", "name", "typed", "kept", "value"),
    [
        ("a", "asking", "42500", "42500", Decimal(42500)),
        ("r", "rate", "100", "100", Decimal(100)),
        ("m", "margin", "1500,50", "1500.5", Decimal("1500.5")),
        ("v", "value", "38000", "38000", Decimal(38000)),
        ("d", "currency", "EUR", "EUR", "EUR"),
        ("e", "percentile", "90 %", "90", Decimal(90)),
        ("o", "correlation", "0.5", "0.5", Decimal("0.5")),
    ],
)
async def test_each_term_has_its_key_and_is_on_disk_when_it_shows(
    world: World, key: str, name: str, typed: str, kept: str, value: object
) -> None:
    session = billed_walk(world)
    app = world.walk_app(session)
    async with app.run_test(size=(160, 45)) as pilot:
        await open_bill(pilot, app)
        before = sums(app)
        await answer(pilot, app, key, typed)
        await until(lambda: f"{name} {kept}: " in sums(app))
        await until(lambda: sums(app) != before)
        assert world.look(session).walk.terms == {name: kept}
        assert getattr(terms_of(session_of(app).walk.terms), name) == value
        await pilot.press(key)  # what was said stands there to be written on
        await on_screen(app, AskScreen)
        assert app.screen.query_one(Input).value == kept
        await put_text(app, "")
        await pilot.press("enter")
        await on_screen(app, BillScreen)
        await until(lambda: sums(app) == before)
        assert world.look(session).walk.terms == {}


async def test_the_most_to_pay_moves_with_every_number(world: World) -> None:
    """A quarter of 40 000 hangs on the nose (odds 3 : 2 times 1 : 10), 0.4 of it on the rails."""
    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(160, 45)) as pilot:
        await open_bill(pilot, app)

        def most() -> float:
            found = re.search(r"most to pay (\d+(?: \d{3})*)", painted(app, "#headline"))
            return float(found[1].replace(" ", "")) if found else -1

        await answer(pilot, app, "a", "40000")
        await until(lambda: most() > 0)
        session_bill = app.screen._bill  # type: ignore[attr-defined]
        doubts = 10_000 * (1 - 0.15 / 1.15) + 16_000 * 0.5
        assert near(most(), 40_000 - doubts - session_bill.spread.p80)
        for part in (
            "40 000.00",
            "nose first: 10 000 x 87 % doubt",
            "-8 000.00",
            "rails sound: 16 000 x 50 % doubt",
            "asked 40 000, which is",
        ):
            assert part in sums(app), part
        first = most()
        await answer(pilot, app, "m", "1000")
        await until(lambda: most() == first - 1000)
        await answer(pilot, app, "e", "95")
        await until(lambda: 0 < most() < first - 1000)
        await answer(pilot, app, "d", "EUR")
        await until(lambda: "EUR" in painted(app, "#headline"))
        await answer(pilot, app, "m", "90000")
        await until(lambda: most() == 0)
        await until(lambda: said(app) == "The structure failed a check: frame and body decide.")


async def test_a_price_asked_at_the_intake_stands_in_the_field(world: World) -> None:
    asks = "    - {id: asking-price, ask: Asking price, kind: number}\n  outline"
    world.write_route(
        "finch", FINCH_CLAIMS.replace("  facts:\n", f"  facts:\n{asks.split('  outline')[0]}")
    )
    name = world.begin(**{"asking-price": "31000"})
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await open_bill(pilot, app)
        await until(lambda: "most to pay" in painted(app, "#headline"))
        await until(lambda: "31 000.00" in sums(app))
        await pilot.press("a")
        await on_screen(app, AskScreen)
        assert app.screen.query_one(Input).value == "31000"
        await pilot.press("escape")
        await on_screen(app, BillScreen)
        assert session_of(app).walk.terms == {}


# What is said of one item


@pytest.mark.parametrize(
    ("key", "name", "typed", "kept", "told", "now"),
    [
        ("h", "hours", "20", "20 20 20", "hours 20 20 20 (low, likely, high; yours)", 1883.33),
        ("p", "parts", "100", "100 100 100", "parts 100 100 100 (low, likely", 1086.67),
        ("c", "chance", "50 %", "0.5", "chance 50 % that it has to be put right (yours)", 635.0),
    ],
)
async def test_each_figure_of_an_item_has_its_key(
    world: World, key: str, name: str, typed: str, kept: str, told: str, now: float
) -> None:
    session = billed_walk(world)
    app = world.walk_app(session)
    async with app.run_test(size=(160, 45)) as pilot:
        await open_bill(pilot, app)
        before = mean(app)
        await mark(pilot, app, "Gap at the bonnet")
        await answer(pilot, app, key, typed)
        await until(lambda: told in sums(app))
        await until(lambda: "Gap at the bonnet" in marked(app))  # wherever it stands now
        assert world.look(session).walk.state("bonnet-gap").own == {name: kept}
        line = app.screen.line  # type: ignore[attr-defined]
        assert line.mean == pytest.approx(now, abs=0.005)
        await pilot.press(key)
        await on_screen(app, AskScreen)
        await until(lambda: "Gap at the bonnet's front edge" in flat(app))
        assert app.screen.query_one(Input).value == kept
        await put_text(app, "")
        await pilot.press("enter")
        await on_screen(app, BillScreen)
        await until(lambda: mean(app) == before)


async def test_s_says_that_the_seller_puts_it_right_marks_the_next_and_again_that_not(
    world: World,
) -> None:
    session = billed_walk(world)
    app = world.walk_app(session)
    async with app.run_test(size=(160, 45)) as pilot:
        await open_bill(pilot, app)
        before = mean(app)
        await mark(pilot, app, "Gap at the bonnet")
        after = items(app)[1].strip()[-20:]
        await pilot.press("s")
        await until(lambda: "The seller puts right Gap at the bonnet" in sums(app))
        await until(lambda: after in marked(app))
        # The lip's labour is then no longer done along with the gap's: half of 453.33 more.
        assert near(mean(app), 453.33 / 2 + LIP + RAIL)
        assert world.look(session).walk.state("bonnet-gap").own == {"seller": "yes"}
        await mark(pilot, app, "Gap at the bonnet")
        await until(lambda: " seller " in marked(app))
        await pilot.press("s")
        await until(lambda: mean(app) == before)
        assert world.look(session).walk.state("bonnet-gap").own == {}


async def test_a_finding_without_any_cost_can_be_marked_and_given_one(world: World) -> None:
    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(160, 45)) as pilot:
        await open_bill(pilot, app)
        before = mean(app)
        await mark(pilot, app, "Left sill under the door")
        await until(lambda: "adds nothing, until hours or parts are entered" in sums(app))
        await answer(pilot, app, "p", "250")
        await until(lambda: abs(mean(app) - before - 250) <= 1)
        await until(lambda: "Left sill under the door" in marked(app))
        await until(lambda: "Without any cost" not in sums(app))


async def test_a_chance_of_nothing_leaves_the_item_in_the_list(world: World) -> None:
    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(160, 45)) as pilot:
        await open_bill(pilot, app)
        await mark(pilot, app, "Left frame rail")
        await answer(pilot, app, "c", "0")
        await until(lambda: near(mean(app), GAP + LIP))
        await until(lambda: "Left frame rail" in marked(app))
        await answer(pilot, app, "c", "")
        await until(lambda: near(mean(app), GAP + LIP + RAIL))


# Bad input, and going back


@pytest.mark.parametrize(
    ("key", "typed", "told", "right"),
    [
        ("a", "42,500", "can be read in two ways. Write 42500", "42500"),
        ("r", "cheap", "'cheap' is no amount", "80.5"),
        ("e", "20", "percentile: 20 is not between 50 and 99", "90"),
        ("o", "2", "correlation: 2 is no share", "0.4"),
        ("d", "12", "currency: a sign or a short code is expected", "EUR"),
        ("h", "9 4 2", "must rise. Write 2 4 9", "2 4 9"),
        ("p", "1 2", "low, likely and high are expected", "1 2 3"),
        ("c", "1.5", "chance: 1.5 is no share", "0.5"),
    ],
)
async def test_what_is_no_figure_is_told_under_the_field_and_stays_until_it_is(
    world: World, key: str, typed: str, told: str, right: str
) -> None:
    name = billed_walk(world)
    app = world.walk_app(name)
    async with app.run_test(size=(60, 20)) as pilot:
        await open_bill(pilot, app)
        count = len(session_of(app).walk.events)
        await pilot.press(key)
        await on_screen(app, AskScreen)
        await type_text(pilot, typed) if "'" not in typed else await put_text(app, typed)
        await until(lambda: told in flat(app))
        await pilot.press("enter")
        await settled(app)
        assert type(app.screen) is AskScreen
        assert app.screen.query_one(Input).value == typed
        assert len(world.look(name).walk.events) == count
        await put_text(app, right)
        await until(lambda: told not in flat(app))
        await pilot.press("enter")
        await on_screen(app, BillScreen)
        await until(lambda: len(world.look(name).walk.events) == count + 1)


@pytest.mark.parametrize("key", ["escape", "f9"])
@pytest.mark.parametrize("field", ["a", "h"])
async def test_going_back_from_a_field_changes_nothing(world: World, key: str, field: str) -> None:
    name = billed_walk(world)
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_bill(pilot, app)
        count, before = len(session_of(app).walk.events), sums(app)
        await pilot.press(field, "5", key)
        await on_screen(app, BillScreen)
        await settled(app)
        assert len(world.look(name).walk.events) == count
        await until(lambda: sums(app) == before)


async def test_enter_without_a_change_writes_nothing(world: World) -> None:
    name = billed_walk(world)
    with world.store.open(name) as session:
        set_terms(session, {"asking": "40000"})
    app = world.walk_app(name)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_bill(pilot, app)
        count = len(session_of(app).walk.events)
        await pilot.press("a", "enter")
        await on_screen(app, BillScreen)
        await settled(app)
        assert len(world.look(name).walk.events) == count


# Undo, scrolling, the ways out


async def test_u_and_y_take_back_one_change_after_the_other_and_bring_it_again(
    world: World,
) -> None:
    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(160, 45)) as pilot:
        await open_bill(pilot, app)
        before = mean(app)
        await mark(pilot, app, "Gap at the bonnet")
        await answer(pilot, app, "p", "1000")
        await until(lambda: mean(app) != before)
        priced = mean(app)
        await answer(pilot, app, "a", "40000")
        await pilot.press("u")
        await until(lambda: "No price is known yet." in sums(app))
        await until(lambda: said(app) == "Undone: the price asked.")
        assert mean(app) == priced
        await pilot.press("u")
        await until(lambda: mean(app) == before)
        await pilot.press("u")  # the answer at the sill
        await until(lambda: "Left sill" not in painted(app, "#items"))
        await pilot.press("y", "y", "y")
        await until(lambda: "40 000.00" in sums(app))
        await until(lambda: said(app) == "Redone: the price asked.")
        assert mean(app) == priced
        await pilot.press("y")
        await until(lambda: said(app) == "There is nothing to redo.")


@pytest.mark.parametrize("on", ["space", "pagedown"])
async def test_the_sums_scroll(world: World, on: str) -> None:
    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(60, 20)) as pilot:
        await open_bill(pilot, app)
        await until(lambda: "more lines: Space or Page Down" in shown(app))
        await until(lambda: "Reckoned with" not in shown(app))
        for _ in range(12):
            await pilot.press(on)
        await until(lambda: "how far the costs go together" in shown(app))
        await pilot.press(*["pageup"] * 12)
        await until(lambda: "(low, likely, high" in shown(app))


@pytest.mark.parametrize("key", ["enter", "g"])
async def test_one_key_goes_to_the_check_of_the_item(world: World, key: str) -> None:
    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_bill(pilot, app)
        await mark(pilot, app, "Lip of the nose")
        await pilot.press(key)
        await on_screen(app, WalkScreen)
        await until(lambda: check_at(app) == "nose-lip")
        assert status(app) == "b brings you back to the bill."


@pytest.mark.parametrize("key", ["b", "w", "q", "escape"])
async def test_the_bill_leads_back_to_the_walk_where_it_stood(world: World, key: str) -> None:
    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, WalkScreen)
        at = check_at(app)
        await open_bill(pilot, app)
        await pilot.press(key)
        await on_screen(app, WalkScreen)
        assert check_at(app) == at


async def test_on_coming_back_the_same_item_is_marked(world: World) -> None:
    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_bill(pilot, app)
        await mark(pilot, app, "Lip of the nose")
        await pilot.press("enter")
        await on_screen(app, WalkScreen)
        await until(lambda: check_at(app) == "nose-lip")
        await pilot.press("f")  # it is certain now, and stands elsewhere in the list
        await until(lambda: session_of(app).walk.counts.fail == 3)
        await open_bill(pilot, app)
        await until(lambda: "100 %" in marked(app) and "Lip of the nose" in marked(app))


async def test_k_opens_the_claims_and_going_to_a_check_there_leads_all_the_way(
    world: World,
) -> None:
    name = billed_walk(world)
    with world.store.open(name) as session:
        session.move("bonnet-gap")
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await open_bill(pilot, app)
        await pilot.press("k")
        await on_screen(app, ClaimsScreen)
        await pilot.press("b")  # back to the bill it was opened from
        await on_screen(app, BillScreen)
        assert [type(screen) for screen in app.screen_stack].count(BillScreen) == 1
        await pilot.press("k", "enter")
        await on_screen(app, WalkScreen)
        await until(lambda: check_at(app) == "left-door")
        assert status(app) == "b brings you back to the bill."


async def test_help_shows_the_keys_of_the_bill_first(world: World) -> None:
    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_bill(pilot, app)
        await pilot.press("question_mark")
        await on_screen(app, HelpScreen)
        await until(lambda: painted(app, "#page").startswith("Bill"))


# Sizes, characters, nothing to bill, and sessions that can't be changed


@pytest.mark.parametrize("glyphs", [None, ASCII], ids=["unicode", "ascii"])
@pytest.mark.parametrize("size", [(60, 20), (100, 30), (160, 45)])
async def test_the_sums_fit_every_size_and_another_one_makes_them_anew(
    world: World, size: tuple[int, int], glyphs: object
) -> None:
    name = billed_walk(world)
    with world.store.open(name) as session:
        set_terms(session, {"asking": "40000"})
    app = world.walk_app(name, **({} if glyphs is None else {"glyphs": glyphs}))  # type: ignore[arg-type]
    async with app.run_test(size=size) as pilot:
        await open_bill(pilot, app)
        before = await settled(app)
        assert "most to pay" in before
        width = app.screen.query_one("#sums").size.width

        def rule() -> int:
            """The width of the line below the histogram, which takes what room there is."""
            sign = app.glyphs.rule
            rules = re.findall(f"{re.escape(sign)}{{24,}}", painted(app, "#sums"))
            return len(max(rules, key=len))

        assert width - 24 - 2 < rule() <= width
        if glyphs is not None:
            assert before.isascii()
            assert painted(app, "#sums").isascii()
        for other in ((20, 5), (1, 1), (160, 45), (60, 20)):
            await pilot.resize_terminal(*other)
            await until(lambda other=other: tuple(app.screen.size) == other)
        await until(lambda: rule() <= 60)
        await pilot.resize_terminal(*size)
        await until(lambda: shown(app) == before)
        await pilot.press("r")
        await on_screen(app, AskScreen)
        await put_text(app, "90")
        await pilot.press("enter")
        await on_screen(app, BillScreen)
        await until(lambda: session_of(app).walk.terms.get("rate") == "90")


async def test_a_walk_with_nothing_found_has_a_bill_and_every_key_works(world: World) -> None:
    app = world.walk_app()
    async with app.run_test(size=(100, 30)) as pilot:
        await open_bill(pilot, app)
        assert items(app) == []
        assert mean(app) == 0
        await pilot.press("down", "up", "h", "p", "c", "s", "enter", "g", "space", "pageup")
        assert type(app.screen) is BillScreen
        await answer(pilot, app, "a", "40000")
        await until(lambda: "most to pay 40 000" in painted(app, "#headline"))
        await pilot.press("u")
        await until(lambda: "No price is known yet." in sums(app))


async def test_looking_only_nothing_can_be_entered(world: World) -> None:
    name = billed_walk(world)
    with world.store.open(name) as first:
        app = world.walk_app(name)
        async with app.run_test(size=(100, 30)) as pilot:
            await open_bill(pilot, app)
            events = len(first.walk.events)
            for key in ("a", "h", "p", "c", "s", "r", "m", "v", "d", "e", "o", "u", "y"):
                await pilot.press(key)
                await on_screen(app, MessageScreen)
                assert "Looking only: " in flat(app), key
                await pilot.press("enter")
                await on_screen(app, BillScreen)
            await pilot.press("down", "space", "q")
            await on_screen(app, WalkScreen)
            assert len(world.look(name).walk.events) == events


async def test_a_signed_session_shows_its_bill_and_takes_nothing(world: World) -> None:
    name = billed_walk(world)
    with world.store.open(name) as session:
        session.sign("Ines")
    app = world.walk_app(name)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, SummaryScreen)
        await pilot.press("b")
        await on_screen(app, BillScreen)
        for key in ("a", "h", "s", "u"):
            await pilot.press(key)
            await on_screen(app, MessageScreen)
            assert "Signed off by Ines. Open it again on the summary" in flat(app), key
            await pilot.press("enter")
            await on_screen(app, BillScreen)


async def test_on_a_full_disk_a_figure_is_not_taken_and_works_once_there_is_room(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    import errno

    import checkrun.session.durable as durable

    def refuse(handle: int, payload: bytes) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    app = world.walk_app(billed_walk(world))
    async with app.run_test(size=(100, 30)) as pilot:
        await open_bill(pilot, app)
        with monkeypatch.context() as full:
            full.setattr(durable, "_write_all", refuse)
            await pilot.press("a")
            await on_screen(app, AskScreen)
            await put_text(app, "40000")
            await pilot.press("enter")
            await on_screen(app, MessageScreen)
            assert "the disk is full" in flat(app)
        await pilot.press("enter")
        await on_screen(app, BillScreen)
        await until(lambda: "No price is known yet." in sums(app))
        row = marked(app)
        with monkeypatch.context() as full:
            full.setattr(durable, "_write_all", refuse)
            await pilot.press("s")
            await on_screen(app, MessageScreen)
            await pilot.press("enter")
            await on_screen(app, BillScreen)
        await answer(pilot, app, "a", "40000")
        await until(lambda: "40 000.00" in sums(app))
        await until(lambda: marked(app) == row)
