"""Marks, numbers and sizes: no text breaks a judgement, and what it says is consistent."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from checkrun.judge.judgement import Car, Judgement, Outcome
from checkrun.judge.kinds import judge, judge_text
from checkrun.judge.vin import check_digit

CAR = Car(year=1966, facts={"serial": "PL6-02417"}, today=date(2026, 3, 14))
MONTHS = dict(zip("ABCDEFGHJKLM", range(1, 13), strict=True))
GEARBOX: dict[str, Any] = {
    "fields": [{"name": "year", "digits": 1}, {"name": "serial", "digits": 5}],
    "agrees-with": {"year": "car.year.last 1", "serial": "serial.last 5"},
    "restamped": "0.02",
}
CASTING: dict[str, Any] = {
    "fields": [
        {"name": "month", "letters": 1, "values": MONTHS},
        {"name": "day", "digits": 2},
        {"name": "year", "digits": 1},
    ]
}
SPECS: dict[str, dict[str, Any]] = {
    "stamp": {"mark": GEARBOX},
    "date-code": {"mark": CASTING, "window-days": 180, "span": 2190},
    "vin": {},
    "tyre-age": {},
    "tyre-size": {"fitted": "165/80 R 15 87H"},
}
kinds = st.sampled_from(sorted(SPECS))
#: Anything at all, and much that is nearly a mark, a number or a size.
near = st.text("0123456789?OISBABCDEFGHJKLMRX/-.;, \x00\x1b\u202e", max_size=30)
lines = st.one_of(st.text(max_size=60), near)
#: Python refuses to write these out.
huge = st.integers(4300, 5000).map(lambda digits: 10**digits)
plain = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    huge,
    st.floats(),
    lines,
    st.dates().map(str),
)
anything = st.recursive(
    plain,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(lines, inner)),
    max_leaves=8,
)
FIELDS = [
    "mark",
    "first",
    "built",
    "window-days",
    "span",
    "value",
    "year",
    "on",
    "fitted",
    "specified",
    "car",
    "text",
    "digits",
    "letters",
    "name",
    "values",
    "range",
    "fields",
    "agrees-with",
    "restamped",
]
VIN_CHARS = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"


def sound(judgement: Judgement) -> None:
    """What holds of every judgement: printable lines, and values that are JSON."""
    assert judgement.outcome in Outcome
    for line in (*judgement.reasons, *judgement.problems, *judgement.sources):
        assert line.strip()
        assert "\n" not in line
        assert not any(ord(char) < 32 or char == "\u202e" for char in line)
    json.dumps(dict(judgement.values), allow_nan=False)


@given(kinds, lines)
def test_no_typed_line_breaks_a_judgement(kind: str, line: str) -> None:
    sound(judge_text(kind, SPECS[kind], line, CAR))


@given(kinds, st.dictionaries(st.sampled_from(FIELDS), anything), st.booleans())
def test_no_fields_break_a_judgement(kind: str, fields: dict[str, Any], over: bool) -> None:
    base = {"kind": kind, **SPECS[kind]}
    sound(judge({**base, **fields} if over else {**fields, "kind": kind}, CAR))


@given(st.lists(st.dictionaries(st.sampled_from(FIELDS), anything), max_size=4), near)
def test_no_mark_breaks_a_judgement(fields: list[dict[str, Any]], line: str) -> None:
    for kind in ("stamp", "date-code"):
        mark = {**GEARBOX, "fields": fields}
        sound(judge({"kind": kind, "mark": mark, "value": line, "built": "1966-03-29"}, CAR))


@given(st.sampled_from(sorted(SPECS)), st.characters(), st.integers(1, 1_000_000))
def test_no_length_breaks_a_judgement(kind: str, char: str, length: int) -> None:
    judgement = judge_text(kind, SPECS[kind], char * length, CAR)
    sound(judgement)
    assert all(len(line) < 300 for line in judgement.problems)


@given(st.text("?0123456789", min_size=6, max_size=6), st.integers(0, 5))
def test_a_character_less_never_weighs_more(typed: str, at: int) -> None:
    agreeing = "".join(
        "?" if char == "?" else want for char, want in zip(typed, "602417", strict=True)
    )
    fewer = agreeing[:at] + "?" + agreeing[at + 1 :]
    spec = {"kind": "stamp", "mark": GEARBOX}
    more, less = (
        judge({**spec, "value": value}, CAR).values["weight_decibans"]
        for value in (agreeing, fewer)
    )
    assert 0 <= less <= more


@given(st.text("0123456789", min_size=6, max_size=6))
def test_a_stamp_agrees_just_where_all_its_characters_do(typed: str) -> None:
    values = judge({"kind": "stamp", "mark": GEARBOX, "value": typed}, CAR).values
    assert values["agrees"] == ("yes" if typed == "602417" else "no")
    assert (values["weight_decibans"] > 0) == (typed == "602417")


@given(st.integers(0, 2000), st.integers(-2500, 2500))
def test_a_date_is_in_the_window_just_where_the_calendar_says(window: int, lag: int) -> None:
    built = date(1966, 3, 29)
    day = built - timedelta(days=lag)
    letter = "ABCDEFGHJKLM"[day.month - 1]
    fields = [*CASTING["fields"][:2], {"name": "year", "digits": 4}]
    judgement = judge(
        {
            "kind": "date-code",
            "mark": {"fields": fields},
            "built": built.isoformat(),
            "window-days": window,
            "span": 5000,
            "value": f"{letter}{day.day:02d}{day.year}",
        }
    )
    assert judgement.values["date"] == day.isoformat()
    assert judgement.values["days_before_build"] == lag
    assert judgement.values["in_window"] == (0 <= lag <= window)
    assert judgement.outcome is (Outcome.PASS if 0 <= lag <= window else Outcome.FAIL)


@given(st.integers(1, 1000), st.integers(1000, 3600))
def test_a_wider_window_never_weighs_more(window: int, span: int) -> None:
    spec = {"kind": "date-code", "mark": CASTING, "built": "1966-03-29", "span": span}
    weights = [
        judge({**spec, "value": "C295" if days > 364 else "C296", "window-days": days}).values[
            "weight_decibans"
        ]
        for days in (window, window + 50)
    ]
    assert weights[0] >= weights[1] >= 0


@given(st.text(VIN_CHARS, min_size=17, max_size=17), st.integers(0, 16), st.sampled_from(VIN_CHARS))
def test_one_wrong_character_is_caught_unless_it_has_the_same_value(
    number: str, at: int, char: str
) -> None:
    number = number[:8] + check_digit(number) + number[9:]
    other = number[:at] + char + number[at + 1 :]
    if at == 8:
        assert (check_digit(other) == char) == (char == number[8])
    elif check_digit(char * 17) != check_digit(number[at] * 17):
        # 89, the sum of the weights, is 1 modulo 11: seventeen alike show the value of one.
        assert check_digit(other) != number[8]


@given(st.integers(100, 400), st.integers(30, 95), st.integers(10, 24))
def test_a_larger_tyre_is_larger_round(width: int, ratio: int, rim: int) -> None:
    fields = {"kind": "tyre-size", "value": f"{width}/{ratio} R {rim}"}
    other = judge({**fields, "fitted": f"{width + 10}/{ratio} R {rim}"})
    assert other.values["diameter"] > 25.4 * rim
    assert other.values["difference_percent"] < 0
    assert judge({**fields, "fitted": fields["value"]}).outcome is Outcome.PASS
