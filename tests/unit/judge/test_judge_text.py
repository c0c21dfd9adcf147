"""Typed lines and what they come to."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.judge.judgement import Outcome
from checkrun.judge.kinds import from_text, judge_text

GAPS: dict[str, Any] = {"unit": "mm", "points": ["front", "middle", "rear"]}
EVEN = {"left": ["4.1", "4.2", "4.4"], "right": ["4.3", "4.3", "4.6"]}


def typed(kind: str, spec: dict[str, Any], line: str, unit: str = "") -> dict[str, Any]:
    fields = from_text(kind, spec, line, unit)
    return {name: value for name, value in fields.items() if spec.get(name) != value != kind}


@pytest.mark.parametrize(
    "line",
    [
        "left 4.1 4.2 4.4, right 4.3 4.3 4.6",
        "left 4.1 4.2 4.4 right 4.3 4.3 4.6",
        "right 4.3 4.3 4.6; left 4.1 4.2 4.4",
        "LEFT: 4.1 4.2 4.4 | Right: 4.3 4.3 4.6",
        "l 4.1 4.2 4.4, r 4.3 4.3 4.6",
        "4.1 4.2 4.4; 4.3 4.3 4.6",
        "4.1 4.2 4.4 / 4.3 4.3 4.6",
        "4.1 4.2 4.4 4.3 4.3 4.6",
        "4.1, 4.2, 4.4, 4.3, 4.3, 4.6",
    ],
)
def test_two_sides(line: str) -> None:
    assert typed("gaps", GAPS, line) == EVEN


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("left 4,1 4,2", {"left": ["4,1", "4,2"]}),
        ('left 1 1/2 2 1/4"', {"left": ['1 1/2"', '2 1/4"']}),
        ("left 5/32 5/32 4/32 in, right 4 4 4 mm",
         {"left": ["5/32 in", "5/32 in", "4/32 in"], "right": ["4 mm", "4 mm", "4 mm"]}),
        ("left 4 5, right 4 5 thou", {"left": ["4 thou", "5 thou"], "right": ["4 thou", "5 thou"]}),
        ("left 4 mm 5 mm", {"left": ["4 mm", "5 mm"]}),
        ("left 5 ft 3 in 2 ft", {"left": ["5 ft 3 in", "2 ft"]}),
        ("right 4 ? -", {"right": ["4", "?", "-"]}),
        ("left 1,234.5 4", {"left": ["1,234.5", "4"]}),
        ("lft 4 4 4", {"lft": ["4", "4", "4"]}),
        ("left 4 mmm 5", {"left": ["4 mmm", "5"]}),
    ],
)  # fmt: skip
def test_units_and_odd_values(line: str, expected: dict[str, Any]) -> None:
    assert typed("gaps", GAPS, line) == expected


def test_bare_numbers_take_the_unit_of_the_setting() -> None:
    assert typed("gaps", GAPS, "left 4 5 mm 6", "thou") == {"left": ["4 thou", "5 mm", "6 thou"]}
    assert typed("measure", {"unit": "mm"}, "40", "thou") == {"value": "40 thou"}
    assert typed("measure", {"unit": "mm"}, "40 mm", "thou") == {"value": "40 mm"}
    assert judge_text(
        "measure", {"unit": "mm", "pass": {"at-most": 1}}, "40", unit="thou"
    ).values == {"value": pytest.approx(1.016), "unit": "mm", "margin": pytest.approx(-0.016)}


PANELS = {"unit": "um", "panels": ["nose", "left rear wing", "right rear wing"]}


@pytest.mark.parametrize(
    ("line", "nose", "left"),
    [
        ("nose 260 um, left 275 um", [["260 um"]], [["275 um"]]),
        ("260 275 250", [["260"]], [["275"]]),
        ("nose 260 270 left rear wing 275", [["260"], ["270"]], [["275"]]),
        ("nose 250 260 / 270 280, left 3", [["250", "260"], ["270", "280"]], [["3"]]),
        ("nose (250 260) (270)", [["250", "260"], ["270"]], []),
    ],
)
def test_film_panels_and_their_spots(line: str, nose: Any, left: Any) -> None:
    panels = typed("film", PANELS, line)["panels"]
    assert (panels["nose"], panels["left rear wing"]) == (nose, left)


TYRES = {"unit": "mm", "tyres": ["left-front", "right-front"]}


@pytest.mark.parametrize(
    "line",
    [
        "lf 5 5 4, rf 6 6 6",
        "5 5 4; 6 6 6",
        "5 5 4 6 6 6",
        "front left 5 5 4, right-front 6 6 6",
        "left-front 5 5 4 right-front 6 6 6",
        "fr 6 6 6, fl 5 5 4",
    ],
)
def test_tyres(line: str) -> None:
    assert typed("tread", TYRES, line)["tyres"] == {
        "left-front": ["5", "5", "4"],
        "right-front": ["6", "6", "6"],
    }


@pytest.mark.parametrize(
    ("kind", "line", "expected"),
    [
        ("cylinders", "148 - 150 psi", {"values": ["148 psi", "-", "150 psi"]}),
        ("diagonals", "9", {"difference": "9"}),
        ("diagonals", "9' 5\" 9' 4 1/2\"",
         {"left-to-right": "9' 5\"", "right-to-left": "9' 4 1/2\""}),
        ("diagonals", "rl 2860, lr 2869", {"right-to-left": "2860", "left-to-right": "2869"}),
        ("toe", "3", {"toe": "3"}),
        ("toe", "toe out 2 mm", {"toe": "-2 mm"}),
        ("toe", "1500 1503 mm", {"front": "1500 mm", "rear": "1503 mm"}),
        ("timed", "from 100 to 95", {"start": "100", "end": "95"}),
        ("timed", "5", {"change": "5"}),
        ("runout", "0.04", {"total": "0.04"}),
        ("runout", "+0.03 -0.01", {"readings": ["+0.03", "-0.01"]}),
        ("battery", "12.52 10 °C", {"volts": "12.52", "temperature": "10 °C"}),
        ("camber-caster", "-0.5 1.5 -0.5",
         {"straight": "-0.5", "inner": "1.5", "outer": "-0.5"}),
        ("wall", "1.74 1.61", {"values": ["1.74", "1.61"]}),
        ("lash", '1 1/2"', {"value": '1 1/2"'}),
        ("stamp", " 00?61 ", {"value": "00?61"}),
    ],
)  # fmt: skip
def test_the_other_kinds(kind: str, line: str, expected: dict[str, Any]) -> None:
    assert typed(kind, {}, line) == expected


def test_nothing_typed_gives_no_value() -> None:
    assert typed("gaps", GAPS, "  ") == {}


@pytest.mark.parametrize(
    ("kind", "spec", "line", "outcome"),
    [
        # Typed as people type at the car.
        ("gaps", {**GAPS, "side-difference": "1.2", "taper": "1.5"},
         "left 4.1 4.2 4.4, right 4.3 4.3 4.6", "pass"),
        ("gaps", {**GAPS, "side-difference": "2.0", "taper": "2.5"},
         "left 4.0 5.0 7.0, right 4.2 4.4 4.6", "concern"),
        ("gaps", {**GAPS, "side-difference": "1.0", "taper": "1.2"},
         "left 3.2 4.0 5.1, right 5.2 4.1 3.3", "fail"),
        ("film", {"unit": "um", "panels": ["nose", "left wing", "right wing"]},
         "nose 260 um, left wing 275 um, right wing 250 um", "pass"),
        ("film", {"unit": "um", "panels": ["nose", "left wing", "right wing"]},
         "nose 310 um, left wing 455 um, right wing 305 um", "concern"),
        ("tread", {"unit": "mm", "least": "1.6", "tyres": ["left-rear"]}, "5/32 5/32 4/32 in",
         "pass"),
        ("cylinders", {"unit": "psi", "count": "6", "limit-percent": "75", "uncertainty": "3"},
         "148 151 150 146 149 152 psi", "pass"),
        ("wall", {"unit": "mm", "nominal": "2.28", "limit-percent": "25", "uncertainty": "0.05"},
         "1.58", "fail"),
        ("diagonals", {"unit": "mm", "length": "2180", "limit": "6", "uncertainty": "1"}, "9",
         "fail"),
        ("timed", {"unit": "mm", "seconds": "10", "at-most-per-minute": "12"}, "5", "fail"),
        ("battery", {"unit": "V", "rested": "true"}, "12.52", "pass"),
        ("lash", {"unit": "mm", "wheel-diameter": "394", "uncertainty": "2"}, "22", "pass"),
        ("toe", {"unit": "mm", "rim-diameter": "381", "limit": "3", "uncertainty": "0.5"}, "1.5",
         "pass"),
    ],
)  # fmt: skip
def test_lines_of_a_walk_are_judged(
    kind: str, spec: dict[str, Any], line: str, outcome: str
) -> None:
    found = judge_text(kind, spec, line)
    assert found.outcome is Outcome(outcome)
    assert not found.problems
