"""The kinds as a whole: all there, none raising, names of values as promised."""

from __future__ import annotations

import subprocess
import sys
from importlib import import_module
from typing import Any

import pytest

from checkrun.judge.judgement import Judgement, Outcome
from checkrun.judge.kinds import KINDS, from_text, judge
from checkrun.route.schema_check import READING_KINDS

#: One whole reading of each kind that measures or chooses, and the values it must give.
WHOLE: dict[str, tuple[dict[str, Any], set[str]]] = {
    "measure": ({"unit": "mm", "value": 3}, {"value", "unit", "margin"}),
    "gaps": (
        {"left": [4, 4], "right": [4, 4]},
        {"left_mean", "right_mean", "side_difference", "largest_point_difference", "taper_left",
         "taper_right", "opposite_tapers"},
    ),
    "film": ({"panels": {"nose": [[200, 210]]}}, {"median", "mad", "panels"}),
    "cylinders": (
        {"values": [150, 149]}, {"lowest", "highest", "lowest_over_highest", "adjacent_low"},
    ),
    "tread": ({"tyres": {"lf": [5, 5, 5]}}, {"least", "tyres"}),
    "diagonals": (
        {"length": 2000, "left-to-right": 2500, "right-to-left": 2495}, {"difference", "shift"},
    ),
    "wall": ({"nominal": 3, "values": [2.9]}, {"least", "nominal", "percent_lost"}),
    "toe": (
        {"rim-diameter": 381, "front": 1500, "rear": 1502},
        {"toe", "degrees", "side_slip_ft_per_mile"},
    ),
    "camber-caster": (
        {"left": [0, 1, -1], "right": [0, 1, -1]},
        {"camber", "caster", "camber_difference", "caster_difference"},
    ),
    "lash": ({"wheel-diameter": 400, "value": 20}, {"value", "limit", "limit_source"}),
    "runout": ({"readings": [0, 1]}, {"total"}),
    "battery": ({"volts": 12.6}, {"state_of_charge", "note"}),
    "timed": ({"seconds": 10, "start": 5, "end": 4}, {"change", "rate"}),
    "signs-seen": ({"choices": {"dry": "pass"}, "value": "dry"}, {"chosen", "result"}),
    "yes-no": ({"choices": {"yes": "pass"}, "value": "yes"}, {"chosen", "result"}),
    "count": ({"choices": {"0": "pass"}, "value": "0"}, {"chosen", "result", "count"}),
}  # fmt: skip


def test_the_kinds_are_those_of_the_route_format() -> None:
    assert set(KINDS) == set(READING_KINDS)


@pytest.mark.parametrize("name", KINDS)
def test_every_key_of_the_route_format_is_known(name: str) -> None:
    assert set(READING_KINDS[name]) <= set(KINDS[name].spec) | set(KINDS[name].value)


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_names_functions_that_exist(name: str) -> None:
    for path in (KINDS[name].judge, KINDS[name].read_text):
        module, function = path.split(":")
        assert callable(getattr(import_module(f"checkrun.judge.{module}"), function))


@pytest.mark.parametrize("name", WHOLE)
def test_values_have_the_names_of_the_table(name: str) -> None:
    fields, names = WHOLE[name]
    found = judge({"kind": name, **fields})
    assert found.problems == ()
    assert set(found.values) == names


def test_an_unknown_field_is_told_and_left_out() -> None:
    found = judge({"kind": "measure", "unit": "mm", "pass": {"at-most": 2}, "value": 1, "pas": 3})
    assert found.outcome is Outcome.PASS
    assert found.problems == (
        "`pas` is not a field of measure and was left out; did you mean `pass`?",
    )


def test_a_misspelt_value_is_told_beside_the_missing_one() -> None:
    found = judge({"kind": "gaps", "lft": [4, 4]})
    assert found.problems == (
        "`lft` is not a field of gaps and was left out; did you mean `left`?",
        "left and right: no gap is written yet",
    )


def test_underscores_are_taken_for_hyphens() -> None:
    found = judge({"kind": "timed", "seconds": 10, "at_most_per_minute": 12, "change": 1})
    assert found.outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("fields", "problem"),
    [
        (None, "a reading is given as `field: value` pairs, beginning with `kind`"),
        ([1], "a reading is given as `field: value` pairs, beginning with `kind`"),
        ({"kind": "mesure"}, "`mesure` is not a kind of reading; did you mean `measure`?"),
        ({"kind": ["measure"]}, "a list is not a kind of reading; "),
        ({}, "the kind of reading is missing; kinds are measure, gaps, film, "),
        ({"kind": "vin", "value": "1" * 10**6}, "`value` is 1000000 characters long; no reading "
         "is longer than 2000"),
    ],
)  # fmt: skip
def test_what_is_no_reading_is_told(fields: Any, problem: str) -> None:
    found = judge(fields)
    assert found.outcome is Outcome.UNDECIDED
    assert found.problems[0].startswith(problem)


def nested(depth: int) -> Any:
    value: Any = "1"
    for level in range(depth):
        value = [value] if level % 2 else {"a": value}
    return value


ODD: list[Any] = [
    None, "", " ", "?", "x" * 10**6, "\x00\x1b[31m\u202e", "\ud800", float("nan"), float("inf"),
    -float("inf"), 10**5000, -(10**40), 1e300, -1, 0, True, False, b"12", 2j, object(), set(),
    nested(5000), [None] * 1000, ["1"] * 10**5, {str(n): n for n in range(1000)}, [[[]]], {"": ""},
    "1e999", "9" * 1000, "1/0", "١٢", [[float("nan")]], {"lf": ["1", {"a": 1}]}, {1: 2}, ["-", "?"],
    {("a",): 1}, {10**5000: 1},
]  # fmt: skip


@pytest.mark.parametrize("name", KINDS)
def test_no_value_of_any_field_makes_a_kind_fail(name: str) -> None:
    base = {"kind": name, **WHOLE.get(name, ({}, set()))[0]}
    for field in (*KINDS[name].spec, *KINDS[name].value, "unit", "uncertainty", "kind"):
        for value in ODD:
            found = judge({**base, field: value})
            assert isinstance(found, Judgement)
            for line in (*found.problems, *found.reasons):
                assert line.isprintable(), line
                assert len(line) < 700, line


@pytest.mark.parametrize("name", KINDS)
def test_no_line_makes_a_kind_fail(name: str) -> None:
    base = WHOLE.get(name, ({}, set()))[0]
    for value in ODD:
        if isinstance(value, str):
            assert isinstance(judge(from_text(name, base, value)), Judgement)
            assert isinstance(judge(from_text(name, base, value, "in")), Judgement)


def test_judging_imports_neither_yaml_nor_textual() -> None:
    code = (
        "import sys; from checkrun.judge.kinds import judge_text; "
        "judge_text('measure', {'unit': 'mm', 'pass': {'at-most': 3}}, '2'); "
        "heavy = {'yaml', 'textual', 'rich', 'tinydb', 'json', 'statistics'}; "
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
