"""A route browsed: its way, its checks, its model years, and where it leads."""

from __future__ import annotations

import pytest
from textual.widgets import Input, OptionList
from ui.helpers import (
    FINCH,
    FINCH_1964,
    World,
    flat,
    on_screen,
    painted,
    shown,
    type_text,
    until,
)

from checkrun.report.glyphs import ASCII
from checkrun.report.plan import Mark
from checkrun.route.planner import plan
from checkrun.screens.app import CheckrunApp
from checkrun.screens.browse import BrowseScreen
from checkrun.screens.dryrun import DryRunScreen
from checkrun.screens.help import HelpScreen
from checkrun.screens.home import HomeScreen
from checkrun.screens.intake import IntakeScreen
from checkrun.screens.jump import JumpScreen
from checkrun.screens.message import MessageScreen
from checkrun.screens.reader import RouteReader
from checkrun.screens.routes import RoutesScreen
from checkrun.screens.widgets.picklist import PickList
from checkrun.screens.widgets.plan import Plan

SIZES = [(60, 20), (100, 30), (160, 45)]


def browsing(world: World, name: str = "finch") -> CheckrunApp:
    catalog = world.catalog
    return world.app(
        lambda app: BrowseScreen(catalog, catalog.find(name), catalog.load(name)), catalog=catalog
    )


def standing(app: CheckrunApp) -> str:
    assert isinstance(app.screen, BrowseScreen)
    return app.screen._at


async def ready(app: CheckrunApp) -> BrowseScreen:
    """The screen once the way is planned."""
    screen = await on_screen(app, BrowseScreen)
    assert isinstance(screen, BrowseScreen)
    await until(lambda: screen._way is not None, "planned")
    return screen


@pytest.mark.parametrize("key", ["b", "right"])
@pytest.mark.parametrize("size", SIZES)
async def test_from_the_routes_a_key_opens_it_and_one_leads_back(
    world: World, key: str, size: tuple[int, int]
) -> None:
    app = world.app(lambda app: RoutesScreen(world.catalog))
    async with app.run_test(size=size) as pilot:
        await on_screen(app, RoutesScreen)
        await pilot.press(key)
        await ready(app)
        text = shown(app)
        for part in (
            "all years 1960-1969",
            "Nose, standing",
            "Gap at the bonnet's front edge",
            "◉",
        ):
            assert part in text
        assert "1/5, 0/14 min" in text or "station 1/5, 0 of 14 minutes in" in text
        await pilot.press("q")
        await on_screen(app, RoutesScreen)


async def test_a_route_that_cannot_be_walked_is_told_and_not_browsed(world: World) -> None:
    world.write_route("finch", FINCH.replace("class: major", "class: mjor"))
    app = world.app(lambda app: RoutesScreen(world.catalog))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, RoutesScreen)
        for key in ("b", "d"):
            await pilot.press(key)
            await on_screen(app, MessageScreen)
            assert "finch can't be walked" in flat(app)
            await pilot.press("enter")
            await on_screen(app, RoutesScreen)


async def test_arrows_go_by_check_and_by_station_and_stop_at_the_ends(world: World) -> None:
    app = browsing(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await ready(app)
        for key, check in (
            ("up", "bonnet-gap"),
            ("left", "bonnet-gap"),
            ("down", "nose-lip"),
            ("down", "nose-lamps"),
            ("down", "left-door"),
            ("up", "nose-lamps"),
            ("right", "left-door"),
            ("right", "rail"),
            ("right", "drum"),
            ("right", "knock"),
            ("right", "knock"),
            ("down", "knock"),
            ("left", "drum"),
        ):
            await pilot.press(key)
            assert standing(app) == check, key
            marked = app.screen.query_one(PickList)
            ask = world.route().checks[check].ask[:20]
            assert ask in "".join(text for text, _ in marked._list[marked.at])


@pytest.mark.parametrize("size", SIZES)
async def test_the_plan_marks_where_one_is_and_the_way_walked(
    world: World, size: tuple[int, int]
) -> None:
    app = browsing(world)
    async with app.run_test(size=size) as pilot:
        screen = await ready(app)
        await pilot.press("right", "right")
        stations = {station.id: screen._mark(station) for station in screen._walk.stations}
        assert stations == {
            "nose": Mark.DONE,
            "left": Mark.DONE,
            "under": Mark.YOU,
            "wheel": Mark.NEXT,
            "bay": Mark.OPEN,
        }
        assert "from below" in painted(app, "#plan")
        assert "◉" in painted(app, "#plan")


async def test_the_plan_is_turned_over_until_the_next_station(world: World) -> None:
    app = browsing(world)
    async with app.run_test(size=(60, 20)) as pilot:
        await ready(app)
        assert "from above" in painted(app, "#plan")
        await pilot.press("v")
        assert "from below" in painted(app, "#plan")
        await pilot.press("down")
        assert "from below" in painted(app, "#plan")
        await pilot.press("right")
        assert "from above" in painted(app, "#plan")


async def test_with_both_views_there_is_nothing_to_turn(world: World) -> None:
    app = browsing(world)
    async with app.run_test(size=(160, 45)) as pilot:
        await ready(app)
        assert app.screen.query_one(Plan).both
        await pilot.press("v")
        await until(lambda: "Both views are on screen." in flat(app))


async def test_what_is_done_to_the_car_stands_between_the_stations(world: World) -> None:
    app = browsing(world)
    async with app.run_test(size=(160, 45)):
        await ready(app)
        rows = [row.strip() for row in painted(app, "#way").splitlines()]
        before = {
            row[5:].rsplit("  ", 1)[0]: rows[place - 1]
            for place, row in enumerate(rows)
            if row[:1] in "◉▸○"
        }
        assert before["Under the middle"] == "─ Raise the car"
        assert before["Left front brake, wheel off"] == "─ Take the wheels off"
        assert rows[-1] == "○  5 Engine bay, engine running  1"


async def test_a_check_shows_all_that_the_mechanic_will_see_and_its_limits(world: World) -> None:
    limit = "reading: {kind: measure, unit: mm, tool: feeler stack, pass: {at-most: 4}}"
    text = FINCH.replace("reading: {kind: measure, unit: mm, tool: feeler stack}", limit)
    world.write_route("finch", text)
    app = browsing(world)
    async with app.run_test(size=(160, 45)) as pilot:
        await ready(app)
        told = " ".join(painted(app, "#told").split())
        for part in (
            "how Slide the feeler stack along the edge, bonnet shut.",
            "✓ pass Even all along.",
            "! concern Two millimetres of taper.",
            "✗ fail The edges touch.",
            "why A taper is what a replaced front section usually shows.",
            "read measure in mm; feeler stack",
            "limits passes up to 4 mm",
            "class major if it fails; body",
        ):
            assert part in told
        await pilot.press("right", "right")
        told = " ".join(painted(app, "#told").split())
        assert "first: raise the car" in told
        assert "CARE Wear eye protection; rust falls." in told


async def test_the_figures_are_those_of_the_planner(world: World) -> None:
    app = browsing(world)
    async with app.run_test(size=(160, 45)) as pilot:
        await ready(app)
        cost = plan(world.route()).written
        words = f"{cost.metres:.0f} m on foot, {cost.lift_moves} lift moves, "
        assert words + f"{cost.seconds / 60:.0f} minutes on the way; as written" in flat(app)
        await pilot.press("right")
        assert "station 2/5, 4 of 14 minutes in" in flat(app)


async def test_y_goes_through_the_years_that_differ_and_back_to_all(world: World) -> None:
    world.write_route("finch-1964", FINCH_1964)
    app = browsing(world)
    async with app.run_test(size=(160, 45)) as pilot:
        await ready(app)
        seen = []
        for _ in range(4):
            await pilot.press("y")
            seen.append(painted(app, "#headline").split("  ")[0].strip())
            assert ("tank-date-seen" in app.screen._walk.index) == ("1964:" in seen[-1])  # type: ignore[attr-defined]
        assert seen == [
            "model years 1960-1963: finch",
            "model year 1964: finch-1964",
            "model years 1965-1969: finch",
            "all years 1960-1969",
        ]


async def test_the_check_stays_through_the_years_if_it_is_there(world: World) -> None:
    world.write_route("finch-1964", FINCH_1964)
    app = browsing(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await ready(app)
        await pilot.press("y", "y", "right", "down", "down")
        assert standing(app) == "tank-date-seen"
        await pilot.press("y")
        assert standing(app) == "bonnet-gap"
        await pilot.press("right", "y")
        assert standing(app) == "left-door"


async def test_a_route_that_is_the_same_in_all_years_says_so(world: World) -> None:
    app = browsing(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await ready(app)
        await pilot.press("y")
        await until(lambda: "Every model year is walked alike." in flat(app))
        assert "all years 1960-1969" in shown(app)


@pytest.mark.parametrize("key", ["j", "slash"])
async def test_a_few_letters_lead_to_a_check(world: World, key: str) -> None:
    app = browsing(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await ready(app)
        await pilot.press(key)
        await on_screen(app, JumpScreen)
        await type_text(pilot, "exh")
        await pilot.press("enter")
        await ready(app)
        assert standing(app) == "pipe"
        await pilot.press(key, "escape")
        await ready(app)
        assert standing(app) == "pipe"


async def test_the_text_scrolls_and_starts_at_its_top_at_the_next_check(world: World) -> None:
    app = browsing(world)
    async with app.run_test(size=(60, 20)) as pilot:
        await ready(app)
        told = app.screen.query_one("#told")
        await pilot.press("space")
        assert told._top == 3  # type: ignore[attr-defined]
        await pilot.press("pageup")
        assert told._top == 0  # type: ignore[attr-defined]
        await pilot.press("pagedown", "down")
        assert told._top == 0  # type: ignore[attr-defined]


async def test_it_leads_to_the_questions_of_a_walk_with_its_year(world: World) -> None:
    world.write_route("finch-1964", FINCH_1964)
    app = browsing(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await ready(app)
        await pilot.press("y", "y", "w")
        await on_screen(app, IntakeScreen)
        assert app.screen.query_one("#fact-year", Input).value == "1964"
        await pilot.press("f9")
        await ready(app)


async def test_it_leads_to_the_text_and_to_the_help(world: World) -> None:
    app = browsing(world)
    async with app.run_test(size=(100, 40)) as pilot:
        await ready(app)
        await pilot.press("r")
        await on_screen(app, RouteReader)
        await pilot.press("q")
        await ready(app)
        await pilot.press("question_mark")
        await on_screen(app, HelpScreen)
        await until(lambda: painted(app, "#page").startswith("Browsing a route"))
        await pilot.press("q")
        await ready(app)


async def test_it_leads_to_a_dry_run_of_its_year_and_back(world: World) -> None:
    world.write_route("finch-1964", FINCH_1964)
    app = browsing(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await ready(app)
        await pilot.press("y", "y", "d")
        screen = await on_screen(app, DryRunScreen)
        assert isinstance(screen, DryRunScreen)
        assert (screen.session.walk.route.id, screen.session.walk.year) == ("finch-1964", 1964)
        await pilot.press("q")
        await ready(app)


async def test_a_route_written_in_is_read_anew_at_the_check_one_was_at(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []

    def edit(app: CheckrunApp, catalog: object, path: object, through: object = None) -> None:
        opened.append(str(path))
        world.write_route("finch", FINCH.replace("Both head lamps", "Both lamps, lit"))
        app.tell("written")

    monkeypatch.setattr(CheckrunApp, "edit_file", edit)
    app = world.app(lambda app: RoutesScreen(world.catalog))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, RoutesScreen)
        await pilot.press("b")
        await ready(app)
        await pilot.press("down", "down", "e")
        await on_screen(app, MessageScreen)
        assert opened == [str(world.routes / "finch.yaml")]
        await pilot.press("enter")
        await ready(app)
        await until(lambda: "Both lamps, lit" in painted(app, "#told"))
        assert standing(app) == "nose-lamps"


async def test_a_route_that_was_spoilt_meanwhile_is_told_and_listed_so(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    def edit(app: CheckrunApp, catalog: object, path: object, through: object = None) -> None:
        world.write_route("finch", FINCH.replace("class: major", "class: mjor"))
        app.tell("written")

    monkeypatch.setattr(CheckrunApp, "edit_file", edit)
    app = world.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, HomeScreen)
        await pilot.press("r")
        await on_screen(app, RoutesScreen)
        await pilot.press("b")
        await ready(app)
        await pilot.press("e")
        await on_screen(app, MessageScreen)
        await pilot.press("enter")
        await until(lambda: "It can't be walked as it is now" in flat(app))
        await pilot.press("enter")
        await ready(app)
        assert "Nose, standing" in shown(app)
        await pilot.press("q")
        await on_screen(app, RoutesScreen)
        await until(lambda: "can't be walked" in flat(app))
        assert app.screen.query_one(OptionList).highlighted == 0


async def test_a_year_without_any_check_shows_none_and_takes_every_key(world: World) -> None:
    text = FINCH.replace("    title: ", "    only: {years: 1960-1964}\n    title: ")
    text = text.replace("  chassis-serial:\n    only: {years: 1960-1964}\n", "  chassis-serial:\n")
    world.write_route("finch", text)
    app = browsing(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await ready(app)
        await pilot.press("y", "y")
        assert "model years 1965-1969" in shown(app)
        assert "Nothing is looked at on a car of this year." in flat(app)
        await pilot.press("down", "right", "v", "j", "space")
        assert "0/0" in shown(app)
        await pilot.press("d")
        await on_screen(app, MessageScreen)
        assert "There is nothing to walk" in flat(app)
        await pilot.press("enter", "y", "right")
        assert standing(app) == "left-door"


async def test_a_key_on_the_heels_of_the_one_that_opened_it_is_not_lost(world: World) -> None:
    app = world.app(lambda app: RoutesScreen(world.catalog))
    async with app.run_test(size=(100, 30)) as pilot:
        await on_screen(app, RoutesScreen)
        for key in ("b", "right", "down"):
            pilot.app.simulate_key(key)
        await ready(app)
        await until(lambda: standing(app) == "left-sill")


async def test_a_tiny_terminal_and_back_changes_nothing(world: World) -> None:
    app = browsing(world)
    async with app.run_test(size=(100, 30)) as pilot:
        await ready(app)
        await pilot.press("right", "right")
        before = shown(app)
        await pilot.resize_terminal(20, 5)
        await pilot.press("left", "right")
        await pilot.resize_terminal(100, 30)
        await until(lambda: shown(app) == before)


async def test_a_poor_terminal_gets_plain_characters(world: World) -> None:
    catalog = world.catalog
    app = world.app(
        lambda app: BrowseScreen(catalog, catalog.find("finch"), catalog.load("finch")),
        glyphs=ASCII,
    )
    async with app.run_test(size=(160, 45)) as pilot:
        await ready(app)
        await pilot.press("right", "right")
        assert shown(app).isascii()
        assert "- Raise the car" in shown(app)
