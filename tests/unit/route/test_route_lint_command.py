"""`checkrun lint` as it is called: what it prints and its exit status."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from checkrun.cli import run

BAD = Path(__file__).parents[2] / "data" / "bad"


@pytest.fixture(autouse=True)
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder for each thing of one's own, so that nothing of this machine is read."""
    for what in ("ROUTES", "CACHE", "STORE"):
        monkeypatch.setenv(f"CHECKRUN_{what}", str(tmp_path / what.lower()))
    monkeypatch.setenv("CHECKRUN_SETTINGS", str(tmp_path / "settings.json"))
    (tmp_path / "routes").mkdir()
    return tmp_path / "routes"


def test_a_sound_route_is_read_without_a_word_of_blame(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["lint", str(BAD / "sound.yaml")]) == 0
    assert capsys.readouterr() == ("1 route read, no problem.\n", "")


def test_a_problem_is_shown_with_its_line_a_caret_and_what_to_do(
    capsys: pytest.CaptureFixture[str],
) -> None:
    path = BAD / "after-other-script.yaml"
    assert run(["lint", str(path)]) == 1
    line = '    - {id: serial, ask: "Nº du châssis, 底盤 🚗", marc: chassis-serial}'
    out, err = capsys.readouterr()
    assert out.splitlines() == [
        f"{path}:10:48: R020 `marc` is not a key of a fact",
        f"    {line}",
        f"{' ' * (4 + 47 + 3)}^",  # three of the characters before it are two cells wide
        "    Did you mean `mark`?",
        "1 route read, 1 problem.",
    ]
    assert err == ""


def test_all_problems_of_several_routes_are_told_in_order(
    capsys: pytest.CaptureFixture[str],
) -> None:
    names = [str(BAD / f"{name}.yaml") for name in ("unit-in-number", "many", "sound")]
    assert run(["lint", *names]) == 1
    out = capsys.readouterr().out.splitlines()
    heads = [line for line in out if line.startswith(str(BAD))]
    assert len(heads) == 10
    assert [Path(line.split(":")[0]).stem for line in heads] == ["many"] * 9 + ["unit-in-number"]
    assert out[-1] == "3 routes read, 10 problems."


def test_a_text_that_is_only_risky_counts_as_not_in_order(
    capsys: pytest.CaptureFixture[str],
) -> None:
    path = BAD / "text-no.yaml"
    assert run(["lint", "--json", str(path)]) == 1
    assert json.loads(capsys.readouterr().out) == [
        {
            "file": str(path),
            "line": 30,
            "column": 15,
            "problem": "other YAML readers take `no` for true or false",
            "hint": 'If the text is meant, put it in quotes: "no".',
            "code": "R026",
            "warning": True,
        }
    ]


def test_the_data_form_of_no_problem_is_an_empty_list(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["lint", "--json", str(BAD / "sound.yaml")]) == 0
    assert json.loads(capsys.readouterr().out) == []


def test_an_unknown_route_is_wrong_use_and_the_nearest_name_is_offered(
    capsys: pytest.CaptureFixture[str], own: Path
) -> None:
    (own / "ash-tourer.yaml").write_text("format: 1\n", "utf-8")
    assert run(["lint", "ash-touring"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err == "checkrun: there is no route `ash-touring`. Did you mean `ash-tourer`?\n"


def test_a_file_that_is_not_there_is_wrong_use(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "nowhere.yaml"
    assert run(["lint", str(path)]) == 2
    assert capsys.readouterr().err == f"checkrun: there is no file {path}\n"


def test_an_unknown_option_is_wrong_use(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["lint", "--nonsense"]) == 2
    assert "unrecognized arguments: --nonsense" in capsys.readouterr().err


def test_without_a_name_ones_own_routes_are_read_too(
    capsys: pytest.CaptureFixture[str], own: Path
) -> None:
    (own / "mine.yaml").write_text("format: 2\n", "utf-8")
    assert run(["lint", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    mine = [problem for problem in told if problem["file"] == str(own / "mine.yaml")]
    assert mine[0]["problem"] == "a route has no `car`"
    assert "format `2` is not known here" in [problem["problem"] for problem in mine]


def test_a_control_character_is_not_passed_on_to_the_terminal(
    capsys: pytest.CaptureFixture[str], own: Path
) -> None:
    (own / "red.yaml").write_bytes(b'title: \x1b[31mred\x07\nother: "\\e[31m"\n')
    (own / "escape.yaml").write_text('title: x\n"\\e[31mkey": 1\n', "utf-8")
    assert run(["lint", str(own / "red.yaml"), str(own / "escape.yaml")]) == 1
    out = capsys.readouterr().out
    assert "U+001B" in out
    assert not [sign for sign in out if ord(sign) < 32 and sign != "\n"]
