"""The commands for authors: `differ`, `new-year` and `lint --fix`."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from checkrun.commands import Arguments
from checkrun.commands.authoring import differ, new_year
from checkrun.commands.context import WrongUse
from checkrun.commands.routes import lint

SOUND = Path(__file__).parents[1] / "data" / "bad" / "sound.yaml"


@pytest.fixture(autouse=True)
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for each thing of one's own, so that nothing of this machine is read or changed."""
    for what in ("ROUTES", "CACHE", "STORE"):
        monkeypatch.setenv(f"CHECKRUN_{what}", str(tmp_path / what.lower()))
    return tmp_path / "routes"


def test_differ_prints_text_and_data(capsys: pytest.CaptureFixture[str]) -> None:
    assert differ(Arguments(route="plover", year=1964, other=1966, json=False)) == 0
    out, err = capsys.readouterr()
    assert out.startswith("1964: Brackwell Plover 1964")
    assert err == ""
    assert differ(Arguments(route="plover", year=1964, other=1966, json=True)) == 0
    assert json.loads(capsys.readouterr().out)["route"] == "plover"


def test_differ_says_which_of_ones_own_layers_was_left_out(
    capsys: pytest.CaptureFixture[str], own: Path
) -> None:
    own.mkdir()
    (own / "plover-1965.yaml").write_text("format: 1\n", "utf-8")
    assert differ(Arguments(route="plover", year=1964, other=1966, json=False)) == 0
    assert "checkrun: plover-1965 can't be walked and was left out" in capsys.readouterr().err


def test_new_year_writes_a_layer_into_ones_own_folder_and_never_over_a_file(
    capsys: pytest.CaptureFixture[str], own: Path
) -> None:
    own.mkdir()
    (own / "sound.yaml").write_bytes(SOUND.read_bytes())
    assert new_year(Arguments(route="sound", year=1960, to=None)) == 0
    path = own / "sound-1960.yaml"
    out, err = capsys.readouterr()
    assert out == f"{path}\n"
    assert err == "checkrun: laid over sound; edit it, then: checkrun lint sound-1960\n"
    assert lint(Arguments(routes=["sound-1960"], fix=False, json=False)) == 0
    text = path.read_text("utf-8")
    with pytest.raises(WrongUse, match=r"there is a layer `sound-1960` already: .*Give another"):
        new_year(Arguments(route="sound", year=1960, to=None))
    with pytest.raises(WrongUse, match="is there already, and is left as it is"):
        new_year(Arguments(route="sound", year=1960, to=str(path)))
    assert path.read_text("utf-8") == text


def test_new_year_makes_the_folder_and_takes_a_file_name(
    capsys: pytest.CaptureFixture[str], own: Path, tmp_path: Path
) -> None:
    assert new_year(Arguments(route="plover", year=1962, to=None)) == 0
    assert (own / "plover-1962.yaml").is_file()
    path = tmp_path / "elsewhere" / "my-plover.yaml"
    assert new_year(Arguments(route="plover", year=1962, to=str(path))) == 0
    assert "\nid: my-plover\n" in path.read_text("utf-8")
    assert "built-on: plover-1962" in path.read_text("utf-8")
    assert lint(Arguments(routes=[str(path)], fix=False, json=False)) == 0
    capsys.readouterr()


@pytest.mark.parametrize("name", ["Plover.yaml", "plover.yml", "plover 1962.yaml", "plover"])
def test_a_file_name_that_makes_no_route_is_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(WrongUse, match="can't be a route"):
        new_year(Arguments(route="plover", year=1962, to=str(tmp_path / name)))
    assert not (tmp_path / name).exists()


def test_a_layer_whose_route_can_not_be_found_from_there_is_not_written(
    tmp_path: Path, own: Path
) -> None:
    (tmp_path / "away").mkdir()
    (tmp_path / "away" / "sound.yaml").write_bytes(SOUND.read_bytes())
    route = str(tmp_path / "away" / "sound.yaml")
    with pytest.raises(WrongUse, match="no layer can be made here: there is no route `sound`"):
        new_year(Arguments(route=route, year=1960, to=None))
    assert not own.exists()
    beside = tmp_path / "away" / "sound-1960.yaml"
    assert new_year(Arguments(route=route, year=1960, to=str(beside))) == 0


def test_a_year_that_is_none_is_refused() -> None:
    with pytest.raises(WrongUse, match="1066 is no model year"):
        new_year(Arguments(route="plover", year=1066, to=None))


@pytest.fixture
def broken(own: Path) -> Path:
    """Four mistakes, two of them to be repaired."""
    own.mkdir()
    text = SOUND.read_text("utf-8")
    for old, new in (
        ("id: sound", "id: mine"),
        ("years: 1953-1975", "years: 1975-1953"),
        ("minutes: 1\n", "minutes: 1,5  # or two\n"),
        ("place: tail", "place: tial"),
        ("pass: Soft, no gap.", "pass: OK"),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    path = own / "mine.yaml"
    path.write_bytes(text.replace("\n", "\r\n").encode())
    path.chmod(0o640)
    return path


def test_fix_repairs_what_is_safe_keeps_a_backup_and_tells_the_rest(
    capsys: pytest.CaptureFixture[str], broken: Path
) -> None:
    was = broken.read_bytes()
    assert lint(Arguments(routes=["mine"], fix=True, json=False)) == 1
    out, err = capsys.readouterr()
    assert out.splitlines()[:4] == [
        f"{broken}:6:10: R028 the years 1975-1953 run backwards",
        "    Fixed: `1975-1953` is now `1953-1975`.",
        f"{broken}:33:18: R023 `1,5` is not a number",
        "    Fixed: `1,5` is now `1.5`.",
    ]
    assert out.splitlines()[-1] == "1 route read, 2 fixed, 2 problems."
    assert err == f"checkrun: {broken} as it was is kept in mine.yaml.backup-1\n"
    now = was.replace(b"1975-1953", b"1953-1975").replace(b"1,5  #", b"1.5  #")
    assert broken.read_bytes() == now
    assert broken.with_name("mine.yaml.backup-1").read_bytes() == was
    assert broken.stat().st_mode & 0o777 == 0o640
    assert sorted(path.name for path in broken.parent.iterdir()) == [
        "mine.yaml",
        "mine.yaml.backup-1",
    ]
    assert lint(Arguments(routes=["mine"], fix=True, json=False)) == 1
    assert broken.read_bytes() == now, "there is nothing more to repair, and nothing is written"
    assert not broken.with_name("mine.yaml.backup-2").exists()


def test_fix_tells_data_what_was_fixed_and_what_is_left(
    capsys: pytest.CaptureFixture[str], broken: Path
) -> None:
    assert lint(Arguments(routes=["mine"], fix=True, json=True)) == 1
    told = json.loads(capsys.readouterr().out)
    assert [(one["line"], one["code"], one.get("fixed")) for one in told] == [
        (6, "R028", "1953-1975"),
        (33, "R023", "1.5"),
        (39, "R041", None),
        (45, "R071", None),
    ]


def test_without_fix_nothing_is_changed(capsys: pytest.CaptureFixture[str], broken: Path) -> None:
    was = broken.read_bytes()
    assert lint(Arguments(routes=["mine"], fix=False, json=False)) == 1
    assert broken.read_bytes() == was
    assert capsys.readouterr().out.splitlines()[-1] == "1 route read, 4 problems."


def test_fix_never_changes_what_was_installed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "shipped"
    folder.mkdir()
    path = folder / "sound.yaml"
    path.write_text(SOUND.read_text("utf-8").replace("1953-1975", "1975-1953"), "utf-8")
    monkeypatch.setattr("checkrun.locations.shipped", lambda name: folder)
    was = path.read_bytes()
    assert lint(Arguments(routes=[str(path)], fix=True, json=False)) == 1
    assert path.read_bytes() == was
    assert [file.name for file in folder.iterdir()] == ["sound.yaml"]
    capsys.readouterr()


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_can_not_be_written_is_wrong_use(broken: Path) -> None:
    broken.parent.chmod(0o500)
    try:
        with pytest.raises(WrongUse, match="can't be changed: permission denied"):
            lint(Arguments(routes=["mine"], fix=True, json=False))
    finally:
        broken.parent.chmod(0o700)


def test_all_routes_together_are_told_how_they_go_with_each_other(
    capsys: pytest.CaptureFixture[str], own: Path
) -> None:
    own.mkdir()
    (own / "sound.yaml").write_bytes(SOUND.read_bytes())
    for year in (1960, 1962):
        (own / f"sound-{year}.yaml").write_text(
            f"format: 1\nid: sound-{year}\nbuilt-on: sound\ncar: {{years: {year}}}\n", "utf-8"
        )
    lint(Arguments(routes=[], fix=False, json=True))
    told = json.loads(capsys.readouterr().out)
    mine = [one for one in told if one["file"] == str(own / "sound-1962.yaml")]
    assert [(one["line"], one["code"]) for one in mine] == [(4, "R075")]
    assert lint(Arguments(routes=["sound-1962"], fix=False, json=False)) == 0
