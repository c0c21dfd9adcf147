"""What README.md shows works as it stands there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from checkrun import locations
from checkrun.cli import run

README = Path(__file__).parents[2] / "README.md"


def block(language: str, holding: str) -> str:
    """The fenced block of a language that holds some words."""
    blocks = re.findall(rf"```{language}\n(.*?)```", README.read_text("utf-8"), re.S)
    return next(text for text in blocks if holding in text)


def own_layer(text: str) -> None:
    folder = locations.own_routes()
    folder.mkdir(parents=True)
    (folder / "plover-1965.yaml").write_text(text, encoding="utf-8")


def test_the_layer_lints_clean_and_is_taken_for_its_year(
    capsys: pytest.CaptureFixture[str],
) -> None:
    own_layer(block("yaml", "built-on: plover"))
    assert run(["lint", "plover-1965"]) == 0
    assert run(["begin", "plover", "--year", "1965", "--fact", "serial=PL5-00001"]) == 0
    told = capsys.readouterr()
    assert "plover-1965" in told.out.splitlines()[-1]
    assert told.err == ""


def test_a_layer_that_cannot_be_walked_is_told_when_it_is_left_out(
    capsys: pytest.CaptureFixture[str],
) -> None:
    own_layer(block("yaml", "built-on: plover").replace("class: minor", "class: mnior"))
    assert run(["begin", "plover", "--year", "1965", "--fact", "serial=PL5-00001"]) == 0
    assert capsys.readouterr().err == (
        "checkrun: plover-1965 can't be walked and was left out; see: checkrun lint plover-1965\n"
    )


def test_the_checks_and_the_picture_it_names_are_there() -> None:
    route = (locations.shipped("checklists") / "frame-composite.yaml").read_text("utf-8")
    for check in re.findall(r'checkrun answer "\$id" (\S+)', README.read_text("utf-8")):
        assert f"- id: {check}\n" in route
    (picture,) = re.findall(r"!\[.*?\]\((.*?)\)", README.read_text("utf-8"))
    assert (README.parent / picture.replace("%5B", "[").replace("%5D", "]")).is_file()
