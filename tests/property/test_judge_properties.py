"""Whatever is typed: no kind fails, and judgements keep their order and their units."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from checkrun.judge.judgement import Judgement, Outcome
from checkrun.judge.kinds import KINDS, from_text, judge
from checkrun.unit_table import UNITS
from checkrun.units import NotAQuantity, Quantity, convert, quantity

ORDER = [Outcome.PASS, Outcome.CONCERN, Outcome.FAIL]
FEET_PER_MILE = 5280

kinds = st.sampled_from(sorted(KINDS))
#: Pieces of what people type, good and bad.
PIECES = """left right lf rf nose front rear in mm thou psi V deg ' " ° % ? - + / , ; | ( ) . 1 4.2
4,2 3/32 1/0 1,234.5 1e9 nan inf ½ yes no oil out to and lr 12 0 -3 999999 x é ١ A? PL4-00861
165/80 R 15 87H 0866"""
pieces = st.sampled_from(PIECES.split())
lines = st.one_of(
    st.lists(pieces, max_size=14).map(" ".join),
    st.lists(pieces, max_size=14).map("".join),
    st.text(max_size=80),
    st.text(alphabet=st.characters(codec=None), max_size=40),
)
plain = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    lines,
    st.decimals(),
    st.binary(max_size=4),
)
anything = st.recursive(
    plain,
    lambda inner: st.one_of(
        st.lists(inner, max_size=5),
        st.dictionaries(st.one_of(lines, st.integers(), st.none()), inner, max_size=4),
    ),
    max_leaves=12,
)
SPECS: dict[str, dict[str, Any]] = {
    "measure": {"unit": "mm", "pass": {"at-most": 3}, "fail": {"above": 5}},
    "gaps": {"unit": "mm", "points": ["a", "b", "c"], "side-difference": 1, "taper": 2},
    "film": {"unit": "um", "panels": ["nose", "left wing"], "thin-below": 80, "filler-above": 500},
    "tread": {"unit": "mm", "tyres": ["lf", "rf"]},
    "diagonals": {"unit": "mm", "length": 2000, "limit": 8},
    "wall": {"unit": "mm", "nominal": 3, "limit-percent": 25},
    "toe": {"unit": "mm", "rim-diameter": 381, "limit": 5},
    "lash": {"unit": "mm", "wheel-diameter": 400},
    "timed": {"unit": "mm", "seconds": 10, "at-most-per-minute": 12},
    "signs-seen": {"choices": {"oil": "concern", "dry and clean": "pass"}},
    "yes-no": {"choices": {"yes": "pass", "no": "fail"}},
    "count": {"choices": {"0": "pass", "1-2": "concern", "3 or more": "fail"}},
}


def is_plain(value: Any) -> bool:
    """Whether a value can go into JSON as it is."""
    json.dumps(value, allow_nan=False)
    return True


def check(found: Judgement) -> None:
    assert isinstance(found.outcome, Outcome)
    assert is_plain(dict(found.values))
    for line in (*found.reasons, *found.problems, *found.sources):
        assert line
        assert line.isprintable()
    if found.outcome is not Outcome.UNDECIDED:
        assert found.reasons


@given(kinds, lines, st.sampled_from(["", "in", "psi", "deg"]))
@settings(max_examples=1200, deadline=None)
@example("gaps", "left 4 4 4 right 4 4 4 /", "")
@example("toe", "out -1", "in")
def test_no_line_makes_any_kind_fail(name: str, line: str, unit: str) -> None:
    check(judge(from_text(name, SPECS.get(name, {}), line, unit)))


@given(kinds, st.dictionaries(st.sampled_from(
    sorted({f for k in KINDS.values() for f in (*k.spec, *k.value, "unit", "uncertainty")})
), anything, max_size=6))  # fmt: skip
@settings(max_examples=400, deadline=None)
def test_no_fields_make_any_kind_fail(name: str, fields: dict[str, Any]) -> None:
    check(judge({**fields, "kind": name}))
    check(judge({**SPECS.get(name, {}), **fields, "kind": name}))


def read(text: str, default: str) -> tuple[Quantity | None, NotAQuantity | None]:
    try:
        return quantity(text, default), None
    except NotAQuantity as problem:
        return None, problem


@given(lines)
@settings(max_examples=600)
def test_a_text_is_a_quantity_or_says_where_it_is_not(text: str) -> None:
    for default in ("", "mm", "deg", "swings"):
        found, problem = read(text, default)
        if problem is not None:
            assert 1 <= problem.position <= len(text) + 4
            assert str(problem).isprintable()
        if found is not None:
            assert found.value.is_finite()
            assert found.resolution > 0


figures = st.decimals(-5000, 5000, places=3)
sizes = st.decimals(0, 5000, places=3)


@given(figures, st.sampled_from([(a, b) for a in UNITS for b in UNITS
                                 if UNITS[a].dimension == UNITS[b].dimension]))  # fmt: skip
def test_there_and_back_is_the_same(value: Decimal, pair: tuple[str, str]) -> None:
    there = convert(value, *pair)
    assert abs(convert(there, pair[1], pair[0]) - value) <= Decimal("1e-15")


#: Ways to make a reading of one kind from one figure; a larger figure is never a better one.
WORSE: dict[str, Any] = {
    "measure": lambda x: {**SPECS["measure"], "value": x},
    "runout": lambda x: {"unit": "mm", "at-most": 300, "readings": [0, x]},
    "lash": lambda x: {**SPECS["lash"], "value": x},
    "timed": lambda x: {**SPECS["timed"], "start": 0, "end": x},
    "diagonals": lambda x: {"unit": "mm", "limit": 300, "difference": x},
    "toe": lambda x: {"unit": "mm", "limit": 300, "toe": x},
    "cylinders": lambda x: {"measure": "leak-down", "unit": "%", "values": [5, min(x, 100)]},
    "gaps": lambda x: {"unit": "mm", "side-difference": 9, "taper": 9,
                       "left": [20, 20], "right": [20, 20 + min(x, 150)]},
}  # fmt: skip
#: Ways in which a larger figure is never a worse one.
BETTER: dict[str, Any] = {
    "measure": lambda x: {"unit": "mm", "pass": {"at-least": 900}, "fail": {"below": 300},
                          "value": x},
    "wall": lambda x: {"unit": "mm", "nominal": 3000, "limit-percent": 25,
                       "pass": {"at-most": 10}, "value": x},
    "tread": lambda x: {"unit": "mm", "pass": {"at-least": 3},
                        "tyres": {"lf": [min(x, 40)] * 3}},
    "cylinders": lambda x: {"unit": "psi", "values": [5000, x, 5000]},
    "battery": lambda x: {"volts": min(x, Decimal("5.8")) + 7, "rested": True},
}  # fmt: skip


def rank(kind: str, fields: dict[str, Any]) -> int:
    found = judge({"kind": kind, **fields})
    assert not found.problems, found.problems
    assert found.outcome in ORDER
    return ORDER.index(found.outcome)


@given(st.sampled_from(sorted(WORSE)), sizes, sizes, st.decimals(0, 100, places=2))
@settings(max_examples=500)
def test_more_is_never_better_where_less_is_wanted(
    kind: str, one: Decimal, other: Decimal, out_by: Decimal
) -> None:
    small, large = sorted((one, other))
    make = WORSE[kind]
    more = {"uncertainty": out_by}
    assert rank(kind, {**make(small), **more}) <= rank(kind, {**make(large), **more})


@given(st.sampled_from(sorted(BETTER)), sizes, sizes)
@settings(max_examples=500)
def test_more_is_never_worse_where_more_is_wanted(kind: str, one: Decimal, other: Decimal) -> None:
    small, large = sorted((one, other))
    make = BETTER[kind]
    assert rank(kind, make(small)) >= rank(kind, make(large))


@given(sizes, st.decimals(0, 50, places=2), st.decimals(0, 50, places=2))
def test_a_better_tool_never_turns_a_pass_or_a_fail(
    value: Decimal, one: Decimal, other: Decimal
) -> None:
    """With less uncertainty a concern may be decided, but nothing decided changes."""
    fine, coarse = sorted((one, other))
    fields = {**SPECS["measure"], "value": value}
    with_coarse = rank("measure", {**fields, "uncertainty": coarse})
    if ORDER[with_coarse] is not Outcome.CONCERN:
        assert rank("measure", {**fields, "uncertainty": fine}) == with_coarse


LENGTHS = ["um", "mm", "cm", "m", "km", "in", "thou"]


@given(st.sampled_from(LENGTHS), st.integers(1, 4000), st.sampled_from([None, "0.3"]))
@settings(max_examples=300)
def test_a_judgement_is_the_same_in_any_unit(unit: str, thou: int, out_by: str | None) -> None:
    """Whole thousandths of an inch are exact in these units of length."""
    value = Decimal(thou)
    spec = {"kind": "measure", "unit": "mm", "pass": {"at-most": "25.4"}, "fail": {"above": "50.8"}}
    if out_by is not None:
        spec["uncertainty"] = out_by
    plain = judge({**spec, "value": f"{convert(value, 'thou', 'mm'):f} mm"})
    written = f"{convert(value, 'thou', unit):f}"
    other = judge({**spec, "value": f"{written} {unit}"})
    assert (other.outcome, other.problems) == (plain.outcome, ())
    assert abs(other.values["value"] - plain.values["value"]) < 1e-9
