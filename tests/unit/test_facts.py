from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checkrun.route.facts import fact_problem, mark_problem, settle, year_problem
from checkrun.route.model import Fact, Mark, MarkField, Outline, Route, Years

SERIAL = Mark(
    "serial",
    "Serial",
    fields=(
        MarkField(text="Pl"),
        MarkField(name="year", digits=1, means="last digit of the model year"),
        MarkField(text="-"),
        MarkField(name="works", letters=2),
        MarkField(name="number", digits=5, means="running number"),
    ),
)
ROUTE = Route("lark", "Lark", Years(1963, 1968), Outline(4, 1.6, 2.4, 0.8), marks=(SERIAL,))
NEEDED = Fact("serial", "Serial", mark="serial", required=True)
YES_NO = Fact("tank", "Tank?", "yes-no")
CHOICE = Fact("trim", "Trim", "choice", choices=("Plain", "de luxe"))
NUMBER = Fact("miles", "Miles", "number")


@pytest.mark.parametrize(
    ("answer", "problem"),
    [
        ("PL6-AB02417", ""),
        ("pl6-ab02417", ""),
        ("PL?-?B0?4?7", ""),
        ("", "`Pl` expected at character 1, not nothing"),
        ("QL6-AB02417", "`Pl` expected at character 1, not `QL6-AB02`"),
        ("PLX", "1 digit (last digit of the model year) expected at character 3, not `X`"),
        ("PL6", "`-` expected at character 4, not nothing"),
        ("PL6AB", "`-` expected at character 4, not `AB`"),
        ("PL6-A1", "2 letters (works) expected at character 5, not `A1`"),
        ("PL6-AB0241", "5 digits (running number) expected at character 7, not `0241`"),
        ("PL6-AB024178", "`8` is too much at the end"),
        ("PL6-AB02417\n", "`\n` is too much at the end"),
        (
            "PL٦-AB02417",
            "1 digit (last digit of the model year) expected at character 3, not `٦-AB0241`",
        ),
    ],
)
def test_a_mark_says_where_an_answer_leaves_its_pattern(answer: str, problem: str) -> None:
    assert mark_problem(SERIAL, answer) == problem


@pytest.mark.parametrize(
    ("fact", "answer", "problem"),
    [
        (NEEDED, "  ", "the walk can't start without it"),
        (NEEDED, " pl6-ab02417 ", ""),
        (YES_NO, "", ""),
        (YES_NO, "Y", ""),
        (YES_NO, "FALSE", ""),
        (YES_NO, "perhaps", "answer yes or no"),
        (CHOICE, "PLAIN", ""),
        (CHOICE, "pla", "choose from: Plain, de luxe"),
        (NUMBER, "48000", ""),
        (NUMBER, "12.5", ""),
        (NUMBER, "-3", ""),
        (NUMBER, "12,5", "write a plain number, such as 48000 or 12.5"),
        (NUMBER, "NaN", "write a plain number, such as 48000 or 12.5"),
        (NUMBER, "Infinity", "write a plain number, such as 48000 or 12.5"),
        (NUMBER, "48 000", "write a plain number, such as 48000 or 12.5"),
        (Fact("note", "Note"), "anything [at] all", ""),
        (Fact("odd", "Odd", mark="no-such-mark"), "x", ""),
    ],
)
def test_an_answer_fits_or_says_what_would(fact: Fact, answer: str, problem: str) -> None:
    assert fact_problem(ROUTE, fact, answer) == problem


@pytest.mark.parametrize(
    ("fact", "answer", "kept"),
    [
        (YES_NO, " Y ", "yes"),
        (YES_NO, "true", "yes"),
        (YES_NO, "N", "no"),
        (YES_NO, "maybe", "maybe"),
        (CHOICE, " DE LUXE", "de luxe"),
        (CHOICE, "none", "none"),
        (NEEDED, "pl6-ab02417", "PL6-AB02417"),
        (Fact("note", "Note"), " As Typed ", "As Typed"),
    ],
)
def test_answers_are_kept_in_one_spelling(fact: Fact, answer: str, kept: str) -> None:
    assert settle(fact, answer) == kept


@pytest.mark.parametrize(
    ("answer", "problem"),
    [
        ("1963", ""),
        (" 1968 ", ""),
        ("1962", "this route covers 1963-1968"),
        ("1969", "this route covers 1963-1968"),
        ("66", "write the model year, 1963-1968"),
        ("", "write the model year, 1963-1968"),
        ("19655", "write the model year, 1963-1968"),
        ("١٩٦٥", "write the model year, 1963-1968"),
    ],
)
def test_a_year_is_one_of_the_routes_or_says_which_are(answer: str, problem: str) -> None:
    assert year_problem(Years(1963, 1968), answer) == problem


@given(st.sampled_from([NEEDED, YES_NO, CHOICE, NUMBER]), st.text(max_size=15))
def test_settling_twice_is_settling_once_and_no_text_breaks_it(fact: Fact, answer: str) -> None:
    once = settle(fact, answer)
    assert settle(fact, once) == once
    assert fact_problem(ROUTE, fact, once) == fact_problem(ROUTE, fact, answer)


@given(st.from_regex(r"PL[0-9?]-[A-Z?]{2}[0-9?]{5}", fullmatch=True))
def test_everything_of_the_pattern_fits(answer: str) -> None:
    assert mark_problem(SERIAL, answer) == ""
    assert mark_problem(SERIAL, answer[:-1]) != ""
    assert mark_problem(SERIAL, answer + "0") != ""
