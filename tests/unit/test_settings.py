from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as effort
from hypothesis import strategies as st

from checkrun.settings import Settings, load, save


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "config" / "settings.json"


def write(path: Path, text: str | bytes) -> Path:
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def test_no_file_means_the_defaults(path: Path) -> None:
    assert load(path) == Settings("dark", {}, "")


def test_what_is_written_is_taken(path: Path) -> None:
    write(path, '{"theme": "light", "keys": {"walk.pass": "g"}}')
    assert load(path) == Settings("light", {"walk.pass": "g"}, "")


def test_a_byte_order_mark_as_some_editors_write_it_is_no_problem(path: Path) -> None:
    assert load(write(path, b'\xef\xbb\xbf{"theme": "light"}')).theme == "light"


_SHAPE = '{path}: write {{"theme": "dark", "keys": {{"walk.pass": "g"}}}}'


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "{path}:1:1: Expecting value"),
        ('{\n  "theme": dark}', "{path}:2:12: Expecting value"),
        ("[]", "{path}: a mapping is expected"),
        ('{"theme": 3}', _SHAPE),
        ('{"keys": ["p"]}', _SHAPE),
        (
            '{"keys": {"walk.pass": 1}}',
            '{path}: write {{"theme": "dark", "keys": {{"walk.pass": "g"}}}}',
        ),
        ("[" * 100_000, "{path} can't be read: too deep, or a number without end"),
        ('{"a": ' + "1" * 5000 + "}", "{path} can't be read: too deep, or a number without end"),
    ],
    ids=range(8),
)
def test_a_broken_file_gives_the_defaults_and_says_where(
    path: Path, text: str, problem: str
) -> None:
    found = load(write(path, text))
    assert (found.theme, found.keys) == ("dark", {})
    assert found.problem == problem.format(path=path)


def test_a_file_that_is_no_text_or_no_file_is_told(path: Path) -> None:
    assert load(write(path, b"\xff\xfe\x00")).problem.startswith(f"{path} can't be read: ")
    path.unlink()
    path.mkdir()
    assert load(path).problem.startswith(f"{path} can't be read: ")


def test_a_theme_is_kept_in_a_new_file(path: Path) -> None:
    save(path, "theme", "contrast")
    assert load(path) == Settings("contrast", {}, "")


def test_keeping_a_theme_leaves_everything_else_in_the_file(path: Path) -> None:
    write(path, '{"later": [1, "ü"], "keys": {"walk.pass": "g"}, "theme": "dark"}')
    save(path, "theme", "light")
    assert json.loads(path.read_text("utf-8")) == {
        "later": [1, "ü"],
        "keys": {"walk.pass": "g"},
        "theme": "light",
    }
    assert [*path.parent.iterdir()] == [path]


def test_a_broken_file_is_not_written_over(path: Path) -> None:
    write(path, "{")
    save(path, "theme", "light")
    assert path.read_text() == "{"


def test_what_can_not_be_kept_is_an_error(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(path, '{"theme": "dark"}')

    def refuse(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(OSError, match="No space left"):
        save(path, "theme", "light")
    assert load(path).theme == "dark"


@effort(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=40) | st.text(max_size=40).map(str.encode))
def test_any_bytes_give_settings_or_a_problem(path: Path, raw: bytes) -> None:
    found = load(write(path, raw))
    assert found.problem or isinstance(found.theme, str)


def test_units_are_taken_and_kept_beside_the_rest(path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text('{"units": "us", "mine": 1}', encoding="utf-8")
    assert load(path).units == "us"
    save(path, "units", "metric")
    assert json.loads(path.read_text(encoding="utf-8")) == {"units": "metric", "mine": 1}


def test_unknown_units_are_told(path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text('{"units": "furlongs"}', encoding="utf-8")
    assert load(path).problem == f'{path}: "units" is "metric", "us" or ""'
