"""Compression and leak-down."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.judge.judgement import Outcome
from checkrun.judge.kinds import judge, judge_text

SPEC: dict[str, Any] = {"measure": "compression", "unit": "psi", "count": 4}


def test_lowest_over_highest_of_the_reference_pack() -> None:
    """150 148 152 110: 0.7237, under 75 %, over 70 % (L14 and check-values.csv, computed)."""
    found = judge_text("cylinders", SPEC, "150 148 152 110")
    assert found.values["lowest_over_highest"] == pytest.approx(0.7237, abs=1e-4)
    assert found.outcome is Outcome.FAIL
    assert judge_text("cylinders", {**SPEC, "limit-percent": 70}, "150 148 152 110").outcome is (
        Outcome.PASS
    )


def test_least_compression_at_seventy_percent_of_150_psi_is_105() -> None:
    """L10 and check-values.csv, from a workshop manual (verified)."""
    spec = {**SPEC, "limit-percent": 70}
    assert judge_text("cylinders", spec, "150 150 150 105").outcome is Outcome.PASS
    assert judge_text("cylinders", spec, "150 150 150 104").outcome is Outcome.FAIL


@pytest.mark.parametrize(
    ("reading", "leak"),
    [("76", 5), ("72", 10), ("64", 20), ("60", 25), ("50", 37.5)],
)
def test_leak_of_an_80_psi_supply(reading: str, leak: float) -> None:
    """L6 of the reference pack (computed): 100 (supply - reading) / supply."""
    found = judge(
        {"kind": "cylinders", "measure": "leak-down", "unit": "psi", "values": [reading, "80"]}
    )
    assert f"cylinder 1 leaks most, {leak:g} %" in found.reasons[0]
    assert found.outcome is (Outcome.PASS if leak <= 25 else Outcome.FAIL)


def test_leak_may_be_typed_in_percent() -> None:
    spec = {"kind": "cylinders", "measure": "leak-down", "unit": "%"}
    assert judge({**spec, "values": ["5", "10 %"]}).outcome is Outcome.PASS
    assert judge({**spec, "values": ["5", "30"]}).outcome is Outcome.FAIL


def test_two_low_neighbours_are_pointed_out() -> None:
    """L13 of the reference pack (verified): the gasket between them."""
    found = judge_text("cylinders", {**SPEC, "count": 6}, "150 150 130 128 150 150")
    assert found.values["adjacent_low"] is True
    assert found.outcome is Outcome.CONCERN
    assert found.reasons[0] == "neighbours 3 and 4 are both low: look at the gasket there"


def test_two_low_that_are_no_neighbours_are_not() -> None:
    found = judge_text("cylinders", {**SPEC, "count": 6}, "130 150 150 128 150 150")
    assert found.values["adjacent_low"] is False
    assert found.outcome is Outcome.PASS


def test_three_of_six_cylinders_say_which_are_missing() -> None:
    found = judge_text("cylinders", {**SPEC, "count": 6}, "148 151 149")
    assert found.outcome is Outcome.UNDECIDED
    assert found.reasons[0] == "three of six cylinders; missing 4, 5 and 6"
    assert judge_text("cylinders", {**SPEC, "count": 6}, "148 60 149").outcome is Outcome.FAIL


def test_the_gauge_may_be_in_another_unit() -> None:
    found = judge_text("cylinders", SPEC, "10,3 10,2 10,4 10,1 bar")
    assert found.values["lowest_over_highest"] == pytest.approx(10.1 / 10.4)


def test_uncertainty_of_both_gauges_readings_counts() -> None:
    spec = {**SPEC, "uncertainty": 3}
    assert judge_text("cylinders", spec, "150 150 150 114").outcome is Outcome.CONCERN
    assert judge_text("cylinders", spec, "150 150 150 130").outcome is Outcome.PASS
    assert judge_text("cylinders", spec, "150 150 150 90").outcome is Outcome.FAIL


@pytest.mark.parametrize(
    ("fields", "problem"),
    [
        ({"values": [1, 2, 3, 4, 5]}, "values: 5 figures for 4 cylinders"),
        ({"values": []}, "values: no cylinder is written yet"),
        ({"values": [0, 0, 0, 0]}, "values: every cylinder reads nothing; is the gauge tight, "
         "the throttle open?"),
        ({"values": [100, -1]}, "value 2: -1 psi is impossible, a pressure or a leak can't be "
         "less than nothing"),
        ({"values": [100], "measure": "leakdown"}, "measure: `leakdown` is unknown; did you mean "
         "`leak-down`?"),
        ({"values": [100], "count": "2.5"}, "count: 2.5 is no number of cylinders"),
        ({"values": [90, 70], "measure": "leak-down"}, "values: a leak lies between nothing and "
         "100 % of the supply"),
    ],
)  # fmt: skip
def test_bad_input(fields: dict[str, Any], problem: str) -> None:
    assert judge({"kind": "cylinders", **SPEC, **fields}).problems == (problem,)
