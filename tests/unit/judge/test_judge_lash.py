"""Play at the rim of the steering wheel: 49 CFR 570.7 Table 1."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.judge.judgement import Outcome
from checkrun.judge.kinds import judge, judge_text


@pytest.mark.parametrize(
    ("wheel", "limit"),
    [
        # 49 CFR 570.7 Table 1 (verified) and, between its rows, Utah R714-162-9 (verified).
        ("16 in", 2.0),
        ("18 in", 2.25),
        ("19 in", 2.375),
        ("20 in", 2.5),
        ("21 in", 2.625),
        ("22 in", 2.75),
        ("14 in", 2.0),
        ("24 in", 2.75),
    ],
)
def test_the_limit_for_a_wheel(wheel: str, limit: float) -> None:
    found = judge({"kind": "lash", "unit": "in", "wheel-diameter": wheel, "value": 1})
    assert found.values["limit"] == limit
    assert "49 CFR 570.7(a) Table 1" in found.values["limit_source"]


def test_play_of_the_limit_passes_and_more_fails() -> None:
    spec = {"unit": "mm", "wheel-diameter": "400"}
    assert judge_text("lash", spec, "2 in").outcome is Outcome.PASS
    found = judge_text("lash", spec, "51")
    assert found.outcome is Outcome.FAIL
    assert found.reasons == (
        "play 51 mm at the rim: 0.2 mm over the limit of 50.8 mm "
        "(49 CFR 570.7, 2 in for a wheel of 15.7 in)",
    )


def test_a_pass_of_the_route_leaves_a_concern_up_to_the_limit() -> None:
    spec = {"unit": "mm", "wheel-diameter": 400, "pass": {"at-most": 30}, "uncertainty": 2}
    outcomes = [judge_text("lash", spec, line).outcome.value for line in ("28", "34", "52", "53")]
    assert outcomes == ["pass", "concern", "concern", "fail"]


def test_the_route_may_give_its_own_limit() -> None:
    found = judge_text("lash", {"unit": "mm", "limit": "13"}, "14")
    assert found.outcome is Outcome.FAIL
    assert found.values["limit_source"] == "the route"


@pytest.mark.parametrize(
    ("spec", "line", "problem"),
    [
        ({}, "3", "wheel-diameter: the limit depends on it, and it is not given"),
        ({"wheel-diameter": 4}, "3", "wheel-diameter: 4 mm is no steering wheel"),
        ({"wheel-diameter": 400}, "-3", "value: -3 mm is impossible, play can't be less than "
         "nothing"),
        ({"wheel-diameter": 400}, "", "value: nothing is written yet"),
        ({"wheel-diameter": 400, "pass": {"at-most": 60}}, "3", "pass: 60 mm is past the limit of "
         "50.8 mm (49 CFR 570.7, 2 in for a wheel of 15.7 in)"),
    ],
)  # fmt: skip
def test_bad_input(spec: dict[str, Any], line: str, problem: str) -> None:
    assert judge_text("lash", {"unit": "mm", **spec}, line).problems == (problem,)
