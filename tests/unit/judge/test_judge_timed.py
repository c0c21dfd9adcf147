"""A change over a countdown."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.judge.judgement import Outcome
from checkrun.judge.kinds import judge, judge_text

SPEC: dict[str, Any] = {"unit": "mm", "seconds": 10, "at-most-per-minute": 12}


def test_rate_is_the_change_a_minute() -> None:
    found = judge_text("timed", SPEC, "100 95")
    assert found.values == {"change": -5.0, "rate": -30.0}
    assert found.reasons == ("5 mm in 10 s, 30 mm a minute: 18 mm over the limit of 12 mm",)
    assert found.outcome is Outcome.FAIL


@pytest.mark.parametrize(("line", "outcome"), [("0", "pass"), ("2", "pass"), ("2.1", "fail")])
def test_one_figure_is_the_change(line: str, outcome: str) -> None:
    assert judge_text("timed", SPEC, line).outcome.value == outcome


def test_up_and_down_are_judged_alike() -> None:
    assert judge_text("timed", SPEC, "95 100").outcome is Outcome.FAIL


def test_gauges_that_fall_have_units_too() -> None:
    spec = {"unit": "inHg", "seconds": "60 s", "at-most-per-minute": 3}
    assert judge_text("timed", spec, "20 inHg 16").outcome is Outcome.FAIL
    assert judge_text("timed", spec, "20 18").outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("fields", "problem"),
    [
        ({"seconds": None, "change": 1}, "seconds: how long it took is not given"),
        ({"seconds": 0, "change": 1}, "seconds: 0 s is no countdown"),
        ({"start": 100}, "end: nothing is written yet"),
        ({}, "start and end: nothing is written yet"),
    ],
)
def test_bad_input(fields: dict[str, Any], problem: str) -> None:
    assert judge({"kind": "timed", **SPEC, **fields}).problems == (problem,)
