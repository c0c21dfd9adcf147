"""How texts are broken into lines: nothing too wide, nothing lost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from checkrun.report.sheet import Row
from checkrun.screens.widgets.painted import printable, wrap
from checkrun.screens.widgets.sheet import LABEL, _lines

texts = st.text(max_size=60) | st.text("ab \n漢é\u0301\t-", max_size=60)


@given(texts, st.integers(-2, 40), st.integers(0, 12))
def test_no_line_is_wider_than_asked_and_no_character_is_lost(
    text: str, width: int, taken: int
) -> None:
    lines = wrap(text, width, taken)
    room = max(width, 1)
    for place, line in enumerate(lines):
        there = room - (min(taken, room - 1) if place == 0 else 0)
        assert cell_len(line) <= there or len(line) == 1
    kept = "".join("".join(lines).split())
    assert kept == "".join("".join(printable(part) for part in text.splitlines()).split())


@given(st.lists(st.text("abcdefgh", min_size=1, max_size=8), max_size=12), st.integers(8, 30))
def test_words_that_fit_are_not_broken(words: list[str], width: int) -> None:
    assert " ".join(wrap(" ".join(words), width)).split() == words


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [
        ("", 5, [""]),
        ("one two three", 7, ["one two", "three"]),
        ("one\n\ntwo", 9, ["one", "", "two"]),
        ("abcdefgh", 3, ["abc", "def", "gh"]),
        ("a 漢漢漢", 5, ["a", "漢漢", "漢"]),
        ("a\tb\x1b[31m", 20, ["a b [31m"]),
    ],
)
def test_lines_are_broken_as_a_reader_expects(text: str, width: int, lines: list[str]) -> None:
    assert wrap(text, width) == lines


def test_room_taken_on_the_first_line_is_left_free() -> None:
    assert wrap("one two three", 9, 5) == ["one", "two three"]


@given(texts, st.integers(1, 120), st.sampled_from(["", "how", "! concern", "▲ CARE"]))
def test_rows_of_a_sheet_fit_their_width(text: str, width: int, label: str) -> None:
    for line in _lines(Row(label, text), width):
        told = "".join(part for part, _ in line)
        if width > LABEL + 2:
            assert cell_len(told) <= width
