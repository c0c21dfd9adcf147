"""The editor of route files, by keys: checked as one writes, saved without losing anything."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from ui.helpers import FINCH, World, flat, on_screen, painted, settled, shown, until

from checkrun import locations
from checkrun.route.catalog import Catalog, Folder
from checkrun.screens.app import CheckrunApp
from checkrun.screens.ask import AskScreen
from checkrun.screens.editor import EditorScreen
from checkrun.screens.help import HelpScreen
from checkrun.screens.home import HomeScreen
from checkrun.screens.message import MessageScreen
from checkrun.screens.unsaved import UnsavedScreen
from checkrun.session import openfile
from checkrun.session.openfile import CannotEdit


@pytest.fixture
def own(world: World, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of one's own routes; those of the world came with the program."""
    folder = world.folder / "own"
    monkeypatch.setenv("CHECKRUN_ROUTES", str(folder))
    monkeypatch.setattr(locations, "shipped", lambda name: world.routes)
    return folder


def catalog(world: World, own: Path) -> Catalog:
    return Catalog([Folder(own, "yours"), Folder(world.routes, "shipped")])


def editing(world: World, own: Path, path: Path | None = None) -> CheckrunApp:
    """The app in the file of the shipped route, or in another one; home is below it."""
    there = catalog(world, own)
    file = path or there.find("finch").path

    def first(app: CheckrunApp) -> HomeScreen:
        app.call_after_refresh(lambda: app.edit_file(there, file))
        return HomeScreen()

    return world.app(first, catalog=there)


def editor(app: CheckrunApp) -> EditorScreen:
    return next(screen for screen in app.screen_stack if isinstance(screen, EditorScreen))


async def opened(app: CheckrunApp) -> EditorScreen:
    await on_screen(app, EditorScreen)
    await settled(app)
    return editor(app)


async def typed(app: CheckrunApp, pilot: Pilot[None], words: str) -> None:
    """Type words where the cursor is, and wait until they are checked."""
    screen = editor(app)
    screen.area.insert(words)
    await until(lambda: screen.unchecked)
    await until(lambda: not screen.unchecked)
    await settled(app)


def put(screen: EditorScreen, words: str, column: int = 0) -> None:
    """Put the cursor at the first place of these words."""
    text = screen.area.text
    at = text.index(words) + column
    line = text.count("\n", 0, at)
    screen.area.go_to(line + 1, at - (text.rfind("\n", 0, at) + 1) + 1)


async def test_a_mistake_is_told_as_it_is_typed_and_found_by_one_key(
    world: World, own: Path
) -> None:
    app = editing(world, own)
    async with app.run_test(size=(160, 45)) as pilot:
        screen = await opened(app)
        assert "No problem. It can be walked." in painted(app, "#beside")
        put(screen, "class: dangerous", len("class: "))
        await typed(app, pilot, "very-")
        assert "very-dangerous" in painted(app, "#beside")
        assert "1 wrong" in painted(app, "#headline")
        await pilot.press("ctrl+home")
        await settled(app)
        assert painted(app, "#said").strip() == ""
        await pilot.press("f4")
        await settled(app)
        line, _ = screen.area.cursor_location
        assert "very-dangerous" in screen.area.document.get_line(line)
        assert "very-dangerous" in painted(app, "#said")
        await pilot.press("ctrl+z")
        await until(lambda: "no problem" in painted(app, "#headline"))


async def test_the_first_save_of_a_shipped_route_makes_a_copy_of_ones_own(
    world: World, own: Path
) -> None:
    app = editing(world, own)
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await opened(app)
        assert "shipped" in painted(app, "#headline")
        put(screen, "Ash Finch")
        await typed(app, pilot, "My ")
        assert "not saved" in painted(app, "#headline")
        await pilot.press("f10")
        await until(lambda: (own / "finch.yaml").exists())
        await settled(app)
        assert "yours" in painted(app, "#headline")
        assert f"Saved to {own / 'finch.yaml'}" in " ".join(painted(app, "#said").split())
        assert (world.routes / "finch.yaml").read_text("utf-8") == FINCH
        assert (own / "finch.yaml").read_text("utf-8") == FINCH.replace("Ash", "My Ash", 1)
        assert (own / "route.schema.json").exists()
        assert catalog(world, own).load("finch").title.startswith("My Ash")
        # A second save has nothing to keep: it is what was written before.
        await typed(app, pilot, "own ")
        await pilot.press("ctrl+s")
        await until(lambda: "My own Ash" in (own / "finch.yaml").read_text("utf-8"))
        assert sorted(path.name for path in own.iterdir()) == ["finch.yaml", "route.schema.json"]
        await pilot.press("f9")
        await on_screen(app, HomeScreen)


async def test_ones_own_file_is_kept_as_it_was_beside_it(world: World, own: Path) -> None:
    own.mkdir()
    (own / "finch.yaml").write_text(FINCH, "utf-8")
    app = editing(world, own)
    async with app.run_test(size=(100, 30)) as pilot:
        await opened(app)
        await typed(app, pilot, "# mine\n")
        await pilot.press("f10")
        await until(lambda: "# mine" in (own / "finch.yaml").read_text("utf-8"))
        assert (own / "finch.yaml.backup-1").read_text("utf-8") == FINCH
        await until(lambda: "finch.yaml.backup-1" in " ".join(painted(app, "#said").split()))


async def test_a_broken_file_is_saved_and_can_not_be_walked_and_says_why(
    world: World, own: Path
) -> None:
    app = editing(world, own)
    async with app.run_test(size=(160, 45)) as pilot:
        screen = await opened(app)
        put(screen, "title: Ash")
        await typed(app, pilot, "x: y: ")
        await pilot.press("f10")
        await until(lambda: (own / "finch.yaml").exists())
        await until(lambda: "it can't be walked yet: line" in painted(app, "#said"))
        assert "x: y: title" in (own / "finch.yaml").read_text("utf-8")
        await pilot.press("f9")
        await on_screen(app, HomeScreen)
    assert catalog(world, own).broken() == ("finch",)


async def test_leaving_with_changes_asks_first(world: World, own: Path) -> None:
    app = editing(world, own)
    async with app.run_test(size=(60, 20)) as pilot:
        screen = await opened(app)
        await typed(app, pilot, "# one\n")
        await pilot.press("f9")
        await on_screen(app, UnsavedScreen)
        await pilot.press("b")
        await on_screen(app, EditorScreen)
        assert screen.changed
        await pilot.press("f9")
        await on_screen(app, UnsavedScreen)
        await pilot.press("d")
        await on_screen(app, HomeScreen)
    assert not own.exists()
    # Given up for good: it does not come back.
    app = editing(world, own)
    async with app.run_test(size=(60, 20)) as pilot:
        screen = await opened(app)
        assert not screen.changed
        await typed(app, pilot, "# two\n")
        await pilot.press("f9")
        await on_screen(app, UnsavedScreen)
        await pilot.press("s")
        await on_screen(app, HomeScreen)
    assert (own / "finch.yaml").read_text("utf-8") == "# two\n" + FINCH


async def test_what_was_typed_and_never_saved_comes_back(world: World, own: Path) -> None:
    app = editing(world, own)
    async with app.run_test(size=(100, 30)) as pilot:
        await opened(app)
        await typed(app, pilot, "# half a thought\n")
    # The terminal was closed: nothing was saved, and nothing lost.
    assert not own.exists()
    app = editing(world, own)
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await opened(app)
        assert screen.area.text.startswith("# half a thought\n")
        assert "never saved is back" in " ".join(painted(app, "#said").split())
        await pilot.press("ctrl+z")
        await until(lambda: screen.area.text == FINCH)


async def test_the_check_at_the_cursor_is_shown_as_it_will_be_and_the_differences(
    world: World, own: Path
) -> None:
    app = editing(world, own)
    async with app.run_test(size=(160, 45)) as pilot:
        screen = await opened(app)
        put(screen, "Drum and shoes")
        await pilot.press("f5")
        await until(lambda: "Wipe it wet, look at the friction face." in painted(app, "#beside"))
        put(screen, "Noise from below")
        await until(lambda: "Listen with a rod" in painted(app, "#beside"))
        put(screen, "Noise from below")
        await typed(app, pilot, "Loud ")
        await until(lambda: "Loud Noise from below" in painted(app, "#beside"))
        await pilot.press("f6")
        await until(lambda: "What differs from as opened" in painted(app, "#beside"))
        assert "Loud Noise" in painted(app, "#beside")
        await pilot.press("f10", "f6", "f6")
        await until(lambda: "What differs from the shipped finch" in painted(app, "#beside"))
        await pilot.press("f6")
        await until(lambda: "No problem" in painted(app, "#beside"))


async def test_words_are_found_and_found_again(world: World, own: Path) -> None:
    app = editing(world, own)
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await opened(app)
        places = []
        for words in ("LEFT", "", ""):
            await pilot.press("f7")
            await on_screen(app, AskScreen)
            for letter in words:
                await pilot.press(letter)
            await pilot.press("enter")
            await on_screen(app, EditorScreen)
            await settled(app)
            assert screen.area.selected_text.lower() == "left"
            assert screen.area.scroll_offset.x == 0, "a line that fits is seen from its beginning"
            places.append(screen.area.cursor_location)
        assert len(set(places)) == 3
        assert places == sorted(places)
        await pilot.press("f7")
        await on_screen(app, AskScreen)
        await pilot.press("q", "q", "enter")
        await until(lambda: "is nowhere in this file" in flat(app))


async def test_a_line_leads_to_the_file_it_names(world: World, own: Path) -> None:
    own.mkdir()
    layer = "format: 1\nid: finch-1963\ntitle: Finch 1963\nbuilt-on: finch\ncar: {years: 1963}\n"
    (own / "finch-1963.yaml").write_text(layer, "utf-8")
    app = editing(world, own, own / "finch-1963.yaml")
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await opened(app)
        await pilot.press("f12")
        await until(lambda: "this one doesn't" in flat(app), lambda: shown(app))
        put(screen, "built-on: finch")
        await pilot.press("f12")
        await until(lambda: app.screen is not screen and isinstance(app.screen, EditorScreen))
        await settled(app)
        assert "finch.yaml" in painted(app, "#headline")
        await pilot.press("f9")
        await until(lambda: app.screen is screen)


async def test_a_file_that_changed_on_disk_meanwhile_is_kept_too(world: World, own: Path) -> None:
    own.mkdir()
    file = own / "finch.yaml"
    file.write_text(FINCH, "utf-8")
    app = editing(world, own)
    async with app.run_test(size=(100, 30)) as pilot:
        await opened(app)
        await typed(app, pilot, "# mine\n")
        await pilot.press("f10")
        await until(lambda: file.read_text("utf-8").startswith("# mine"))
        file.write_text("# theirs\n" + FINCH, "utf-8")
        await typed(app, pilot, "# again\n")
        await pilot.press("f10")
        await until(lambda: "# again" in file.read_text("utf-8"))
    assert (own / "finch.yaml.backup-2").read_text("utf-8") == "# theirs\n" + FINCH


async def test_a_file_that_can_not_be_written_loses_nothing(
    world: World, own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*args: object, **named: object) -> None:
        raise OSError(28, "No space left on device")

    app = editing(world, own)
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await opened(app)
        await typed(app, pilot, "# mine\n")
        monkeypatch.setattr(openfile, "save", refuse)
        await pilot.press("f10")
        await on_screen(app, MessageScreen)
        assert "no space left" in flat(app)
        await pilot.press("enter")
        await on_screen(app, EditorScreen)
        assert screen.changed
        assert screen.area.text.startswith("# mine")


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (b"\xff\xfe", "no text in UTF-8, from byte 1 on"),
        (b"a: 1\r\nb: 2\nc: 3\n", "line ends of several kinds"),
        ("a: 1\u2028b: 2\n".encode(), "line ends of several kinds"),
    ],
)
def test_a_file_that_would_not_be_written_back_as_it_is_is_not_opened(
    world: World, own: Path, raw: bytes, why: str
) -> None:
    file = world.folder / "odd.yaml"
    file.write_bytes(raw)
    with pytest.raises(CannotEdit, match=why):
        EditorScreen(catalog(world, own), file)


@pytest.mark.parametrize(
    "raw",
    [FINCH.replace("\n", "\r\n").encode(), b"\xef\xbb\xbf" + FINCH.encode(), FINCH.encode()[:-1]],
)
async def test_every_byte_but_what_was_typed_stays(world: World, own: Path, raw: bytes) -> None:
    own.mkdir()
    file = own / "finch.yaml"
    file.write_bytes(raw)
    app = editing(world, own)
    async with app.run_test(size=(100, 30)) as pilot:
        screen = await opened(app)
        assert not screen.changed
        put(screen, "Ash Finch")
        await typed(app, pilot, "My ")
        await pilot.press("f10")
        await until(lambda: file.read_bytes() != raw)
    assert file.read_bytes() == raw.replace(b"Ash Finch", b"My Ash Finch", 1)


async def test_help_shows_its_keys(world: World, own: Path) -> None:
    app = editing(world, own)
    async with app.run_test(size=(100, 30)) as pilot:
        await opened(app)
        await pilot.press("f1")
        await on_screen(app, HelpScreen)
        assert "Writing a route" in shown(app)
        assert "ctrl+z" in shown(app)
