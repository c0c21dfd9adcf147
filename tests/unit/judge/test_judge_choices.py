"""Signs seen, yes or no, how many."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.judge.judgement import Outcome
from checkrun.judge.kinds import judge, judge_text

SIGNS: dict[str, Any] = {
    "choices": {
        "dry": "pass",
        "oil": "concern",
        "brake fluid": "fail",
        "clear and at the mark": "pass",
        "wet, fresh": "concern",
    }
}


@pytest.mark.parametrize(
    ("line", "chosen", "outcome"),
    [
        ("dry", ["dry"], "pass"),
        ("Oil", ["oil"], "concern"),
        ("oil, brake fluid", ["oil", "brake fluid"], "fail"),
        ("brake and oil", ["brake fluid", "oil"], "fail"),
        ("clear and at the mark", ["clear and at the mark"], "pass"),
        ("wet, fresh", ["wet, fresh"], "concern"),
        ("oil; oil", ["oil"], "concern"),
    ],
)
def test_the_worst_sign_decides(line: str, chosen: list[str], outcome: str) -> None:
    found = judge_text("signs-seen", SIGNS, line)
    assert found.values == {"chosen": chosen, "result": outcome}
    assert found.outcome.value == outcome


def test_signs_may_come_as_a_list() -> None:
    found = judge({"kind": "signs-seen", **SIGNS, "value": ["dry", "oil"]})
    assert found.reasons == ("oil: concern", "dry: pass")


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("pertol", "value: `pertol` is not among the signs; known are dry, oil, brake fluid, "
         "clear and at the mark, wet, fresh"),
        ("brake fluit", "value: `brake fluit` is not among the signs; did you mean `brake fluid`?"),
        ("", "value: no sign is chosen yet"),
    ],
)  # fmt: skip
def test_unknown_signs(line: str, problem: str) -> None:
    assert judge_text("signs-seen", SIGNS, line).problems == (problem,)


def test_a_beginning_of_two_signs_is_asked_about() -> None:
    spec = {"choices": {"oil drop": "fail", "oil film": "concern"}}
    assert judge_text("signs-seen", spec, "oil").problems == (
        "value: `oil` may be oil drop or oil film",
    )


@pytest.mark.parametrize(
    ("value", "outcome"),
    [("y", "pass"), ("No", "fail"), (True, "pass"), (False, "fail"), ("true", "pass")],
)
def test_yes_and_no(value: Any, outcome: str) -> None:
    fields = {"kind": "yes-no", "choices": {"yes": "pass", "no": "fail"}, "value": value}
    assert judge(fields).outcome.value == outcome


def test_keys_a_yaml_reader_made_true_and_false_are_yes_and_no() -> None:
    fields = {"kind": "yes-no", "choices": {True: "pass", False: "fail"}, "value": "no"}
    assert judge(fields).values == {"chosen": "no", "result": "fail"}


@pytest.mark.parametrize(
    ("value", "outcome"),
    [("0", "pass"), ("none", "pass"), (2, "concern"), ("two", "concern"), ("17", "fail")],
)
def test_counts(value: Any, outcome: str) -> None:
    choices = {"0": "pass", "1-2": "concern", "3 or more": "fail"}
    assert judge({"kind": "count", "choices": choices, "value": value}).outcome.value == outcome


@pytest.mark.parametrize(
    ("fields", "problem"),
    [
        ({"value": "-1"}, "value: `-1` is impossible, a count starts at 0"),
        ({"value": "1.5"}, "value: `1.5` is not a whole number"),
        ({"value": "5"}, "choices: none of 0, 1-2 covers 5"),
        ({"value": "5", "choices": {"a few": "pass"}}, "choices: `a few` is no count; write 0, "
         "1-2, 3 or more"),
        ({"value": "5", "choices": {"0": "good"}}, "choices: `0` means `good`; it must be pass, "
         "concern or fail"),
        ({"value": "5", "choices": {}}, "choices: there is nothing to choose from"),
    ],
)  # fmt: skip
def test_bad_counts(fields: dict[str, Any], problem: str) -> None:
    spec = {"kind": "count", "choices": {"0": "pass", "1-2": "concern"}}
    found = judge({**spec, **fields})
    assert (found.outcome, found.problems) == (Outcome.UNDECIDED, (problem,))
