"""`checkrun dry-run` in a real terminal: answers come by a key, and nothing of it is left."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from realterm import ENTER, Terminal

from checkrun import locations

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")


@pytest.fixture
def temporary(tmp_path: Path) -> Path:
    """Where the program makes its temporary folders."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    return folder


@pytest.mark.parametrize("size", [(60, 20), (100, 30), (160, 45)])
def test_a_dry_run_answers_by_a_key_and_leaves_nothing(
    temporary: Path, size: tuple[int, int]
) -> None:
    env = {"TMPDIR": str(temporary)}
    with Terminal("dry-run", "plover", "--year", "1966", env=env, size=size) as term:
        term.until("dry run: nothing is kept")
        term.until("Enter invented answer")
        term.settle()
        (folder,) = temporary.iterdir()
        assert folder.name.startswith("checkrun-dry-run-")
        term.press(ENTER)
        term.until("Invented: ")
        term.press(ENTER, ENTER)
        term.until(lambda: " 3/" in term.lines[0])
        assert list(folder.glob("*plover-1966*.json"))
        term.press("o")
        term.until(lambda: " 5/" in term.lines[0])
        term.press("o")
        term.until("Stopped.")
        term.press("n")
        term.until("F10 keep it")
        term.press("half a note")
        term.until("half a note")
        term.press("\x1b[20~")
        term.until("dry run: nothing is kept")
        term.settle()
        term.press("q")
        assert term.wait_for_exit() == 0
    assert list(temporary.iterdir()) == []
    assert not locations.store().exists()


def test_a_dry_run_is_the_same_the_next_time(temporary: Path) -> None:
    seen = []
    for _ in range(2):
        with Terminal("dry-run", "plover", env={"TMPDIR": str(temporary)}) as term:
            term.until("Enter invented answer")
            term.settle()
            told = []
            for n in range(1, 6):
                term.press(ENTER)
                term.until(lambda n=n: f" {n}/" in term.lines[0].split("standing")[-1])
                term.settle()
                told.append(term.text)
            seen.append(told)
            term.press("q")
            assert term.wait_for_exit() == 0
    assert seen[0] == seen[1]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("nowhere",), "there is no route `nowhere`"),
        (("plover", "--year", "1900"), "`plover` covers 1963-1968, not 1900"),
    ],
)
def test_what_cannot_be_walked_is_told_in_one_line(
    temporary: Path, arguments: tuple[str, ...], told: str
) -> None:
    with Terminal("dry-run", *arguments, env={"TMPDIR": str(temporary)}) as term:
        term.until(told)
        assert term.wait_for_exit() == 2
    assert list(temporary.iterdir()) == []
