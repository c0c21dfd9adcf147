"""What is loaded for what: each question is asked in an interpreter of its own."""

from __future__ import annotations

import json
import os
import pkgutil
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[2]
CORE = ("route", "session", "weigh", "report")
#: The modules that only the screens, only the reader of routes, and only the writer need.
SCREENS = {"textual", "rich"}


def modules_of(package: str) -> list[str]:
    """Every module of a package of checkrun."""
    path = import_module(f"checkrun.{package}").__path__
    names = [found.name for found in pkgutil.walk_packages(path, f"checkrun.{package}.")]
    assert len(names) > 0
    return [f"checkrun.{package}", *names]


def loaded_by(code: str, *watched: str) -> set[str]:
    """Which of some packages are loaded after a piece of code has run."""
    tail = f"\nimport json, sys\nprint(json.dumps([n for n in {watched!r} if n in sys.modules]))"
    done = subprocess.run(
        [sys.executable, "-c", code + tail],
        capture_output=True,
        text=True,
        check=False,
        cwd=CHECKOUT,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT)},
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    return set(json.loads(done.stdout.splitlines()[-1]))


def command(*argv: str, status: int = 0) -> str:
    """Code that runs a command in the same interpreter."""
    return f"from checkrun.cli import run\nassert run({argv!r}) == {status}"


@pytest.mark.parametrize("package", CORE)
def test_a_core_package_loads_without_the_screens_libraries(package: str) -> None:
    code = "\n".join(f"import {name}" for name in modules_of(package))
    assert loaded_by(code, *SCREENS) == set()


def test_the_commands_line_loads_nothing_but_the_standard_library() -> None:
    watched = (*SCREENS, "yaml", "tinydb", "platformdirs", "checkrun.route", "checkrun.session")
    assert loaded_by("import checkrun.cli", *watched) == set()
    assert loaded_by(command("--version"), *watched) == set()
    assert loaded_by(command("--help"), *watched) == set()


def test_listing_sessions_needs_neither_yaml_nor_tinydb(tmp_path: Path) -> None:
    code = command("sessions", "--store", str(tmp_path))
    assert loaded_by(code, *SCREENS, "yaml", "tinydb") == set()


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store with one session, begun by a command that loads no screen either."""
    folder = tmp_path_factory.mktemp("store")
    code = command(
        *("begin", "plover", "--year", "1966", "--fact", "serial=PL6-02417"),
        *("--store", str(folder)),
    )
    assert loaded_by(code, *SCREENS) == set()
    return folder


def first_check(store: Path) -> str:
    from checkrun.session.clock import now
    from checkrun.session.store import Store

    there = Store(store, now)
    return there.open(there.ids()[0], write=False).walk.sequence[0]


@pytest.mark.parametrize("name", ["summary", "answer", "verify", "sign"])
def test_a_command_on_a_session_needs_neither_screens_nor_yaml(store: Path, name: str) -> None:
    rest = {"answer": (first_check(store), "pass"), "sign": ("--name", "Ines")}.get(name, ())
    code = command(name, "plover", *rest, "--store", str(store))
    if name == "sign":
        code += "\n" + command("reopen", "plover", "--why", "again", "--store", str(store))
    assert loaded_by(code, *SCREENS, "yaml") == set()


@pytest.fixture
def as_written(tmp_path: Path) -> str:
    """Code that opens a walk in its author's order, as `walk` and `session`."""
    return f"""
from dataclasses import replace
from pathlib import Path
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Order, Result
from checkrun.session.clock import now
from checkrun.session.store import Store
import sys
route = Catalog([Folder(Path("checklists"), "shipped")]).for_year("plover", 1966)
sys.modules.pop("checkrun.route.planner", None)
route = replace(route, order=Order.AS_WRITTEN)
session = Store(Path({str(tmp_path)!r}), now).create(route, 1966, {{"serial": "PL6-02417"}})
walk = session.walk
"""


def test_the_planner_is_loaded_when_a_round_of_what_is_left_is_planned(as_written: str) -> None:
    planner = "checkrun.route.planner"
    on_the_way = as_written + "session.answer_many(walk.sequence[:5], Result.PASS); walk.at"
    assert loaded_by(on_the_way, planner) == set()
    first, last = "walk.stations[0].checks[0].id", "walk.stations[3].checks[0].id"
    left = f"but = ({first}, {last})\nrest = [c for c in walk.sequence if c not in but]\n"
    to_the_end = as_written + left + "session.answer_many(rest, Result.PASS)\n"
    assert loaded_by(to_the_end, planner) == set()
    assert loaded_by(to_the_end + "walk.at", planner) == {planner}


def test_lint_reads_yaml_but_no_screen() -> None:
    assert loaded_by(command("lint", "plover"), *SCREENS, "yaml", "tinydb") == {"yaml"}


def test_the_questions_can_be_answered_wrongly() -> None:
    """The way of asking sees what is there: a screen does load textual."""
    assert loaded_by("import checkrun.screens.app", *SCREENS) == SCREENS
