"""What the package says of itself, and what of it a wheel must carry."""

from __future__ import annotations

import ast
import importlib
import re
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

import checkrun
from checkrun import locations

CHECKOUT = Path(__file__).parents[2]
PYPROJECT: dict[str, Any] = tomllib.loads((CHECKOUT / "pyproject.toml").read_text("utf-8"))
#: Distributions that are imported by another name.
IMPORTED_AS = {"pyyaml": "yaml"}


def imported(path: Path) -> set[str]:
    """The top-level packages that a module imports, wherever in it."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and not node.level and node.module:
            names.add(node.module.split(".")[0])
    return names


def test_every_package_that_is_imported_is_declared_and_the_other_way_round() -> None:
    used = set().union(*(imported(path) for path in (CHECKOUT / "checkrun").rglob("*.py")))
    outside = used - set(sys.stdlib_module_names) - {"checkrun"}
    words = (re.match(r"[\w-]+", line) for line in PYPROJECT["project"]["dependencies"])
    declared = {word[0].lower() for word in words if word is not None}
    assert outside == {IMPORTED_AS.get(name, name) for name in declared}


def test_the_command_is_the_main_of_the_package() -> None:
    module, function = PYPROJECT["project"]["scripts"]["checkrun"].split(":")
    assert callable(getattr(importlib.import_module(module), function))


def test_the_version_has_one_home_and_three_numbers() -> None:
    assert PYPROJECT["project"]["dynamic"] == ["version"]
    assert PYPROJECT["tool"]["hatch"]["version"]["path"] == "checkrun/__init__.py"
    assert re.fullmatch(r"\d+\.\d+\.\d+", checkrun.__version__)


def test_the_wheel_carries_routes_and_samples_where_the_program_looks_for_them() -> None:
    carried = PYPROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert carried == {
        name: f"checkrun/shipped/{name}" for name in ("checklists", "sample_sessions")
    }
    for name in carried:
        assert locations.shipped(name) == CHECKOUT / name


@pytest.mark.parametrize("name", ["checklists", "sample_sessions"])
def test_an_installed_package_looks_inside_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setattr(locations, "_SHIPPED", tmp_path)
    (tmp_path / name).mkdir()
    assert locations.shipped(name) == tmp_path / name


def test_the_stylesheet_is_inside_the_package() -> None:
    assert (CHECKOUT / "checkrun" / "screens" / "app.tcss").is_file()


def test_the_oldest_python_is_told_alike_everywhere() -> None:
    oldest = re.fullmatch(r">=3\.(\d+)", PYPROJECT["project"]["requires-python"])
    assert oldest is not None
    assert PYPROJECT["tool"]["ruff"]["target-version"] == f"py3{oldest[1]}"
    assert PYPROJECT["tool"]["mypy"]["python_version"] == f"3.{oldest[1]}"
    listed = [c for c in PYPROJECT["project"]["classifiers"] if re.search(r":: 3\.\d+$", c)]
    assert listed[0].endswith(f":: 3.{oldest[1]}")


def test_every_place_can_be_moved_by_the_environment() -> None:
    env = {f"CHECKRUN_{name}": f"/there/{name}" for name in ("STORE", "ROUTES", "CACHE")}
    env["CHECKRUN_SETTINGS"] = "/there/settings.json"
    assert locations.store(env) == Path("/there/STORE")
    assert locations.own_routes(env) == Path("/there/ROUTES")
    assert locations.cache(env) == Path("/there/CACHE")
    assert locations.settings(env) == Path("/there/settings.json")


@pytest.mark.parametrize("env", [{}, {"CHECKRUN_STORE": ""}])
def test_an_unset_or_empty_variable_leaves_the_platforms_own_place(env: dict[str, str]) -> None:
    assert locations.store(env).parts[-2:] == ("checkrun", "sessions")
    assert locations.own_routes(env).parts[-2:] == ("checkrun", "checklists")
    assert locations.settings(env).name == "settings.json"


def test_readme_names_a_test_command_that_installs_what_it_needs() -> None:
    readme = (CHECKOUT / "README.md").read_text("utf-8")
    found = re.search(r"<!-- test command -->\n+```\w*\n(.+?)\n```", readme, re.S)
    assert found is not None
    assert "pip install -e '.[dev]'" in found[1]
    assert found[1].endswith("python -m pytest")
