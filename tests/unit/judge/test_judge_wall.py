"""Metal left of a wall."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.judge.judgement import Outcome
from checkrun.judge.kinds import judge, judge_text

SPEC: dict[str, Any] = {"unit": "mm", "nominal": "1.897", "limit-percent": 25}


def test_loss_of_the_reference_pack() -> None:
    """U6 and check-values.csv (computed): 1.897 to 1.30 mm is 31.5 %."""
    found = judge_text("wall", SPEC, "1.30")
    assert found.values["percent_lost"] == pytest.approx(31.5, abs=0.1)
    assert found.outcome is Outcome.FAIL


def test_a_third_of_1_897_leaves_1_265() -> None:
    """U6 of the reference pack (computed)."""
    found = judge_text("wall", {**SPEC, "limit-percent": 33.4}, "1.265")
    assert found.values["percent_lost"] == pytest.approx(33.3, abs=0.05)
    assert found.outcome is Outcome.PASS


def test_a_gauge_number_gives_the_nominal_and_its_source() -> None:
    """Gauge 14 is 1.897 mm: sheet-gauge.csv of the reference pack (verified)."""
    spec = {"unit": "mm", "gauge": 14, "limit-percent": 25}
    found = judge_text("wall", spec, "1.5")
    assert found.values["nominal"] == 1.897
    assert found.sources == (
        "steel sheet gauge 14 = 1.897 mm: induspecs.com/sheet-metal-gauge-chart (verified)",
    )
    assert judge_text("wall", {**spec, "gauge": 17}, "1.3").sources[0].endswith("(from memory)")


def test_the_thinnest_place_counts() -> None:
    found = judge_text("wall", {**SPEC, "nominal": "2.28"}, "1.74 1.61 1.58")
    assert found.values["least"] == 1.58
    assert found.reasons == ("1.58 mm of 2.28 mm, 30.7 % gone: 5.7 % over the limit of 25 %",)


def test_what_passes_may_be_less_than_the_limit() -> None:
    spec = {**SPEC, "nominal": "3", "pass": {"at-most": 10}}
    outcomes = [judge_text("wall", spec, line).outcome.value for line in ("2.7", "2.6", "2.2")]
    assert outcomes == ["pass", "concern", "fail"]


def test_a_wall_thicker_than_new_is_said() -> None:
    found = judge_text("wall", SPEC, "2.2")
    assert found.outcome is Outcome.PASS
    assert found.reasons[0].startswith("2.2 mm, more than the 1.897 mm it had when new")


@pytest.mark.parametrize(
    ("spec", "line", "problem"),
    [
        ({"gauge": 9}, "1", "gauge: 9 is not in the table, which has 10 to 24"),
        ({}, "1", "nominal: give the thickness when new, or its gauge number"),
        ({"nominal": 0}, "1", "nominal: no wall is of no thickness"),
        ({"nominal": 2}, "-1", "values: -1 mm is impossible, a thickness can't be less than "
         "nothing"),
        ({"nominal": 2}, "", "values: nothing is written yet"),
    ],
)  # fmt: skip
def test_bad_input(spec: dict[str, Any], line: str, problem: str) -> None:
    assert judge_text("wall", {"unit": "mm", **spec}, line).problems == (problem,)


def test_no_limit_decides_nothing() -> None:
    found = judge({"kind": "wall", "unit": "mm", "nominal": 3, "values": [2]})
    assert found.outcome is Outcome.UNDECIDED
