"""Diagonals, toe and run-out, recomputed from points in the plane."""

from __future__ import annotations

import math
from typing import Any

import pytest

from checkrun.judge.judgement import Outcome
from checkrun.judge.kinds import judge, judge_text


def diagonals(length: float, width: float, slide: float) -> tuple[float, float]:
    """Corner to corner of a frame whose right side sits `slide` farther back; x rearwards."""
    left = ((0.0, -width / 2), (length, -width / 2))
    right = ((slide, width / 2), (length + slide, width / 2))
    return math.dist(left[0], right[1]), math.dist(right[0], left[1])


@pytest.mark.parametrize(
    ("length", "width", "slide"),
    [(2500, 1400, 5), (1500, 900, 4), (2100, 800, -7.5), (600, 1200, 3), (2180, 1000, 0)],
)
def test_shift_is_recovered_from_coordinates(length: float, width: float, slide: float) -> None:
    first, second = diagonals(length, width, slide)
    found = judge(
        {
            "kind": "diagonals",
            "unit": "mm",
            "length": length,
            "limit": 8,
            "left-to-right": first,
            "right-to-left": second,
        }
    ).values
    assert found["shift"] == pytest.approx(slide, abs=1e-6)
    assert found["difference"] == pytest.approx(first - second)


def test_difference_of_the_reference_pack() -> None:
    """geometry.md M15 and check-values.csv (computed): L 2500, W 1400, s 5 gives 8.7251."""
    first, second = diagonals(2500, 1400, 5)
    assert first - second == pytest.approx(8.7251, abs=1e-4)


def test_diagonals_are_judged_by_their_difference() -> None:
    spec: dict[str, Any] = {"unit": "mm", "length": 2180, "limit": 6, "pass": {"at-most": 3}}
    outcomes = [judge_text("diagonals", spec, line).outcome.value for line in ("3", "4", "9")]
    assert outcomes == ["pass", "concern", "fail"]
    found = judge_text("diagonals", spec, "2600 2609")
    assert found.reasons == (
        "the diagonals differ by 9 mm: 3 mm over the limit of 6 mm",
        "the left side sits 5.38 mm farther back",
    )


def test_both_tapes_are_out_by_their_uncertainty() -> None:
    spec = {"unit": "mm", "limit": 8, "uncertainty": 1}
    assert judge_text("diagonals", spec, "2600 2607").outcome is Outcome.CONCERN
    assert judge_text("diagonals", spec, "2600 2606").outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("lr 2600", "one of two distances: left-to-right is there, right-to-left is missing"),
        ("2000 2000", "left-to-right and right-to-left: diagonals of sides of 2100 are longer "
         "than that"),
        ("", "left-to-right and right-to-left: nothing is written yet"),
        ("1 2 3", "difference: `1 2 3` is more than one quantity; write one only"),
    ],
)  # fmt: skip
def test_bad_diagonals(line: str, problem: str) -> None:
    spec = {"unit": "mm", "length": 2100, "limit": 8}
    assert judge_text("diagonals", spec, line).problems == (problem,)


def rim_distances(angle: float, wide: float, track: float = 1300.0) -> tuple[float, float]:
    """Front and rear distance between the rims of two wheels, each toed in by half the angle."""
    half = math.radians(angle / 2)
    across = wide / 2 * math.sin(half)
    return track - 2 * across, track + 2 * across


@pytest.mark.parametrize("angle", [-1.0, -0.25, 0.1, 0.282, 0.4775, 2.0])
def test_toe_angle_is_recovered_from_coordinates(angle: float) -> None:
    front, rear = rim_distances(angle, 381)
    found = judge(
        {
            "kind": "toe",
            "unit": "mm",
            "rim-diameter": 381,
            "limit": 5,
            "front": f"{front:.9f}",
            "rear": f"{rear:.9f}",
        }
    ).values
    assert found["toe"] == pytest.approx(rear - front, abs=1e-8)
    assert found["degrees"] == pytest.approx(angle, abs=1e-6)


@pytest.mark.parametrize(
    ("toe", "wide", "degrees"),
    [
        # geometry.md M7 to M9 and check-values.csv of the reference pack (computed).
        ("0.125 in", "15 in", 0.4775),
        ("2 mm", "406.4 mm", 0.2820),
        ("1 mm", "360 mm", 0.1592),
        ("0.665 mm", "381 mm", 0.1000),
    ],
)
def test_toe_angles_of_the_reference_pack(toe: str, wide: str, degrees: float) -> None:
    found = judge({"kind": "toe", "unit": "mm", "rim-diameter": wide, "limit": 5, "toe": toe})
    assert found.values["degrees"] == pytest.approx(degrees, abs=1e-4)


def test_side_slip_of_the_scuff_table() -> None:
    """49 CFR 570.7 Table I: toe 1/16 in at four tyre diameters (from memory; M10 reproduces it)."""
    for wide, slip in (("25.2", 13.1), ("26.4", 12.5), ("28.5", 11.6), ("35.6", 9.3)):
        found = judge(
            {"kind": "toe", "unit": "in", "rim-diameter": wide, "limit": 1, "toe": "1/16"}
        )
        assert found.values["side_slip_ft_per_mile"] == pytest.approx(slip, abs=0.05)


def test_thirty_feet_a_mile_is_its_angle() -> None:
    """A wheel that slips 30 ft sideways in 5280 ft of road: sin of the angle is 30/5280."""
    toe = 381 * 30 / 5280
    found = judge({"kind": "toe", "unit": "mm", "rim-diameter": 381, "limit": 5, "toe": f"{toe}"})
    assert found.values["side_slip_ft_per_mile"] == pytest.approx(30)
    assert found.values["degrees"] == pytest.approx(math.degrees(math.asin(30 / 5280)), rel=1e-5)


@pytest.mark.parametrize(
    ("line", "outcome"),
    [
        ("2", "pass"),
        ("0.5", "concern"),
        ("4", "concern"),
        ("5.1", "fail"),
        ("out 1", "fail"),
        ("1500 1502", "pass"),
        ("rear 1502, front 1500", "pass"),
        ("1/8 in", "concern"),
    ],
)
def test_toe_between_its_limits(line: str, outcome: str) -> None:
    spec = {
        "unit": "mm",
        "rim-diameter": 381,
        "limit": 5,
        "pass": {"at-least": 1, "at-most": 3},
        "fail": {"below": 0},
    }
    assert judge_text("toe", spec, line).outcome.value == outcome


def test_the_limit_of_toe_holds_either_way() -> None:
    spec = {"unit": "mm", "limit": 3}
    outcomes = [judge_text("toe", spec, line).outcome.value for line in ("3", "-3", "3.1", "-3.1")]
    assert outcomes == ["pass", "pass", "fail", "fail"]


def test_one_distance_of_two_says_which_is_missing() -> None:
    found = judge_text("toe", {"unit": "mm", "limit": 3}, "front 1500")
    assert found.problems == ("one of two distances: front is there, rear is missing",)


def test_run_out_is_the_full_swing() -> None:
    """M24 and check-values.csv (verified): -0.01 to +0.03 is 0.04."""
    found = judge_text("runout", {"unit": "mm", "at-most": "0.05"}, "+0.03 -0.01 0.02")
    assert found.values == {"total": pytest.approx(0.04)}
    assert found.outcome is Outcome.PASS


def test_a_round_part_off_centre_swings_by_twice_that() -> None:
    """M25: an indicator on a circle whose centre is off the axis by e, by coordinates."""
    radius, off = 150.0, 0.2
    readings = []
    for degree in range(0, 360, 15):
        turn = math.radians(degree)
        x, y = off * math.cos(turn), off * math.sin(turn)
        readings.append(f"{x + math.sqrt(radius**2 - y**2) - radius:.9f}")
    found = judge({"kind": "runout", "unit": "mm", "at-most": 1, "readings": readings})
    assert found.values["total"] == pytest.approx(2 * off, abs=1e-6)


def test_bead_seat_limit() -> None:
    """49 CFR 570.10(b): 1/8 in full swing (verified)."""
    spec = {"unit": "mm", "at-most": "us-in-use/bead-runout"}
    assert judge_text("runout", spec, "3.175").outcome is Outcome.PASS
    found = judge_text("runout", spec, "3.18")
    assert found.outcome is Outcome.FAIL
    assert found.sources == ("49 CFR 570.10(b) (docslib.org/doc/8674586; verified)",)


def test_one_indicator_reading_is_no_swing() -> None:
    found = judge({"kind": "runout", "unit": "mm", "at-most": 1, "readings": [0.1]})
    assert found.problems == (
        "readings: one reading has no swing; give the lowest and the highest",
    )
