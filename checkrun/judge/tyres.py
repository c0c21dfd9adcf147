"""The size of a tyre beside the size that belongs there, and beside the others of its axle."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from checkrun.judge.characters import text_of
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement, Outcome, worst
from checkrun.judge.several import parts_of
from checkrun.judge.tyresize import INCH_SOURCE, NO_RATIO_SOURCE, Size, size_of
from checkrun.judge.words import counted, listed

AXLE_SOURCE = "tyres of an axle alike in size and make-up: RCW 46.37.425(7) (verified)"
SIZE_SOURCE = (
    "another size within 3 % round, load no less than that of the size that belongs there: "
    "common practice"
)
_MOST_PERCENT = Decimal(3)
_SIDE = re.compile(r"^\s*(?:left|right|front|rear|[lr][fhr])\b[\s:]*", re.IGNORECASE)
#: The id of a fact that nobody may have been asked: words with hyphens, as in no size as marked.
_FACT = re.compile("[a-z]{2,}(?:-[a-z]{2,})+")
_BOTH = re.compile(
    r"[\s,]+(?:on\s+)?(?:both(?:\s+sides)?|all\s+(?:four|round)|alike)$", re.IGNORECASE
)


def judge_size(fields: Fields, car: Car) -> Judgement:
    """Judge the size of a tyre, or of the tyres of an axle.

    Args:
        fields: `value`: one size as marked, or several, in a list or with `;` between them;
            `fitted` (or `specified`): the size that belongs there, or the id of the fact that
            says it; where nobody was asked nothing is known.
        car: What is known of the car.

    Returns:
        Fail if the tyres differ, or the size is more than 3 % off round, or carries less than the
        one that belongs there; concern for another size or make-up; pass for the same.

    Raises:
        BadReading: If a size can't be read.
    """
    sizes = [size_of(text, "value") for text in _sizes(fields)]
    size = sizes[0]
    belongs = _belonging(fields, car)
    found = [*_alike(sizes), *_beside(size, belongs)]
    outcome = worst(*(result for result, _ in found))
    order = (Outcome.FAIL, Outcome.CONCERN, Outcome.PASS, Outcome.UNDECIDED)
    found.sort(key=lambda item: order.index(item[0]))
    sources = [AXLE_SOURCE] if len(sizes) > 1 else []
    sources += [SIZE_SOURCE] if belongs is not None else []
    for one in sizes if belongs is None else [*sizes, belongs]:
        if one.width is not None and not one.printed:
            sources.append(INCH_SOURCE if one.ratio is None else NO_RATIO_SOURCE)
    reasons = [reason for _, reason in found]
    reasons.append(_measures(size))
    return Judgement(
        outcome, tuple(reasons), _size_values(size, belongs), tuple(dict.fromkeys(sources))
    )


def _belonging(fields: Fields, car: Car) -> Size | None:
    """The size that belongs there, if it is known."""
    name = "fitted" if fields.get("fitted") else "specified"
    known = fields.get(name)
    if known is None or known == "":
        return None
    text = text_of({name: known}, "the size that belongs there", name)
    fact = text.removeprefix("car.").removeprefix("facts.")
    if fact in car.facts or _FACT.fullmatch(fact):
        said = car.facts.get(fact, "").strip()
        return size_of(said, fact) if said else None
    return size_of(text, name)


def _sizes(fields: Fields) -> list[str]:
    """The sizes typed: one, or those of an axle; `both sides` behind one stands for two."""
    value = fields.get("value")
    if isinstance(value, Sequence) and not isinstance(value, str):
        if not 1 <= len(value) <= 8:
            raise BadReading("value: one size, or those of an axle, is expected")
        return [text_of({"value": one}, "a tyre size") for one in value]
    text = text_of(fields, "the size as marked, such as 165/80 R 15 87H")
    one = _BOTH.sub("", text).strip()
    parts = [_SIDE.sub("", part) or part for part in parts_of(one) or [one]]
    return parts * 2 if one != text and len(parts) == 1 else parts


def _alike(sizes: list[Size]) -> list[tuple[Outcome, str]]:
    if len(sizes) == 1:
        return []
    if len({size.same_as for size in sizes}) == 1:
        return [(Outcome.UNDECIDED, f"{counted(len(sizes))} tyres of one size and make-up")]
    what = [
        name
        for name, values in (
            ("size", {(s.letter, s.width, s.ratio, s.rim) for s in sizes}),
            ("make-up", {s.construction for s in sizes}),
        )
        if len(values) > 1
    ]
    return [(Outcome.FAIL, f"the tyres differ in {listed(what)}")]


def _beside(size: Size, belongs: Size | None) -> list[tuple[Outcome, str]]:
    """A size held against the one that belongs there."""
    if belongs is None:
        return [(Outcome.UNDECIDED, "no size is given that belongs there, so say yourself")]
    found = []
    if size.same_as == belongs.same_as:
        found.append((Outcome.PASS, "the size that belongs there"))
    elif size.construction != belongs.construction:
        said = f"{size.construction} where {belongs.construction} belongs"
        found.append((Outcome.CONCERN, said))
    if size.same_as[:-1] != belongs.same_as[:-1]:
        found.append(_off(size, belongs))
    load, least = size.load_kg, belongs.load_kg
    if load is not None and least is not None and load < least:
        found.append((Outcome.FAIL, f"carries {load} kg, {least} kg belong there"))
    speed, wanted = size.speed_kmh, belongs.speed_kmh
    if speed is not None and wanted is not None and speed < wanted:
        found.append((Outcome.CONCERN, f"good for {speed} km/h, {wanted} km/h belong there"))
    return found


def _off(size: Size, belongs: Size) -> tuple[Outcome, str]:
    off = _difference(size, belongs)
    if off is None:
        return Outcome.CONCERN, "another size; how far it differs round can't be told from it"
    low, high = off
    if low == high:
        said = f"another size, {abs(low):.1f} % {'smaller' if low < 0 else 'larger'} round"
    else:
        said = f"another size, {low:+.1f} to {high:+.1f} % round"
    within = low >= -_MOST_PERCENT and high <= _MOST_PERCENT
    beyond = low > _MOST_PERCENT or high < -_MOST_PERCENT
    if beyond:
        return Outcome.FAIL, f"{said}: more than {_MOST_PERCENT} %"
    return Outcome.CONCERN, f"{said}: within {_MOST_PERCENT} %" if within else said


def _difference(size: Size, belongs: Size) -> tuple[Decimal, Decimal] | None:
    """Least and greatest difference of circumference, percent."""
    own, other = size.diameter, belongs.diameter
    if own is None or other is None:
        return None
    return 100 * (own[0] / other[1] - 1), 100 * (own[1] / other[0] - 1)


def _size_values(size: Size, belongs: Size | None) -> dict[str, Any]:
    across = size.diameter
    exact = across is not None and across[0] == across[1]
    off = None if belongs is None else _difference(size, belongs)
    if belongs is not None and size.same_as == belongs.same_as and not exact:
        off = Decimal(0), Decimal(0)
    values: dict[str, Any] = {
        "width": _plain(size.width),
        "ratio": _plain(size.ratio),
        "rim": _plain(size.rim),
        "construction": size.construction,
        "diameter": _plain(across[0]) if across and exact else None,
        "circumference": round(math.pi * float(across[0]), 1) if across and exact else None,
        "difference_percent": round(float(off[0]), 3) if off and off[0] == off[1] else None,
        "load_kg": _plain(size.load_kg),
        "speed_kmh": _plain(size.speed_kmh),
    }
    if across and not exact:
        values["diameter_range"] = [_plain(across[0]), _plain(across[1])]
    return values


def _plain(value: Decimal | None) -> float | int | None:
    if value is None:
        return None
    return int(value) if value == value.to_integral_value() else float(value)


def _measures(size: Size) -> str:
    """What the size means, in one line."""
    across = size.diameter
    parts = [size.construction]
    if across is None:
        parts.append(f"letter {size.letter} tells the load, not the width")
    elif across[0] == across[1]:
        parts.append(f"{across[0]:.0f} mm across, {math.pi * float(across[0]):.0f} mm round")
    else:
        parts.append(f"{across[0]:.0f} to {across[1]:.0f} mm across")
    if size.load_kg is not None:
        parts.append(f"{size.load_kg} kg")
    if size.speed_kmh is not None:
        parts.append(f"{size.speed_kmh} km/h")
    elif size.open_ended:
        parts.append(f"{size.speed}R: the speed is an open one, ask the maker")
    return ", ".join(parts)
