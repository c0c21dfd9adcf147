"""How texts are broken into lines: nothing too wide, nothing lost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from textual.geometry import Size

from checkrun.report.sheet import Row
from checkrun.screens.widgets.painted import printable, wrap
from checkrun.screens.widgets.picklist import PickList
from checkrun.screens.widgets.sheet import LABEL, Sheet, _lines

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


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [
        ("  mean   1 270", 20, ["  mean   1 270"]),  # a column stays where it is
        ("     5  8", 20, ["     5  8"]),
        ("  one two three", 9, ["  one two", "three"]),
        ("one\n  two", 9, ["one", "  two"]),
        ("   ", 9, ["   "]),
        ("        one", 8, ["one"]),  # no room for words beside it
        ("  abcdefgh", 6, ["  abcd", "efgh"]),
    ],
)
def test_what_stands_indented_stays_so_while_there_is_room(
    text: str, width: int, lines: list[str]
) -> None:
    assert wrap(text, width) == lines


def test_a_sheet_asks_for_its_rows_by_the_width_there_is() -> None:
    """Rows that hang on the width are made while they are painted, at every size anew."""
    asked: list[int] = []

    def rows(width: int) -> list[Row]:
        asked.append(width)
        return [Row("", "#" * width), Row("", "second"), Row("", "third")]

    sheet = Sheet()
    sheet.show(rows)
    for width in (12, 30):
        assert next(iter(sheet.make(width, 3))) == (("#" * width, "text"),)
        assert sheet.get_content_height(Size(width, 3), Size(width, 3), width) == 3
    assert set(asked) == {12, 30}
    sheet.show([Row("", "one")])
    assert [*sheet.make(30, 3)] == [(("one", "text"),)]


def test_a_list_keeps_its_marked_row_in_sight_below_its_head() -> None:
    picked = PickList(">", id="items")
    rows = [[(f"row {n}", "text")] for n in range(20)]
    picked.show(rows, 0, "head")

    def told() -> list[str]:
        return ["".join(part for part, _ in row).rstrip() for row in picked.make(12, 5)]

    assert told() == ["  head", "> row 0", "  row 1", "  row 2", "  row 3"]
    for by, at in ((1, 1), (9, 10), (30, 19), (-40, 0)):
        picked.mark(by)
        assert picked.at == at
        assert f"> row {at}" in told()
    picked.show(rows[:3], 99)
    assert (picked.at, told()) == (2, ["  row 0", "  row 1", "> row 2"])
    picked.show([])
    assert (picked.at, told()) == (0, [])
    picked.show(rows)
    assert picked.at == 0
