"""Camber and caster, recomputed by turning a wheel about its steering axis."""

from __future__ import annotations

import math
from typing import Any

import pytest

from checkrun.judge.judgement import Outcome
from checkrun.judge.kinds import judge, judge_text

Vector = tuple[float, float, float]


def turned(vector: Vector, axis: Vector, angle: float) -> Vector:
    """Rodrigues' rotation of a vector about a unit axis."""
    x, y, z = vector
    a, b, c = axis
    cos, sin = math.cos(angle), math.sin(angle)
    along = (a * x + b * y + c * z) * (1 - cos)
    cross = (b * z - c * y, c * x - a * z, a * y - b * x)
    return (
        x * cos + cross[0] * sin + a * along,
        y * cos + cross[1] * sin + b * along,
        z * cos + cross[2] * sin + c * along,
    )


def camber_at(steer: float, caster: float, kingpin: float, camber: float) -> float:
    """Camber of the right wheel when its turn plate shows a steer angle, degrees.

    x rearwards, y to the right, z up (ISO 4130). The axis leans back by the caster and inwards by
    the kingpin angle; the spindle points outwards and dips by the camber. A turn plate shows the
    heading of the wheel, which is not quite how far it has turned about its axis: the turn is
    found by halving.
    """
    lean, tilt, dip = (math.radians(angle) for angle in (caster, kingpin, camber))
    axis = (math.tan(lean), -math.tan(tilt), 1.0)
    size = math.sqrt(sum(part * part for part in axis))
    unit = (axis[0] / size, axis[1] / size, axis[2] / size)

    def moved(turn: float) -> Vector:
        return turned((0.0, math.cos(dip), -math.sin(dip)), unit, math.radians(turn))

    def heading(turn: float) -> float:
        x, y, _ = moved(turn)
        return math.degrees(math.atan2(-x, y))

    low, high = -45.0, 45.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if heading(middle) < steer else (low, middle)
    return math.degrees(math.asin(-moved(low)[2]))


@pytest.mark.parametrize(
    ("angles", "inside", "outside"),
    [((3, 8, 0), 1.5151, -0.5410), ((7, 12, -1), 2.1456, -2.6595), ((10, 12, 0), 4.2152, -2.7053)],
)
def test_the_turned_wheel_is_that_of_the_reference_pack(
    angles: tuple[float, float, float], inside: float, outside: float
) -> None:
    """geometry.md M13 (its own rotation model, computed): camber at 20 degrees each way."""
    found = sorted(camber_at(steer, *angles) for steer in (20, -20))
    assert found == pytest.approx([outside, inside], abs=1e-4)


@pytest.mark.parametrize(
    ("caster", "kingpin", "camber"), [(3, 8, 0), (7, 12, -1), (10, 12, 0), (0, 8, 0.5), (-1, 6, 0)]
)
def test_caster_is_recovered_from_a_turned_wheel(
    caster: float, kingpin: float, camber: float
) -> None:
    """geometry.md M13: the kingpin angle cancels, the error is under 1.2 % up to 10 degrees."""
    one, other = (camber_at(steer, caster, kingpin, camber) for steer in (20, -20))
    inner, outer = (one, other) if (one > other) == (caster >= 0) else (other, one)
    found = judge(
        {
            "kind": "camber-caster",
            "unit": "deg",
            "steer": 20,
            "straight": f"{camber_at(0, caster, kingpin, camber):.9f}",
            "inner": f"{inner:.9f}",
            "outer": f"{outer:.9f}",
        }
    ).values
    assert found["camber"] == pytest.approx(camber, abs=1e-6)
    assert found["caster"] == pytest.approx(caster, rel=0.013, abs=1e-6)


@pytest.mark.parametrize(
    ("inner", "outer", "estimate"),
    [
        # M13 of the reference pack (own rotation model there, computed).
        ("1.5151", "-0.5410", 3.006),
        ("2.1456", "-2.6595", 7.025),
        ("4.2152", "-2.7053", 10.117),
    ],
)
def test_caster_of_the_reference_pack(inner: str, outer: str, estimate: float) -> None:
    found = judge_text("camber-caster", {"unit": "deg"}, f"0 {inner} {outer}")
    assert found.values["caster"] == pytest.approx(estimate, abs=1e-3)


@pytest.mark.parametrize(("steer", "factor"), [(20, 1.461902), (15, 1.9319), (10, 2.8794)])
def test_caster_factors_of_the_reference_pack(steer: int, factor: float) -> None:
    """M11 and check-values.csv (computed): 1 / (2 sin steer)."""
    found = judge_text("camber-caster", {"unit": "deg", "steer": steer}, "0 1 0")
    assert found.values["caster"] == pytest.approx(factor, abs=1e-4)


SPEC: dict[str, Any] = {
    "unit": "deg",
    "camber": {"at-least": -1, "at-most": 1},
    "caster": {"at-least": 2, "at-most": 5},
    "difference": 0.5,
}


def test_both_sides_are_compared() -> None:
    found = judge_text("camber-caster", SPEC, "left 0 1.5 -0.5, right 0.2 2 -1")
    assert found.values["camber"] == {"left": 0.0, "right": 0.2}
    assert found.values["camber_difference"] == pytest.approx(-0.2)
    assert found.values["caster_difference"] == pytest.approx(-1.461902, abs=1e-5)
    assert found.outcome is Outcome.FAIL
    assert found.reasons[0].startswith("caster differs by 1.46 deg between the sides")


def test_one_wheel_within_its_limits_passes() -> None:
    assert judge_text("camber-caster", SPEC, "0 1.5 -0.5").outcome is Outcome.PASS


def test_without_limits_nothing_is_decided() -> None:
    found = judge_text("camber-caster", {"unit": "deg"}, "0 1.5 -0.5")
    assert found.outcome is Outcome.UNDECIDED
    assert found.reasons[0] == "camber 0 deg: no limit is given for it"


def test_missing_angles_are_named() -> None:
    found = judge_text("camber-caster", SPEC, "left 0 1.5 -0.5, right 0.2")
    assert found.outcome is Outcome.UNDECIDED
    assert found.reasons[0] == "missing right inner, right outer"


@pytest.mark.parametrize(
    ("fields", "problem"),
    [
        ({"straight": "60"}, "straight: 60 deg is no angle of a wheel"),
        ({"left": [1, 2, 3, 4]}, "left: 4 angles; give straight, inner, outer"),
        ({"left": {"in": 2}}, "left: give straight, inner and outer, nothing else"),
        ({"straight": "1", "steer": 0}, "steer: 0 degrees each way; a sweep is made at 5 to 45"),
        ({}, "straight, inner and outer: no angle is written yet"),
    ],
)
def test_bad_input(fields: dict[str, Any], problem: str) -> None:
    assert judge({"kind": "camber-caster", "unit": "deg", **fields}).problems == (problem,)
