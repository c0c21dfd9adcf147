"""Claims in words: what a person reads of a belief."""

from __future__ import annotations

import pytest

from checkrun.report.claims import as_text, bar, claim_rows, next_rows, percent, said_odds
from checkrun.report.glyphs import ASCII, UNICODE
from checkrun.weigh.evidence import Observed, weigh
from checkrun.weigh.nextbest import Next


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.5, "50.0 %"),
        (0.8765, "87.6 %"),
        (0.999, "99.9 %"),
        (0.99901, "over 99.9 %"),
        (1.0, "over 99.9 %"),
        (0.001, "0.1 %"),
        (0.0009, "under 0.1 %"),
        (0.0, "under 0.1 %"),
    ],
)
def test_no_probability_is_told_as_certain(probability: float, words: str) -> None:
    assert percent(probability) == words


@pytest.mark.parametrize(
    ("odds", "words"),
    [
        (1, "even"),
        (1.04, "even"),
        (0.97, "even"),
        (1.06, "1.1 to 1 for"),
        (4, "4.0 to 1 for"),
        (0.25, "4.0 to 1 against"),
        (9.94, "9.9 to 1 for"),
        (9.96, "10 to 1 for"),
        (1234.4, "1,234 to 1 for"),
        (1e6, "1,000,000 to 1 for"),
        (2e6, "over 1,000,000 to 1 for"),
        (0.0, "over 1,000,000 to 1 against"),
    ],
)
def test_odds_in_words(odds: float, words: str) -> None:
    assert said_odds(odds) == words


@pytest.mark.parametrize(
    ("decibans", "drawn"),
    [
        (0, "        |        "),
        (0.04, "        |        "),
        (0.06, "        |#       "),
        (-0.06, "       #|        "),
        (4.8, "        |##      "),
        (-12.5, "   #####|        "),
        (20, "        |########"),
        (-45, "########|        "),
    ],
)
def test_a_bar_is_as_long_as_the_sign_weighs_and_to_its_side(decibans: float, drawn: str) -> None:
    assert bar(decibans, ASCII) == drawn
    in_unicode = bar(decibans, UNICODE)
    assert in_unicode.replace("━", "#").replace("│", "|") == drawn


def test_the_rows_of_a_claim() -> None:
    belief = weigh(
        {"first-body": 0.5},
        [
            Observed("first-body", "gaps", "pass", 3, "hit"),
            Observed("first-body", "film", "fail", 1 / 10, "hit"),
            Observed("first-body", "welds", "pass", 1),
        ],
    )["first-body"]
    rows = [(row.label, row.text, row.role) for row in claim_rows(belief, ASCII, "It is the first")]
    assert rows == [
        ("first-body", "It is the first: 9.1 %, before looking 50.0 %", "title"),
        ("odds", "10 to 1 against", "text"),
        ("evidence", "-10.0 decibans: moderate support against", "fail"),
        ("how firm", "24.0 % with every weight halved, 1.0 % doubled", "quiet"),
        ("gaps", "        |##         +4.8  pass, already counted (hit)", "quiet"),
        ("film", "    ####|          -10.0  fail", "fail"),
        ("welds", "        |           +0.0  pass", "quiet"),
    ]


def test_a_claim_without_signs_says_so() -> None:
    rows = list(claim_rows(weigh({"a": 0.5}, [])["a"], ASCII))
    assert (rows[-1].label, rows[-1].text) == ("signs", "none seen yet")
    assert rows[2].text == "+0.0 decibans: no support either way"


def test_what_to_look_at_next_is_told_for_the_best_ten() -> None:
    bits = [0.5 / (at + 1) for at in range(13)]
    best = tuple(Next(f"check-{at:02}", "a", told, 2, told / 2) for at, told in enumerate(bits))
    rows = list(next_rows(best))
    assert [row.label for row in rows] == [f"check-{at:02}" for at in range(10)]
    assert rows[1].text == "0.1250 bits a minute on a: 0.2500 bits in 2 min"
    lines = as_text(weigh({"a": 0.5}, []).values(), best, ASCII).splitlines()
    assert lines[-1] == "  and 3 more that tell less"
    assert lines[6:8] == [
        "What would tell most if looked at next",
        f"  check-00  {next_text(best)}",
    ]
    assert "more that tell less" not in as_text([], best[:10], ASCII)


def next_text(best: tuple[Next, ...]) -> str:
    return next(next_rows(best)).text
