"""Lint of all shipped routes as a process, and the editor that checks a long one after a change."""

from __future__ import annotations

import random
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

from checkrun import locations
from checkrun.commands.context import catalog
from checkrun.report.glyphs import UNICODE
from checkrun.route.catalog import Catalog, Folder
from checkrun.screens.app import CheckrunApp
from checkrun.screens.editor import EditorScreen
from checkrun.session.clock import now
from checkrun.session.store import Store
from checkrun.settings import Settings

from . import subjects
from .figures import Figures, ratio

_STARTS = 9
_LOADED = """
import sys
from pathlib import Path
import yaml
for path in Path(sys.argv[1]).rglob("*.yaml"):
    yaml.load(path.read_bytes(), Loader=yaml.CSafeLoader)
"""


def test_lint(tmp_path: Path, figures: Figures) -> None:
    env = subjects.environment(tmp_path, tmp_path)
    shipped = str(locations.shipped("checklists"))
    programs = {
        "lint": [sys.executable, "-m", "checkrun", "lint"],
        "load": [sys.executable, "-c", _LOADED, shipped],
    }
    seconds: dict[str, list[float]] = {what: [] for what in programs}
    for turn in range(_STARTS + 1):
        for what, command in programs.items():
            begun = time.perf_counter()
            subprocess.run(command, env=env, check=True, capture_output=True)
            if turn:
                seconds[what].append(time.perf_counter() - begun)
    lint, load = seconds["lint"], seconds["load"]
    note = f"{statistics.median(lint) * 1e3:.0f} : {statistics.median(load) * 1e3:.0f} ms"
    figures.add("lint of all shipped routes", ratio(lint, load), 2, note)


@pytest.mark.parametrize("name", ["generated", "unibody-steel", "frame-composite", "plover-1968"])
async def test_editor(
    tmp_path: Path, figures: Figures, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What goes on after a pause in typing, from the text to all that is shown of it."""
    for what in ("ROUTES", "CACHE", "STORE"):
        monkeypatch.setenv(f"CHECKRUN_{what}", str(tmp_path / what.lower()))
    there = catalog()
    if name == "generated":
        subjects.generated(tmp_path / "routes", 300)
        there = Catalog([Folder(tmp_path / "routes", "yours")])
    path = there.find(name).path
    app = CheckrunApp(
        catalog=there,
        store=Store(tmp_path / "store", now),
        glyphs=UNICODE,
        first=lambda app: EditorScreen(there, path),
        settings=Settings(theme="dark", keys={}, problem="", units=""),
        settings_path=tmp_path / "settings.json",
    )
    draw = random.Random(1)
    seconds = []
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause(0.5)
        screen = app.screen
        assert isinstance(screen, EditorScreen)
        lines = [n for n, line in enumerate(screen.area.document.lines) if " source: " in line]
        for _ in range(15):
            screen.area.go_to(draw.choice(lines) + 1, 1000)
            screen.area.insert(" x")
            await pilot.pause(0)
            begun = time.perf_counter()
            screen.check()
            seconds.append(time.perf_counter() - begun)
    note = f"{len(there.load(name).checks)} checks, the longest {max(seconds) * 1e3:.0f}"
    figures.add(f"editor checks {name}, ms", statistics.median(seconds) * 1e3, 50, note)
