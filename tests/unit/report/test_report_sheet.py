"""One check as rows: what can hurt stands before how it is done."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from checkrun.report.glyphs import ASCII, UNICODE
from checkrun.report.sheet import Row, check_rows, entered_rows, reading_prompt
from checkrun.route.model import Check, Group, Place, Reading, Result, Severity, Station
from checkrun.session.fold import Answer, CheckState

CHECK = Check(
    "hose",
    "Hose from the pump",
    how="Bend it, look for cracks.",
    on_pass="Supple.",
    on_concern="Hard.",
    on_fail="Cracked or wet.",
    why="It hangs over the exhaust.",
    caution="Fuel: no lamp with a bulb.",
    reading=Reading("measure", "mm"),
    tools=("torch", "mirror"),
    severity=Severity.DANGEROUS,
    group=Group.SAFETY,
    source="common practice",
)
BAY = Station("bay", "Engine bay", Place(0, 0, 0.8), caution="Fan may start by itself.")


def test_a_full_check_from_what_can_hurt_to_its_source() -> None:
    assert list(check_rows(CHECK, BAY, CheckState(), UNICODE)) == [
        Row("", "Hose from the pump", "ask"),
        Row("▲ CARE", "Fan may start by itself.", "caution"),
        Row("▲ CARE", "Fuel: no lamp with a bulb.", "caution"),
        Row("how", "Bend it, look for cracks."),
        Row("read", "measure in mm"),
        Row("✓ pass", "Supple.", "pass"),
        Row("! concern", "Hard.", "concern"),
        Row("✗ fail", "Cracked or wet.", "fail"),
        Row("why", "It hangs over the exhaust."),
        Row("class", "dangerous if it fails; safety", "quiet"),
        Row("with", "torch, mirror", "quiet"),
        Row("source", "common practice", "quiet"),
    ]


def test_what_a_check_has_not_takes_no_row() -> None:
    bare = Check("a", "Look", "How", "P", "C", "F")
    labels = [
        row.label
        for row in check_rows(bare, Station("s", "S", Place(0, 0, 0)), CheckState(), ASCII)
    ]
    assert labels == ["", "how", "+ pass", "! concern", "x fail", "class"]


def answered(result: Result, why: str = "", **more: Any) -> CheckState:
    return CheckState(Answer(result, why, datetime(2026, 3, 14, tzinfo=UTC)), **more)


@pytest.mark.parametrize(
    ("state", "rows"),
    [
        (CheckState(), [Row("result", "· open", "open")]),
        (CheckState(aside=2), [Row("result", "… set aside", "aside")]),
        (answered(Result.PASS), [Row("result", "✓ pass", "pass")]),
        (
            answered(Result.NOT_EXAMINED, "no lift"),
            [Row("result", "? not examined: no lift", "not-examined")],
        ),
        (
            answered(Result.FAIL, reading="0", reading_unit="mm", note="[mm] twice\nread"),
            [
                Row("result", "✗ fail; reads 0 mm", "fail"),
                Row("note", "[mm] twice\nread", "entered"),
            ],
        ),
        (
            CheckState(reading="3,5 in", reading_unit="mm"),
            [Row("result", "· open; reads 3,5 in", "entered")],
        ),
    ],
)
def test_what_was_entered_is_told_with_glyph_and_word(state: CheckState, rows: list[Row]) -> None:
    assert list(entered_rows(state, UNICODE)) == rows


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        (Reading("measure", "mm"), "measure in mm"),
        (Reading("date-code"), "date code"),
        (
            Reading("measure", "mm", {"points": ["front", "rear"], "tool": "gauge"}),
            "measure in mm at front, rear; gauge",
        ),
        (Reading("paint", "µm", {"panels": ["roof"]}), "paint in µm at roof"),
        (
            Reading("choice", "", {"choices": {"dry": "pass", "wet": "fail"}, "hold": "5 s"}),
            "choice (dry / wet); 5 s",
        ),
        (
            Reading("measure", "mm", {"points": "front", "choices": ["a"], "tool": 3}),
            "measure in mm",
        ),
    ],
)
def test_what_is_to_be_read_in_a_few_words(reading: Reading, words: str) -> None:
    assert reading_prompt(reading) == words
