"""One quantity against limits, with the uncertainty of the tool."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.judge.judgement import Outcome
from checkrun.judge.kinds import judge

LINING = {"kind": "measure", "unit": "mm", "pass": {"at-least": "3"}, "fail": {"below": "1.5"}}
GAP = {"kind": "measure", "unit": "mm", "pass": {"at-least": "4", "at-most": "7"}}


def outcome(fields: dict[str, Any], value: Any, **more: Any) -> str:
    return judge({**fields, **more, "value": value}).outcome.value


@pytest.mark.parametrize(
    ("value", "expected"),
    [("3", "pass"), ("2.99", "concern"), ("1.5", "concern"), ("1.49", "fail"), ("4/32 in", "pass")],
)
def test_between_the_limits_of_a_pass_and_of_a_fail_lies_a_concern(
    value: str, expected: str
) -> None:
    assert outcome(LINING, value) == expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        # ISO 14253-1 (decision rule as in the issue; the standard was not read): proven inside,
        # proven outside, neither. 0.1 mm of uncertainty round 3 and 1.5.
        ("3.1", "pass"),
        ("3.09", "concern"),
        ("2.95", "concern"),
        ("1.45", "concern"),
        ("1.4", "concern"),
        ("1.39", "fail"),
    ],
)
def test_uncertainty_widens_the_limits_into_a_concern(value: str, expected: str) -> None:
    assert outcome(LINING, value, uncertainty="0.1") == expected


def test_a_limit_given_once_is_the_limit_of_both() -> None:
    assert [outcome(GAP, value) for value in ("3.9", "4", "7", "7.1")] == [
        "fail",
        "pass",
        "pass",
        "fail",
    ]
    only_fail = {"kind": "measure", "unit": "mm", "fail": {"above": "7"}}
    assert [outcome(only_fail, value) for value in ("7", "7.1")] == ["pass", "fail"]


def test_a_fail_at_one_end_only_leaves_a_concern_at_the_other() -> None:
    spec = {**GAP, "fail": {"above": "10"}}
    assert [outcome(spec, value) for value in ("3", "8", "11")] == ["concern", "concern", "fail"]


@pytest.mark.parametrize(
    ("value", "reason"),
    [
        ("0.7", "0.7 mm: 0.8875 mm under the limit of 2/32 in (49 CFR 570.9(a))"),
        (
            "3/32 in",
            "3/32 in (2.38 mm): 0.79375 mm to spare over the least of 2/32 in (49 CFR 570.9(a))",
        ),
        ("2/32 in", "2/32 in (1.5875 mm): just the least that passes"),
    ],
)
def test_a_published_limit_is_printed_with_its_source(value: str, reason: str) -> None:
    found = judge(
        {"kind": "measure", "unit": "mm", "limit": "us-in-use/tread-depth", "value": value}
    )
    assert found.reasons == (reason,)
    assert found.sources == (
        "49 CFR 570.9(a) (from memory), mirrored by RCW 46.37.425(4) (verified)",
    )


def test_values_are_plain_numbers_in_the_unit_of_the_spec() -> None:
    found = judge({**LINING, "value": '0.094"'})
    assert found.values == {"value": pytest.approx(2.3876), "unit": "mm", "margin": -0.6124}


def test_a_reason_says_why_it_is_neither() -> None:
    assert judge({**LINING, "uncertainty": 0.1, "value": 3.05}).reasons == (
        "3.05 mm +/- 0.1 mm: too near 3 mm to be proven inside what passes (ISO 14253-1)",
    )
    assert judge({**LINING, "uncertainty": 0.1, "value": 1.45}).reasons == (
        "1.45 mm +/- 0.1 mm: too near 1.5 mm to be proven past it (ISO 14253-1)",
    )


@pytest.mark.parametrize(
    ("fields", "problem"),
    [
        ({"value": "-4"}, "value: -4 mm is impossible here; write how much it is, without the "
         "minus"),
        ({"value": None}, "value: nothing is written yet"),
        ({"value": ""}, "value: nothing is written yet"),
        ({"value": True}, "value: `yes` is not a quantity"),
        ({"value": ["1"]}, "value: a list where one value is expected"),
        ({"value": float("nan")}, "value: `nan` is not a finite number; write a number and its "
         "unit, such as 2.4 mm or 3/32 in"),
        ({"value": "4 psi"}, "value: `4 psi` is a pressure, and a length is wanted here; write it "
         "as 2.4 mm or 3/32 in"),
        ({"value": "4 mmm"}, "value, character 3: `mmm` is not a known unit; did you mean mm?"),
        ({"value": "4", "pass": {"at-leas": 3}}, "pass: `at-leas` is unknown; did you mean "
         "`at-least`?"),
        ({"value": "4", "pass": {"at-least": 9}, "fail": {"above": 8}}, None),
        ({"value": "4", "pass": {"at-least": 1}}, "the limits contradict each other: 1.5 mm fails "
         "below, and 1 mm already passes"),
        ({"value": "4", "limit": "us-in-use/linkage"}, "limit: there is no limit `linkage` in the "
         "table us-in-use; did you mean `us-in-use/linkage-play`?"),
        ({"value": "4", "limit": "us-in-use/pedal-travel"}, "limit: us-in-use/pedal-travel is a "
         "share, and this is judged in mm"),
        ({"value": "4", "uncertainty": "-1"}, "uncertainty: -1 mm is impossible, an uncertainty "
         "can't be less than nothing"),
    ],
)  # fmt: skip
def test_bad_input_is_one_line_that_says_what_and_where(
    fields: dict[str, Any], problem: str | None
) -> None:
    found = judge({**LINING, **fields})
    if problem is not None:
        assert found.problems == (problem,)
        assert found.outcome is Outcome.UNDECIDED


def test_a_negative_figure_is_taken_where_the_limits_are_negative_too() -> None:
    camber = {"kind": "measure", "unit": "deg", "pass": {"at-least": "-1", "at-most": "0.25"}}
    assert outcome(camber, "-0.5") == "pass"
    assert outcome({**camber, "unit": "mm"}, "-0.5") == "pass"


def test_things_counted_keep_their_word() -> None:
    spec = {"kind": "measure", "unit": "swings", "pass": {"at-most": 1}, "fail": {"above": 2}}
    assert judge({**spec, "value": "1"}).reasons == ("1 swing: just the most that passes",)
    assert outcome(spec, "2 swings") == "concern"
    assert outcome(spec, 3) == "fail"


def test_without_a_limit_nothing_is_decided() -> None:
    found = judge({"kind": "measure", "unit": "mm", "value": "3"})
    assert found.outcome is Outcome.UNDECIDED
    assert found.reasons == ("3 mm: no limit is given for it",)
