"""The names of the reading kinds and of their fields, in one table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of reading.

    Attributes:
        name: As written in a route.
        says: What it is for, in one line.
        spec: What a route says of it: field and meaning.
        value: What is read at the car: field and meaning.
        judge: `module:function` in this package, imported when first used.
        read_text: `module:function` that turns a typed line into the value's fields.
    """

    name: str
    says: str
    spec: Mapping[str, str]
    value: Mapping[str, str]
    judge: str
    read_text: str = "text:one_value"


#: Fields every kind may have: of the route, of the moment and of the car.
COMMON: Mapping[str, str] = {
    "kind": "the kind of reading",
    "unit": "the unit of bare numbers",
    "resolution": "the smallest step of the tool, in the unit",
    "uncertainty": "what the tool may be out by, in the unit, 0 or more",
    "tool": "the tool",
    "hold": "how to hold it",
    "car": "what is known of the car",
}
_PASS = "what passes: {at-least, at-most}"
_FAIL = "what fails: {below, above}"
_LIMIT = "the limit: a number, or a row of a published table such as us-in-use/tread-depth"
_MARK = "the mark: its id in the route, or its fields"
_FIRST = "how often a first part agrees, 0 to 1; 1 if not given"
_VALUE = {"value": "what was read"}
_CHOICES = "what can be chosen, each with pass, concern or fail"

_MEASURES = (
    Kind(
        "measure",
        "one quantity against limits",
        {"pass": _PASS, "fail": _FAIL, "limit": _LIMIT},
        {"value": "the quantity"},
        "measure:judge_measure",
    ),
    Kind(
        "gaps",
        "gaps at the same points left and right",
        {
            "points": "names of the points, in order",
            "side-difference": "how far the means of the sides may differ",
            "taper": "how far the last gap of a side may differ from its first",
        },
        {"left": "gaps at the points, left", "right": "gaps at the points, right"},
        "gaps:judge_gaps",
        "text:two_sides",
    ),
    Kind(
        "film",
        "paint film: touches, spots, panels",
        {
            "thin-below": "a spot thinner than this is rubbed through",
            "filler-above": "a spot thicker than this may be filler",
            "panels": "names of the panels to measure",
        },
        {"panels": "by panel: spots, each a list of touches"},
        "film:judge_film",
        "text:film_panels",
    ),
    Kind(
        "cylinders",
        "compression or leak-down of every cylinder",
        {
            "measure": "compression or leak-down",
            "count": "how many cylinders there are",
            "limit-percent": "compression: least share of the highest (75); leak-down: most "
            "leak (25)",
            "supply": "leak-down: the supply pressure, 80 psi if not given",
            "pass": "what passes, in percent: {at-least} or {at-most}",
        },
        {"values": "one figure a cylinder, in their order"},
        "cylinders:judge_cylinders",
        "text:value_list",
    ),
    Kind(
        "tread",
        "tread depth across each tyre",
        {
            "least": "least depth",
            "limit": _LIMIT,
            "pass": "what passes: {at-least}",
            "tyres": "names of the tyres to measure",
        },
        {"tyres": "by tyre: depths outer, middle, inner"},
        "tread:judge_tread",
        "text:tyre_groups",
    ),
    Kind(
        "diagonals",
        "two diagonals of a frame or an opening",
        {"length": "length of the sides", "limit": "how far they may differ", "pass": _PASS},
        {
            "left-to-right": "from front left to rear right",
            "right-to-left": "from front right to rear left",
            "difference": "only how far they differ, if only that was taken down",
        },
        "geometry:judge_diagonals",
        "text:two_diagonals",
    ),
    Kind(
        "wall",
        "metal left of a wall",
        {
            "nominal": "thickness when new",
            "gauge": "sheet gauge number, instead of nominal",
            "limit-percent": "most that may be gone, percent",
            "pass": "what passes, in percent gone: {at-most}",
        },
        {"values": "thicknesses measured", "value": "one thickness"},
        "wall:judge_wall",
        "text:value_list",
    ),
    Kind(
        "toe",
        "toe from two distances between the wheels of an axle",
        {
            "rim-diameter": "diameter at which the distances are taken",
            "limit": "most toe in or out",
            "pass": _PASS,
            "fail": _FAIL,
        },
        {
            "front": "distance in front of the axle",
            "rear": "distance behind the axle",
            "toe": "rear less front, if only that was taken down",
        },
        "geometry:judge_toe",
        "text:two_distances",
    ),
    Kind(
        "camber-caster",
        "camber straight ahead, caster from a sweep",
        {
            "steer": "degrees the wheel is steered each way, 20 if not given",
            "camber": "limits of camber: {at-least, at-most}",
            "caster": "limits of caster: {at-least, at-most}",
            "difference": "most the two sides may differ",
        },
        {
            "straight": "camber straight ahead",
            "inner": "camber with the wheel on the inside of the turn",
            "outer": "camber with the wheel on the outside of the turn",
            "left": "straight, inner, outer of the left wheel",
            "right": "straight, inner, outer of the right wheel",
        },
        "camber:judge_camber_caster",
        "text:camber_sweep",
    ),
    Kind(
        "lash",
        "free play at the rim of the steering wheel",
        {
            "wheel-diameter": "diameter of the steering wheel",
            "limit": "most play, if not that of 49 CFR 570.7",
            "pass": "what passes: {at-most}",
        },
        {"value": "the play"},
        "lash:judge_lash",
    ),
    Kind(
        "runout",
        "full swing of an indicator over one turn",
        {"at-most": "most swing", "limit": _LIMIT, "pass": "what passes: {at-most}"},
        {"readings": "indicator readings", "total": "only the full swing"},
        "geometry:judge_runout",
        "text:indicator_readings",
    ),
    Kind(
        "battery",
        "state of charge from the volts at rest",
        {
            "nominal": "6 or 12 V",
            "rested": "whether it has rested some hours",
            "pass": _PASS,
            "fail": _FAIL,
        },
        {
            "volts": "volts at the posts",
            "temperature": "of the battery",
            "rested": "whether it has",
        },
        "battery:judge_battery",
        "text:volts_and_temperature",
    ),
    Kind(
        "timed",
        "a change over a countdown",
        {"seconds": "how long", "at-most-per-minute": "most change in a minute"},
        {
            "start": "at the start",
            "end": "at the end",
            "change": "only the change, if only that was taken down",
            "seconds": "how long it really took",
        },
        "timed:judge_timed",
        "text:start_and_end",
    ),
    Kind(
        "signs-seen",
        "which signs are there",
        {"choices": _CHOICES},
        {"value": "one or more of them"},
        "choices:judge_signs",
    ),
    Kind("yes-no", "yes or no", {"choices": _CHOICES}, _VALUE, "choices:judge_yes_no"),
    Kind(
        "count",
        "how many",
        {"choices": "counts such as `0`, `1-2`, `3 or more`, each with its result"},
        {"value": "a whole number"},
        "choices:judge_count",
    ),
)

_MARKS = (
    Kind(
        "stamp",
        "stamped characters against their mark and the car",
        {"mark": _MARK, "first": _FIRST},
        {"value": "the characters, ? for what can't be read"},
        "stamp:judge_stamp",
    ),
    Kind(
        "date-code",
        "a stamped or cast date against the day the car was built",
        {
            "mark": _MARK,
            "built": "when the car was built: a date, a year or a fact",
            "window-days": "how long before the build the part may be dated",
            "span": "days the part was made for",
            "first": _FIRST,
        },
        {"value": "the characters, ? for what can't be read"},
        "datecode:judge_date_code",
    ),
    Kind(
        "vin",
        "a vehicle identification number of 17 characters",
        {"year": "model year, if known"},
        {"value": "the number"},
        "vin:judge_vin",
    ),
    Kind(
        "tyre-age",
        "week and year a tyre was made",
        {"on": "the day it is judged on"},
        {"value": "the code, or its last three or four digits"},
        "tyreage:judge_age",
    ),
    Kind(
        "tyre-size",
        "the size of a tyre, against the size that belongs there",
        {
            "fitted": "the size that belongs there, or the fact that says it",
            "specified": "the size that belongs there, by its other name",
        },
        {"value": "the size as marked, or those of an axle with `;` between them"},
        "tyres:judge_size",
    ),
)

#: Every reading kind by its name.
KINDS: Mapping[str, Kind] = {kind.name: kind for kind in (*_MEASURES, *_MARKS)}
