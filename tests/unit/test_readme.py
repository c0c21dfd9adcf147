"""What README.md shows works as it stands there."""

from __future__ import annotations

import io
import json
import re
import shlex
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
    (folder / "plover-1963.yaml").write_text(text, encoding="utf-8")


def test_the_layer_lints_clean_and_is_taken_for_its_year(
    capsys: pytest.CaptureFixture[str],
) -> None:
    own_layer(block("yaml", "built-on: plover"))
    assert run(["lint", "plover-1963"]) == 0
    assert run(["begin", "plover", "--year", "1963", "--fact", "serial=PL3-00001"]) == 0
    told = capsys.readouterr()
    assert "plover-1963" in told.out.splitlines()[-1]
    assert told.err == ""


def test_a_layer_that_cannot_be_walked_is_told_when_it_is_left_out(
    capsys: pytest.CaptureFixture[str],
) -> None:
    own_layer(block("yaml", "built-on: plover").replace("class: minor", "class: mnior"))
    assert run(["begin", "plover", "--year", "1963", "--fact", "serial=PL3-00001"]) == 0
    assert capsys.readouterr().err == (
        "checkrun: plover-1963 can't be walked and was left out; see: checkrun lint plover-1963\n"
    )


@pytest.mark.parametrize("command", ["weigh", "price"])
def test_what_is_weighed_and_priced_there_can_be(
    command: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    text = block("sh", f"checkrun {command}")
    given = re.search(rf"checkrun {command}.*? <<'END'\n(.*?)END\n", text, re.S)
    assert given is not None
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(given[1].encode())))
    assert run([command, "--json"]) == 0
    told = capsys.readouterr()
    found = json.loads(told.out)
    assert told.err == ""
    if command == "weigh":
        assert 0.6 < found["claims"]["first-body"]["after"] < 0.9
        assert [row["check"] for row in found["next"]] == ["lips"]
    else:
        assert found["p50"] < found["p80"] < found["p90"]
        assert 0 < found["most_to_pay"] < 42500


def test_the_commands_of_the_script_work_one_after_the_other(
    capsys: pytest.CaptureFixture[str],
) -> None:
    first, *rest = block("sh", "id=$(checkrun begin").splitlines()
    begin = re.fullmatch(r"id=\$\(checkrun (.*)\)", first)
    assert begin is not None
    assert run(shlex.split(begin[1])) == 0
    name = capsys.readouterr().out.split()[-1]
    commands = [part for line in rest for part in line.split("; ")]
    assert len(commands) >= 9
    for command in commands:
        words = shlex.split(command.replace("$id", name))
        assert words[0] == "checkrun"
        assert run(words[1:]) == 0, command
    assert capsys.readouterr().err == ""


def test_the_checks_and_the_picture_it_names_are_there() -> None:
    route = (locations.shipped("checklists") / "frame-composite.yaml").read_text("utf-8")
    for check in re.findall(r'checkrun answer "\$id" (\S+)', README.read_text("utf-8")):
        assert f"- id: {check}\n" in route
    (picture,) = re.findall(r"!\[.*?\]\((.*?)\)", README.read_text("utf-8"))
    assert (README.parent / picture.replace("%5B", "[").replace("%5D", "]")).is_file()
