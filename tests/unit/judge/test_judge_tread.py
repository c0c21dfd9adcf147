"""Tread depth and what the wear says."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.judge.judgement import Outcome
from checkrun.judge.kinds import judge, judge_text

SPEC: dict[str, Any] = {"unit": "mm", "tyres": ["lf"]}


@pytest.mark.parametrize(
    ("depths", "pattern"),
    [
        ([5.0, 5.0, 5.0], "even"),
        ([5.0, 5.3, 4.9], "even"),
        ([3, 5, 3], "edges"),
        ([5, 3, 5], "centre"),
        ([2, 4, 5], "outer"),
        ([5, 4, 2], "inner"),
        ([5, 5, 3], "inner"),
        ([3, 5, 5], "outer"),
        ([4.6, 5, 4.1], "mixed"),
        ([4, 2, 7], "centre"),
        ([4, 3.4, 7], "outer"),
        ([4, 8, 6], "edges"),
    ],
)
def test_wear_patterns(depths: list[float], pattern: str) -> None:
    """Common practice: edges are run soft, the centre hard, one edge is toe or camber."""
    found = judge({"kind": "tread", "unit": "mm", "tyres": {"lf": depths}})
    assert found.values["tyres"]["lf"]["pattern"] == pattern
    assert found.outcome is (Outcome.PASS if pattern == "even" else Outcome.CONCERN)


def test_the_limit_is_two_thirty_seconds_of_an_inch() -> None:
    """49 CFR 570.9(a) from memory, read in RCW 46.37.425(4) (verified)."""
    spec = {**SPEC, "limit": "us-in-use/tread-depth"}
    assert judge_text("tread", spec, "2/32 2/32 2/32 in").outcome is Outcome.PASS
    found = judge_text("tread", spec, "2/32 2/32 1/32 in")
    assert found.outcome is Outcome.FAIL
    assert found.reasons[0] == (
        "lf inner 1/32 in (0.79375 mm): 0.79375 mm under the limit of 2/32 in (49 CFR 570.9(a))"
    )
    assert judge_text("tread", SPEC, "1.58 2 2").outcome is Outcome.FAIL
    assert judge_text("tread", SPEC, "1.59 2 2").outcome is Outcome.PASS


def test_a_least_of_the_route_and_what_passes_leave_a_concern_between() -> None:
    spec = {**SPEC, "least": "1.6", "pass": {"at-least": "3"}}
    lines = ("3 3 3", "2.9 3 3", "1.6 1.6 1.6", "1.5 1.6 1.6")
    assert [judge_text("tread", spec, line).outcome.value for line in lines] == [
        "pass",
        "concern",
        "concern",
        "fail",
    ]


def test_four_tyres_with_their_labels() -> None:
    spec = {"unit": "mm", "tyres": ["lf", "rf", "lr", "rr"]}
    found = judge_text("tread", spec, "lf 5 5 4.5, rf 5 5 5; lr 6 6 6, right rear 3 6 3")
    assert found.values["least"] == 3.0
    assert found.values["tyres"]["rr"] == {"least": 3.0, "pattern": "edges"}
    assert found.outcome is Outcome.CONCERN


def test_missing_depths_are_named() -> None:
    spec = {"unit": "mm", "tyres": ["lf", "rf"]}
    found = judge_text("tread", spec, "lf 5 5")
    assert found.outcome is Outcome.UNDECIDED
    assert found.reasons[0] == "none of two tyres; missing lf inner; rf"
    assert judge_text("tread", spec, "lf 1 5").outcome is Outcome.FAIL


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("5 5 5 5", "lf: 4 depths; give outer, middle, inner"),
        ("5 -1 5", "middle of lf: -1 mm is impossible, a depth can't be less than nothing"),
        ("5 5 5 in", "outer of lf: 5 in is beyond any tread; is the unit right?"),
        ("", "tyres: no depth is written yet"),
    ],
)
def test_bad_input(line: str, problem: str) -> None:
    assert judge_text("tread", SPEC, line).problems == (problem,)
