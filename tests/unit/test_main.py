"""`python -m checkrun`: the version at once, everything else to the command line."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from checkrun import __version__, cli
from checkrun.__main__ import main

CHECKOUT = Path(__file__).parents[2]


def test_the_version_is_told_without_loading_anything_heavy() -> None:
    code = (
        "import sys\nsys.argv = ['checkrun', '--version']\n"
        "from checkrun.__main__ import main\nassert main() == 0\nprint(' '.join(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONPATH": str(CHECKOUT)},
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    said, modules = done.stdout.splitlines()
    assert said == f"checkrun {__version__}"
    loaded = set(modules.split())
    assert "checkrun.__main__" in loaded
    assert loaded.isdisjoint({"yaml", "tinydb", "textual", "rich", "argparse", "platformdirs"})


@pytest.mark.parametrize("arguments", [[], ["sessions", "--json"], ["--version", "--help"]])
def test_everything_else_goes_to_the_command_line_and_its_status_comes_back(
    monkeypatch: pytest.MonkeyPatch, arguments: list[str]
) -> None:
    called: list[list[str]] = []

    def run(argv: list[str]) -> int:
        called.append(argv)
        return 7

    monkeypatch.setattr(cli, "run", run)
    monkeypatch.setattr(sys, "argv", ["checkrun", *arguments])
    assert main() == 7
    assert called == [arguments]
