"""From a typed line to the fields of a reading's value, one function a shape.

Every function is given the spec, the line, and the unit bare numbers were typed in (empty if that
of the spec), and leaves texts: whether they are quantities is for the judgement to say.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from checkrun.judge.fields import names
from checkrun.judge.fields import text as text_of
from checkrun.judge.grammar import Group, Value, groups
from checkrun.judge.judgement import BadReading, Fields
from checkrun.units import NotAQuantity, Unit, free_unit

#: Other words for the sides and the corners of a car, as seen from the driver's seat.
_SIDES: Mapping[str, str] = {"l": "left", "lh": "left", "r": "right", "rh": "right"}
_CORNERS: Mapping[str, tuple[str, ...]] = {
    "lf": ("left-front", "front-left", "fl", "lhf"),
    "rf": ("right-front", "front-right", "fr", "rhf"),
    "lr": ("left-rear", "rear-left", "rl", "lhr"),
    "rr": ("right-rear", "rear-right", "rhr"),
}


def one_value(_spec: Fields, line: str, unit: str) -> Fields:
    """The whole line is the value."""
    found = groups(line, (), unit) if unit else []
    bare = len(found) == 1 and not found[0].label and len(found[0].values) == 1
    if bare and not found[0].values[0].unit and found[0].values[0].number[-1:].isdigit():
        return {"value": f"{found[0].values[0].number} {unit}"}
    return {"value": line.strip()}


def value_list(spec: Fields, line: str, unit: str) -> Fields:
    """Every value in one list; labels are left in it, to be refused there."""
    found = _groups(spec, line, (), unit)
    return {"values": [item for group in found for item in (*_label(group), *group.texts())]}


def two_sides(spec: Fields, line: str, unit: str) -> Fields:
    """`left` and `right`; without labels the first group or half is the left."""
    found = _groups(spec, line, ("left", "right"), unit)
    points = len(_names(spec, "points"))
    return _named(_halved(found, points), ("left", "right"), _SIDES)


def film_panels(spec: Fields, line: str, unit: str) -> Fields:
    """`panels`: each value is a spot; `/` between blanks, or brackets, keep touches together."""
    wanted = _names(spec, "panels")
    line = line.replace("(", " / ").replace(")", " / ")
    found = _groups(spec, line, wanted, unit, spots=True)
    if len(found) == 1 and not found[0].label and len(found[0].values) == len(wanted) > 1:
        found = [Group("", [value]) for value in found[0].values]
    panels: dict[str, Any] = {name: [] for name in wanted}
    for name, group in _named_groups(found, wanted, {}):
        panels[name] = [*panels.get(name, []), *_spots(group)]
    return {"panels": panels}


def tyre_groups(spec: Fields, line: str, unit: str) -> Fields:
    """`tyres`: outer, middle and inner of each."""
    wanted = _names(spec, "tyres")
    words = {other: name for name in wanted for other in _corner_words(name)}
    found = _groups(spec, line, (*wanted, *(w for w in words if len(w) > 2)), unit)
    if not any(group.label for group in found) and wanted:
        values = [value for group in found for value in group.values]
        if len(wanted) == 1:
            found = [Group("", values)]
        elif len(found) == 1 or all(len(group.values) == 1 for group in found):
            found = [Group("", values[at : at + 3]) for at in range(0, len(values), 3)]
    tyres: dict[str, Any] = {name: [] for name in wanted}
    for name, group in _named_groups(found, wanted, words):
        tyres[name] = [*tyres.get(name, []), *group.texts()]
    return {"tyres": tyres}


def two_diagonals(spec: Fields, line: str, unit: str) -> Fields:
    """Both diagonals, or one figure that is their difference."""
    sides = ("left-to-right", "right-to-left")
    words = {"lr": sides[0], "rl": sides[1], "difference": "difference", "diff": "difference"}
    return _singles(spec, line, unit, sides, words, "difference")


def two_distances(spec: Fields, line: str, unit: str) -> Fields:
    """The distances in front and behind, or one figure that is the toe; `out 2` is toe out."""
    ways = ("front", "rear")
    words = {"f": "front", "r": "rear", "in": "toe", "toe in": "toe", "toe-in": "toe"}
    words.update(dict.fromkeys(("out", "toe out", "toe-out"), "out"), toe="toe")
    fields = dict(_singles(spec, line, unit, ways, words, "toe"))
    out = fields.pop("out", None)
    return fields if out is None else {**fields, "toe": f"-{out}"}


def start_and_end(spec: Fields, line: str, unit: str) -> Fields:
    """The figures at the start and at the end, or one that is the change."""
    words = {"change": "change", "from": "start", "to": "end"}
    return _singles(spec, line, unit, ("start", "end"), words, "change")


def indicator_readings(spec: Fields, line: str, unit: str) -> Fields:
    """The readings of an indicator, or one figure that is its full swing."""
    found = _groups(spec, line, (), unit)
    readings = [item for group in found for item in (*_label(group), *group.texts())]
    return {"total": readings[0]} if len(readings) == 1 else {"readings": readings}


def volts_and_temperature(spec: Fields, line: str, unit: str) -> Fields:
    """The volts, then the temperature if one is given."""
    values = [value for group in _groups(spec, line, (), unit) for value in group.values]
    if len(values) == 2 and values[0].unit == values[1].unit and _is_temperature(values[1].unit):
        values[0].unit = ""
    fields = dict(zip(("volts", "temperature"), map(str, values), strict=False))
    return fields if 0 < len(values) <= 2 else {"volts": line.strip()}


def camber_sweep(spec: Fields, line: str, unit: str) -> Fields:
    """Straight, inner and outer of one wheel, or of the left and of the right."""
    found = _groups(spec, line, ("left", "right"), unit)
    values = [value for group in found for value in group.values]
    if not any(group.label for group in found) and len(values) <= 3:
        return dict(zip(("straight", "inner", "outer"), map(str, values), strict=False))
    return _named(_halved(found, 3), ("left", "right"), _SIDES)


def _groups(
    spec: Fields, line: str, labels: Sequence[str], unit: str, *, spots: bool = False
) -> list[Group]:
    try:
        own = text_of(spec, "unit")
    except BadReading:
        own = ""
    found = groups(line, labels, unit or own, spots=spots)
    if unit:
        for group in found:
            for value in group.values:
                value.unit = value.unit or (unit if value.number[-1:].isdigit() else "")
    return found


def _names(spec: Fields, key: str) -> tuple[str, ...]:
    try:
        return names(spec.get(key), key)
    except BadReading:
        return ()


def _label(group: Group) -> list[str]:
    return [group.label] if group.label else []


def _halved(found: list[Group], each: int) -> list[Group]:
    """Two groups where no label says which is which."""
    if any(group.label for group in found):
        return found
    if len(found) == 2 and any(len(group.values) > 1 for group in found):
        return found
    values = [value for group in found for value in group.values]
    half = each or (len(values) // 2 if len(values) % 2 == 0 else len(values))
    return [Group("", part) for part in (values[:half], values[half:]) if part]


def _named(
    found: list[Group], wanted: Sequence[str], words: Mapping[str, str]
) -> dict[str, list[str]]:
    fields: dict[str, list[str]] = {}
    for name, group in _named_groups(found, wanted, words):
        fields[name] = [*fields.get(name, []), *group.texts()]
    return fields


def _named_groups(
    found: list[Group], wanted: Sequence[str], words: Mapping[str, str]
) -> list[tuple[str, Group]]:
    """Every group with its name: by its label, else by its place among those not named."""
    named = [_known(group.label, wanted, words) for group in found]
    free = iter([name for name in wanted if name not in named])
    return [
        (name or next(free, f"group {number}"), group)
        for number, (name, group) in enumerate(zip(named, found, strict=True), 1)
    ]


def _known(label: str, wanted: Sequence[str], words: Mapping[str, str]) -> str:
    """The wanted name a label means: itself, another word for it, or its only beginning."""
    key = _folded(label)
    if not key:
        return ""
    for name in wanted:
        if _folded(name) == key:
            return name
    if key in words:
        return words[key]
    begun = [name for name in wanted if _folded(name).startswith(f"{key} ")]
    return begun[0] if len(begun) == 1 else label


def _folded(label: str) -> str:
    return label.casefold().replace("-", " ").strip()


def _corner_words(name: str) -> tuple[str, ...]:
    key = _folded(name).replace(" ", "-")
    for corner, others in _CORNERS.items():
        if key == corner or key in others:
            return (corner, *(other.replace("-", " ") for other in others))
    return ()


def _singles(
    spec: Fields,
    line: str,
    unit: str,
    pair: tuple[str, str],
    words: Mapping[str, str],
    alone: str,
) -> Fields:
    """Two named figures, or one that stands for both; more than that is refused later."""
    labels = (*pair, *(word for word in words if len(word) > 2 or word == "to"))
    found = _groups(spec, line, labels, unit)
    values = [(group.label, value) for group in found for value in group.values]
    if len(values) == 1 and not values[0][0]:
        return {alone: str(values[0][1])}
    if len(values) > 2:
        return {alone: line.strip()}
    singles = [Group(label, [value]) for label, value in values]
    return {name: str(group.values[0]) for name, group in _named_groups(singles, pair, words)}


def _spots(group: Group) -> list[list[str]]:
    """The spots of a panel: each value one, unless `/` keeps touches together."""
    if not any(value.number == "/" for value in group.values):
        return [[str(value)] for value in group.values]
    spots: list[list[Value]] = [[]]
    for value in group.values:
        if value.number == "/":
            spots.append([])
        else:
            spots[-1].append(value)
    return [[str(value) for value in spot] for spot in spots if spot]


def _is_temperature(name: str) -> bool:
    try:
        found: Unit = free_unit(name)
    except NotAQuantity:
        return False
    return found.dimension == "temperature"
