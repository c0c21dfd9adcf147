"""Examples of every kind of reading: what a route says of it, and a line typed at the car.

The tests hold each against the schema and have it judged. The car is invented.
"""

from __future__ import annotations

from typing import NamedTuple


class Typed(NamedTuple):
    """A reading as a route asks for it, and a line typed at the car.

    Attributes:
        fields: The reading's fields beside `kind`, as they are written.
        line: What was typed.
        result: What the computation suggests.
    """

    fields: dict[str, str]
    line: str
    result: str


#: Fields that every kind can have.
COMMON_FIELDS: dict[str, str] = {
    "unit": "mm",
    "resolution": "0.05",
    "uncertainty": "0.1",
    "tool": "feeler stack",
    "hold": "blades straight in, snug and not forced",
}

#: By kind: readings that between them have every field of it.
READINGS: dict[str, tuple[Typed, ...]] = {
    "measure": (
        Typed({"unit": "mm", "pass": "{at-most: 10}", "fail": "{above: 20}"}, "8", "pass"),
        Typed({"unit": "cycles", "limit": "us-in-use/rocking"}, "4", "fail"),
    ),
    "gaps": (
        Typed(
            {
                "unit": "mm",
                "points": "[front, middle, rear]",
                "side-difference": "1.5",
                "taper": "2",
            },
            "4 4.2 4.5 / 4.1 4.3 4.4",
            "pass",
        ),
    ),
    "film": (
        Typed(
            {
                "unit": "um",
                "thin-below": "80",
                "filler-above": "500",
                "panels": "[left wing, right wing]",
            },
            "left wing 120 130 125; right wing 140 135 850",
            "fail",
        ),
    ),
    "cylinders": (
        Typed(
            {"measure": "compression", "unit": "psi", "count": "6", "limit-percent": "75"},
            "150 148 152 149 151 100",
            "fail",
        ),
        Typed(
            {
                "measure": "leak-down",
                "unit": "psi",
                "count": "4",
                "supply": "80",
                "pass": "{at-most: 20}",
            },
            "74 73 75 74",
            "pass",
        ),
    ),
    "tread": (
        Typed(
            {"unit": "mm", "tyres": "[left-front]", "pass": "{at-least: 3}", "limit": "1.6"},
            "4.1 4.0 2.2",
            "concern",
        ),
        Typed({"unit": "mm", "least": "1.6", "tyres": "[left-rear]"}, "5 5.2 5.1", "pass"),
    ),
    "diagonals": (
        Typed(
            {"unit": "mm", "length": "2180", "pass": "{at-most: 3}", "limit": "6"},
            "2405 / 2409",
            "concern",
        ),
    ),
    "wall": (
        Typed({"unit": "mm", "nominal": "2.0", "limit-percent": "20"}, "1.9 1.85", "pass"),
        Typed({"unit": "mm", "gauge": "13", "pass": "{at-most: 20}"}, "1.2", "fail"),
    ),
    "toe": (
        Typed(
            {
                "unit": "mm",
                "rim-diameter": "381",
                "pass": "{at-least: 1, at-most: 3}",
                "fail": "{below: 0}",
                "limit": "5",
            },
            "1300 / 1302",
            "pass",
        ),
    ),
    "camber-caster": (
        Typed(
            {
                "unit": "deg",
                "steer": "20",
                "camber": "{at-least: -0.5, at-most: 1}",
                "caster": "{at-least: 1, at-most: 4}",
                "difference": "1",
            },
            "0.3 1.0 -0.5",
            "pass",
        ),
    ),
    "lash": (
        Typed({"unit": "mm", "wheel-diameter": "419", "pass": "{at-most: 40}"}, "35", "pass"),
        Typed({"unit": "mm", "limit": "60"}, "70", "fail"),
    ),
    "runout": (
        Typed({"unit": "mm", "at-most": "0.1"}, "0.02 0.05 -0.03 0.01", "pass"),
        Typed({"unit": "mm", "pass": "{at-most: 0.1}", "limit": "0.2"}, "0.25", "fail"),
    ),
    "battery": (
        Typed({"unit": "V", "nominal": "12", "rested": "yes"}, "12.6", "pass"),
        Typed(
            {
                "unit": "V",
                "nominal": "6",
                "rested": "yes",
                "pass": "{at-least: 6.2}",
                "fail": "{below: 6}",
            },
            "5.9",
            "fail",
        ),
    ),
    "stamp": (Typed({"mark": "chassis-serial", "first": "0.95"}, "PL6-02417", "pass"),),
    "date-code": (
        Typed(
            {
                "mark": "casting-date",
                "built": "1966-02-17",
                "window-days": "180",
                "span": "2190",
                "first": "0.9",
            },
            "A126",
            "pass",
        ),
    ),
    "vin": (Typed({"year": "2001"}, "11111111111111111", "pass"),),
    "tyre-age": (Typed({"on": "2026-02-03"}, "1223", "pass"),),
    "tyre-size": (
        Typed({"fitted": "165/80 R 15"}, "165/80 R 15", "pass"),
        Typed({"specified": "5.90-15"}, "5.90-15", "pass"),
    ),
    "timed": (Typed({"unit": "psi", "seconds": "60", "at-most-per-minute": "2"}, "20 19", "pass"),),
    "signs-seen": (
        Typed({"choices": "{dry: pass, freshly wiped: concern, petrol: fail}"}, "petrol", "fail"),
    ),
    "yes-no": (Typed({"choices": '{"yes": pass, "no": fail}'}, "yes", "pass"),),
    "count": (Typed({"choices": '{"0": pass, 1-2: concern, 3 or more: fail}'}, "2", "concern"),),
}
