"""From the home screen to the first check: list, routes, reader, questions, brief, recovery."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input, OptionList
from ui.helpers import (
    FINCH,
    FINCH_1964,
    World,
    check_at,
    flat,
    on_screen,
    painted,
    put_text,
    session_of,
    shown,
    type_text,
    until,
)

from checkrun import locations
from checkrun.route.catalog import Catalog, Folder
from checkrun.screens.app import CheckrunApp
from checkrun.screens.brief import BriefScreen
from checkrun.screens.help import HelpScreen
from checkrun.screens.home import HomeScreen
from checkrun.screens.intake import IntakeScreen
from checkrun.screens.message import MessageScreen
from checkrun.screens.reader import RouteReader
from checkrun.screens.recover import RecoverScreen
from checkrun.screens.routes import RoutesScreen
from checkrun.screens.summary import SummaryScreen
from checkrun.screens.walk import WalkScreen
from checkrun.screens.widgets.sheet import Sheet
from checkrun.session.upgrade import CURRENT


def marked(app: CheckrunApp) -> str:
    """The text of the marked line of the list on top."""
    options = app.screen.query_one(OptionList)
    assert options.highlighted is not None
    return str(options.get_option_at_index(options.highlighted).prompt)


def value(app: CheckrunApp, name: str) -> Input:
    return app.screen.query_one(f"#fact-{name}", Input)


def problem(app: CheckrunApp, name: str) -> str:
    return str(app.screen.query_one(f"#problem-{name}").render())


# Home


async def test_an_empty_store_says_how_to_start(world: World) -> None:
    app = world.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, HomeScreen)
        assert "No walk yet. Press n to start one" in flat(app)
        assert "checkrun demo" in flat(app)
        assert marked(app) == "n  Start a walk"
        await pilot.press("down")  # the text between is no choice
        await until(lambda: marked(app) == "r  Browse the routes")


async def test_home_lists_open_walks_before_signed_ones_and_enter_opens_the_marked_one(
    world: World,
) -> None:
    signed = world.begin(serial="FN4-0001")
    with world.store.open(signed) as session:
        session.sign("Ines")
    world.begin(serial="FN4-0002")
    app = world.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, HomeScreen)
        text = shown(app)
        assert text.index("Walks to go on with") < text.index("FN4-0002")
        assert text.index("FN4-0002") < text.index("Signed off") < text.index("FN4-0001")
        assert "signed by Ines" in text
        await pilot.press("down", "enter")
        await on_screen(app, WalkScreen)
        assert session_of(app).walk.facts["serial"] == "FN4-0002"
        await pilot.press("p", "q")
        await on_screen(app, HomeScreen)
        await until(lambda: "1 of 9" in shown(app))
        assert "FN4-0002" in marked(app)


@pytest.mark.parametrize(("key", "marks"), [("n", "start"), ("r", "routes")])
async def test_n_and_r_lead_to_the_routes_and_q_back_home(
    world: World, key: str, marks: str
) -> None:
    app = world.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, HomeScreen)
        await pilot.press(key)
        await on_screen(app, RoutesScreen)
        await pilot.press("q")
        await on_screen(app, HomeScreen)


async def test_enter_on_start_leads_to_the_routes_and_q_leaves_the_program(world: World) -> None:
    app = world.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, HomeScreen)
        await pilot.press("enter")
        await on_screen(app, RoutesScreen)
        await pilot.press("q")
        await on_screen(app, HomeScreen)
        await pilot.press("q")
        await until(lambda: not app.is_running)


async def test_a_damaged_session_is_offered_for_recovery_and_itself_left_alone(
    world: World,
) -> None:
    name = world.begin()
    with world.store.open(name) as session:
        session.note("bonnet-gap", "dry")
    path = world.folder / "sessions" / f"{name}.json"
    damaged = path.read_bytes()[:-40]
    path.write_bytes(damaged)
    app = world.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, HomeScreen)
        assert "damaged" in shown(app)
        await pilot.press("down", "enter")
        await on_screen(app, RecoverScreen)
        assert f"{name} is damaged" in shown(app)
        await pilot.press("b")
        await on_screen(app, HomeScreen)
        assert world.store.ids() == [name]
        await pilot.press("enter")
        await on_screen(app, RecoverScreen)
        await pilot.press("y")
        await on_screen(app, MessageScreen)
        assert f"events are kept in {name}-recovered" in flat(app)
        await pilot.press("enter")
        await on_screen(app, HomeScreen)
        assert path.read_bytes() == damaged
        assert f"{name}-recovered" in world.store.ids()
        assert world.look(f"{name}-recovered").walk.facts["serial"] == "FN4-0123"


async def test_a_session_of_a_newer_program_is_refused_with_words(world: World) -> None:
    name = world.begin()
    path = world.folder / "sessions" / f"{name}.json"
    text = path.read_text("utf-8")
    newer = text.replace(f'"format":{CURRENT}', f'"format":{CURRENT + 7}', 1)
    assert newer != text
    path.write_text(newer, "utf-8")
    app = world.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, HomeScreen)
        await pilot.press("down", "enter")
        await on_screen(app, MessageScreen)
        assert "written by a newer checkrun" in flat(app)


@pytest.mark.parametrize("key", ["enter", "q", "escape"])
async def test_each_of_its_keys_closes_a_message(world: World, key: str) -> None:
    app = world.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, HomeScreen)
        app.tell("a [b]text[/b] to read")
        await on_screen(app, MessageScreen)
        await until(lambda: "a [b]text[/b] to read" in shown(app))
        await pilot.press(key)
        await on_screen(app, HomeScreen)


async def test_a_signed_session_opens_on_its_summary_and_is_left_from_there(world: World) -> None:
    name = world.begin()
    with world.store.open(name) as session:
        session.sign("Ines")
    app = world.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, HomeScreen)
        await pilot.press("down", "enter")
        await on_screen(app, SummaryScreen)
        assert "Signed off by Ines" in shown(app)
        await pilot.press("q")
        await on_screen(app, HomeScreen)


# Routes and reader


async def test_routes_tell_what_each_covers_and_whose_it_is(world: World) -> None:
    own = world.folder / "own"
    own.mkdir()
    (own / "finch.yaml").write_text(
        (world.routes / "finch.yaml").read_text("utf-8").replace("Ash Finch", "My Finch"), "utf-8"
    )
    (own / "broken.yaml").write_text("format: 1\nid: broken\n", "utf-8")
    catalog = Catalog([Folder(own, "yours"), Folder(world.routes, "shipped")])
    app = world.app(lambda app: RoutesScreen(catalog), catalog=catalog)
    async with app.run_test(size=(120, 30)) as pilot:
        await on_screen(app, RoutesScreen)
        assert "broken (yours)  can't be walked" in shown(app)
        assert "broken can't be walked yet" in painted(app, "#detail")
        await pilot.press("enter")
        await on_screen(app, MessageScreen)
        assert "broken can't be walked" in flat(app)
        await pilot.press("enter", "down")
        await until(lambda: "My Finch" in painted(app, "#detail"))
        assert "wins over the shipped route" in " ".join(painted(app, "#detail").split())
        assert "9 at 5 stations" in painted(app, "#detail")
        assert "[b]texts[/b]" in painted(app, "#detail")
        await pilot.press("q")
        await until(lambda: not app.is_running)


async def test_no_routes_at_all_is_no_crash(world: World) -> None:
    catalog = Catalog([Folder(world.folder / "nowhere", "shipped")])
    app = world.app(lambda app: RoutesScreen(catalog), catalog=catalog)
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, RoutesScreen)
        await pilot.press("enter", "r", "down")
        assert type(app.screen) is RoutesScreen


async def test_the_reader_turns_pages_and_lines_and_closes(world: World) -> None:
    app = world.app(lambda app: RoutesScreen(world.catalog))
    async with app.run_test(size=(80, 20)) as pilot:
        await on_screen(app, RoutesScreen)
        await pilot.press("r")
        await on_screen(app, RouteReader)
        page = app.screen.query_one(Sheet)
        await until(lambda: "1. Nose, standing" in shown(app))
        text = " ".join(page.text.split())
        assert "Raise the car" in text
        assert text.index("Let the car down") < text.index("5. Engine bay, engine running")
        turn = page.size.height - 2
        for key, top in (
            ("space", turn),
            ("pagedown", 2 * turn),
            ("pageup", turn),
            ("down", turn + 1),
            ("up", turn),
        ):
            await pilot.press(key)
            await until(lambda top=top: page._top == top, key)
        await pilot.press("q")
        await on_screen(app, RoutesScreen)
        await pilot.press("r")
        await on_screen(app, RouteReader)
        await pilot.press("escape")
        await on_screen(app, RoutesScreen)


# The questions


async def test_from_home_to_the_first_check(world: World) -> None:
    app = world.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, HomeScreen)
        await pilot.press("n", "enter")
        await on_screen(app, IntakeScreen)
        await type_text(pilot, "1964")
        await pilot.press("enter")
        await until(lambda: app.focused is value(app, "serial"))
        await type_text(pilot, "fn4-0?23")
        await pilot.press("enter", "y", "enter", "enter")
        await on_screen(app, BriefScreen)
        assert "9 at 5 stations" in shown(app)
        assert "Chock the wheels before anything else." in flat(app)
        assert "The walk stops and asks before you: raise the car" in flat(app)
        await pilot.press("enter")
        await on_screen(app, WalkScreen)
        session = session_of(app)
        assert session.walk.year == 1964
        assert session.walk.facts == {"serial": "FN4-0?23", "long-tank": "yes"}
        assert check_at(app) == "bonnet-gap"
        await pilot.press("q")
        await on_screen(app, HomeScreen)
        assert not world.app().drafts.get("intake", "finch", "serial")


async def test_a_wrong_answer_is_told_as_it_is_typed_and_holds_the_walk_up(world: World) -> None:
    app = world.app(lambda app: IntakeScreen(world.catalog, world.route(), 1964))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, IntakeScreen)
        value(app, "serial").focus()
        await type_text(pilot, "fx")
        await until(lambda: problem(app, "serial") == "`FN` expected at character 1, not `FX`")
        await pilot.press("enter")
        assert app.focused is value(app, "serial")
        await put_text(app, "FN4-0123")
        await until(lambda: problem(app, "serial") == "")
        value(app, "long-tank").focus()
        await type_text(pilot, "maybe")
        value(app, "trim").focus()
        await type_text(pilot, "lux")
        await pilot.press("f10")
        await until(lambda: app.focused is value(app, "long-tank"))
        assert problem(app, "long-tank") == "answer yes or no"
        assert problem(app, "trim") == "choose from: plain, de luxe"
        assert type(app.screen) is IntakeScreen
        value(app, "long-tank").value = ""
        value(app, "trim").value = "De Luxe"
        await pilot.press("f10")
        await on_screen(app, BriefScreen)
        await pilot.press("enter")
        await on_screen(app, WalkScreen)
        assert session_of(app).walk.facts["trim"] == "de luxe"


async def test_what_is_needed_cannot_be_left_out(world: World) -> None:
    app = world.app(lambda app: IntakeScreen(world.catalog, world.route(), 1964))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, IntakeScreen)
        await pilot.press("f10")
        await until(lambda: problem(app, "serial") == "the walk can't start without it")
        value(app, "year").value = "1975"
        await until(lambda: problem(app, "year") == "this route covers 1960-1969")
        assert "The model year decides" in shown(app)


async def test_f9_leaves_the_questions(world: World) -> None:
    app = world.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, HomeScreen)
        await pilot.press("n", "enter")
        await on_screen(app, IntakeScreen)
        await pilot.press("q", "f9")  # a letter in a field is no key
        await on_screen(app, RoutesScreen)
        assert not (world.folder / "sessions").exists() or world.store.ids() == []


@pytest.mark.parametrize("key", ["q", "escape"])
async def test_the_brief_leads_back_to_the_questions_as_they_were(world: World, key: str) -> None:
    app = world.app(lambda app: IntakeScreen(world.catalog, world.route(), 1964))
    async with app.run_test(size=(100, 16)) as pilot:
        await on_screen(app, IntakeScreen)
        value(app, "serial").value = "FN4-0123"
        await pilot.press("f10")
        await on_screen(app, BriefScreen)
        page = app.screen.query_one(Sheet)
        for turn in ("space", "up", "down", "pageup", "pagedown"):
            await pilot.press(turn)
        assert page._top >= 0
        await pilot.press(key)
        await on_screen(app, IntakeScreen)
        assert value(app, "serial").value == "FN4-0123"
        assert not (world.folder / "sessions").exists() or world.store.ids() == []


async def test_the_year_leads_to_its_layer_and_back_as_often_as_one_likes(world: World) -> None:
    world.write_route("finch-1964", FINCH_1964)
    app = world.app(lambda app: IntakeScreen(world.catalog, world.route()))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, IntakeScreen)
        year = value(app, "year")
        for text, route, asked in (
            ("1964", "finch-1964", True),
            ("1965", "finch", False),
            ("1964", "finch-1964", True),
            ("1966", "finch", False),
            ("1964", "finch-1964", True),
        ):
            year.value = text
            await until(lambda route=route: f"{route}: " in painted(app, "#status"), text)
            await until(lambda asked=asked: ("Date on the tank" in shown(app)) is asked, text)
        assert "10 checks" in shown(app)
        value(app, "serial").value = "FN4-0123"
        value(app, "tank-date").value = "3 [64]"
        await pilot.press("f10")
        await on_screen(app, BriefScreen)
        await pilot.press("enter")
        await on_screen(app, WalkScreen)
        assert session_of(app).walk.route.id == "finch-1964"
        assert session_of(app).walk.facts["tank-date"] == "3 [64]"


async def test_a_year_given_beforehand_leads_to_its_layer_too(world: World) -> None:
    """As `checkrun walk finch --year 1964` does it."""
    world.write_route("finch-1964", FINCH_1964)
    app = world.app(lambda app: IntakeScreen(world.catalog, world.route(), 1964))
    async with app.run_test(size=(100, 30)):
        await on_screen(app, IntakeScreen)
        await until(lambda: "finch-1964: 10 checks" in shown(app))


async def test_a_year_kept_from_before_the_terminal_closed_leads_to_its_layer_too(
    world: World,
) -> None:
    world.write_route("finch-1964", FINCH_1964)
    app = world.app(lambda app: IntakeScreen(world.catalog, world.route()))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, IntakeScreen)
        await type_text(pilot, "1964")
        await pilot.press("enter")
        await type_text(pilot, "fn4-01")
        await until(lambda: problem(app, "serial") != "")
    again = world.app(lambda app: IntakeScreen(world.catalog, world.route()))
    async with again.run_test(size=(100, 30)):
        await on_screen(again, IntakeScreen)
        assert value(again, "serial").value == "fn4-01"
        await until(lambda: "finch-1964: 10 checks" in shown(again))


async def test_a_route_named_by_its_file_can_be_walked(world: World) -> None:
    """As `checkrun walk ./finch.yaml` does it, from a folder the catalog does not search."""
    catalog = Catalog([Folder(world.folder / "nowhere", "shipped")])
    route = catalog.load(str(world.routes / "finch.yaml"))
    app = world.app(lambda app: IntakeScreen(catalog, route), catalog=catalog)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, IntakeScreen)
        await type_text(pilot, "1964")
        value(app, "serial").value = "FN4-0123"
        await pilot.press("f10")
        await on_screen(app, BriefScreen)
        await pilot.press("enter")
        await on_screen(app, WalkScreen)
        await pilot.press("f5")
        await on_screen(app, MessageScreen)
        assert "You go on with the copy this walk began with" in flat(app)


async def test_a_store_that_cannot_be_written_is_told_and_the_answers_stay(
    world: World,
) -> None:
    (world.folder / "sessions").write_text("a file stands in the way", "utf-8")
    app = world.app(lambda app: IntakeScreen(world.catalog, world.route(), 1964))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, IntakeScreen)
        value(app, "serial").value = "FN4-0123"
        await pilot.press("f10")
        await on_screen(app, BriefScreen)
        await pilot.press("enter")
        await on_screen(app, MessageScreen)
        assert "Cannot write" in flat(app)
        (world.folder / "sessions").unlink()
        await pilot.press("enter")
        await on_screen(app, IntakeScreen)
        await pilot.press("f10", "enter")
        await on_screen(app, WalkScreen)


async def test_a_car_to_which_no_check_applies_starts_no_walk(world: World) -> None:
    text = FINCH.replace("        ask:", "        only: {years: 1969}\n        ask:")
    world.write_route("finch", text)
    app = world.app(lambda app: IntakeScreen(world.catalog, world.route(), 1964))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, IntakeScreen)
        value(app, "serial").value = "FN4-0123"
        await until(lambda: "finch: 0 checks" in shown(app))
        await pilot.press("f10")
        await on_screen(app, MessageScreen)
        assert "none of its checks applies" in flat(app)
        await pilot.press("enter")
        await on_screen(app, IntakeScreen)
        assert world.store.ids() == []


# The shipped routes


@pytest.fixture(scope="module")
def shipped(tmp_path_factory: pytest.TempPathFactory) -> Catalog:
    cache: Path = tmp_path_factory.mktemp("cache")
    return Catalog([Folder(locations.shipped("checklists"), "shipped")], cache)


async def test_every_shipped_route_is_listed_and_can_be_read(
    world: World, shipped: Catalog
) -> None:
    app = world.app(lambda app: RoutesScreen(shipped), catalog=shipped)
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, RoutesScreen)
        found = shipped.all()
        assert "plover" in [one.id for one in found]
        for one in found:
            route = shipped.load(one.id)
            await until(lambda route=route: str(len(route.checks)) in painted(app, "#detail"))
            await pilot.press("r")
            await on_screen(app, RouteReader)
            page = app.screen.query_one(Sheet)
            await until(lambda page=page: page.text != "")
            text = " ".join(page.text.split())
            assert all(" ".join(station.title.split()) in text for station in route.stations)
            await pilot.press("q", "down")


async def test_the_help_of_the_routes_lists_their_keys_first(world: World) -> None:
    app = world.app(lambda app: RoutesScreen(world.catalog))
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(app, RoutesScreen)
        await pilot.press("f1")
        await on_screen(app, HelpScreen)
        await until(lambda: painted(app, "#page").startswith("Routes"))
