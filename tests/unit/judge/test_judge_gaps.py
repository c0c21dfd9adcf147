"""Gaps: means, tapers, and tapers that oppose each other."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.judge.judgement import Judgement, Outcome
from checkrun.judge.kinds import judge, judge_text

SPEC: dict[str, Any] = {
    "kind": "gaps",
    "unit": "mm",
    "points": ["front", "middle", "rear"],
    "side-difference": "1.5",
    "taper": "2.0",
}


def gaps(left: Any, right: Any, **more: Any) -> Judgement:
    return judge({**SPEC, **more, "left": left, "right": right})


def test_values_by_hand() -> None:
    """Means (3.2+4.0+5.1)/3 = 4.1 and (5.2+4.1+3.3)/3 = 4.2; tapers are last minus first."""
    found = gaps([3.2, 4.0, 5.1], [5.2, 4.1, 3.3])
    assert found.values == {
        "left_mean": pytest.approx(4.1),
        "right_mean": pytest.approx(4.2),
        "side_difference": pytest.approx(0.1),
        "largest_point_difference": pytest.approx(2.0),
        "taper_left": pytest.approx(1.9),
        "taper_right": pytest.approx(-1.9),
        "opposite_tapers": True,
    }
    assert found.outcome is Outcome.FAIL
    assert found.reasons[0] == (
        "left opens by 1.9 mm, right closes by 1.9 mm: opposite tapers, 3.8 mm in all, past 2 mm"
    )


@pytest.mark.parametrize("by", ["0.6", "1", "1.5", "2.5", "4"])
def test_opposite_tapers_are_worse_than_the_same_taper_on_both_sides(by: str) -> None:
    """Common practice: a section put on askew closes one side as it opens the other."""
    order = [Outcome.PASS, Outcome.CONCERN, Outcome.FAIL]
    last = 4 + float(by)
    same = gaps([4, 4, last], [4, 4, last])
    opposite = gaps([4, 4, last], [last, 4, 4])
    assert order.index(opposite.outcome) > order.index(same.outcome)
    assert opposite.values["opposite_tapers"] is True
    assert same.values["opposite_tapers"] is False


def test_the_same_taper_past_its_limit_is_a_concern() -> None:
    assert gaps([4, 5, 6.5], [4, 5, 6.5]).outcome is Outcome.CONCERN


def test_a_side_difference_past_its_limit_is_a_concern() -> None:
    found = gaps([3, 3, 3], [5, 5, 5])
    assert found.outcome is Outcome.CONCERN
    assert found.reasons[0] == "the sides differ by 2 mm in the mean, past 1.5 mm"


def test_even_and_alike_passes() -> None:
    assert gaps(["4.4", "4.5", "4.6"], ["4.5", "4.5", "4.8"]).outcome is Outcome.PASS


def test_small_tapers_are_not_counted_as_opposite() -> None:
    """Common practice: a hand-fitted panel is never quite even."""
    assert gaps([4, 4, 4.3], [4.3, 4, 4]).values["opposite_tapers"] is False


def test_a_figure_within_the_uncertainty_of_its_limit_is_a_concern() -> None:
    """Two readings of 0.1 mm each are out by 0.141 mm together (root of the sum of squares)."""
    assert gaps([4, 5, 5.9], [4, 5, 5.9], uncertainty="0.1").outcome is Outcome.CONCERN
    assert gaps([4, 5, 5.8], [4, 5, 5.8], uncertainty="0.1").outcome is Outcome.PASS


def test_a_partial_reading_says_what_is_missing() -> None:
    found = judge_text("gaps", SPEC, "left 4 4 4, right 4 ?")
    assert found.outcome is Outcome.UNDECIDED
    assert found.reasons[0] == "4 of 6 gaps; missing right middle and right rear"


def test_a_partial_reading_fails_if_what_is_there_already_does() -> None:
    assert judge_text("gaps", SPEC, "left 3 ? 6, right 6 4 3").outcome is Outcome.FAIL


@pytest.mark.parametrize(
    ("left", "right", "problem"),
    [
        ([4, 4, 4, 4], [4], "left: 4 gaps for 3 points (front, middle and rear)"),
        (["4", "-4", "4"], [], "value 2 of left: -4 mm is impossible, a gap can't be less than "
         "nothing"),
        (["4", "4.x", "4"], [], "value 2 of left, character 3: `x` is not a known unit; write m, "
         "um, mm, cm, km, in, ft, mile, thou"),
        (["4 in", "4 in", "40 in"], [], "value 3 of left: 40 in is beyond any gap; is the unit "
         "right?"),
        ([], [], "left and right: no gap is written yet"),
    ],
)  # fmt: skip
def test_bad_input(left: Any, right: Any, problem: str) -> None:
    assert gaps(left, right).problems == (problem,)


def test_opposite_tapers_are_proven_only_past_what_four_readings_are_out_by() -> None:
    """Four readings of 0.1 mm each are out by 0.2 mm together (root of the sum of squares)."""
    assert gaps([4, 4, 5.05], [5.05, 4, 4]).outcome is Outcome.FAIL
    assert gaps([4, 4, 5.05], [5.05, 4, 4], uncertainty="0.1").outcome is Outcome.CONCERN
