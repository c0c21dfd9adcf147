"""Gaps left and right at the same points: side difference, tapers, tapers that oppose."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from checkrun.judge import fields as take
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement, Outcome
from checkrun.judge.limits import said
from checkrun.judge.spread import mean
from checkrun.judge.together import Finding, together
from checkrun.judge.words import listed
from checkrun.units import Unit

_ROOT_2 = Decimal(2).sqrt()
#: A taper of less than this share of its limit is not counted as one when two are compared;
#: common practice: a hand-fitted panel is never quite even.
_COUNTS = Decimal("0.25")
_Gaps = list[Decimal | None]


@dataclass(frozen=True, slots=True)
class _Limits:
    unit: Unit
    side: Decimal | None
    taper: Decimal | None
    out_by: Decimal


def judge_gaps(fields: Fields, _car: Car) -> Judgement:
    """Even and alike passes; past a limit is a concern; tapers that oppose each other fail.

    Side difference and taper past their limit the same way on both sides may be wear, hinges or
    careless fitting: a concern. Opposite tapers whose sum is past the taper limit are what a body
    section put on askew shows (common practice): they fail; smaller ones are a concern.
    """
    unit = take.spec_unit(fields, "mm", "length")
    points = take.names(fields.get("points"), "points")
    left, right = (_side(fields, name, unit, points) for name in ("left", "right"))
    count = len(points) or max(len(left), len(right))
    if not count or not any(gap is not None for gap in left + right):
        raise BadReading("left and right: no gap is written yet")
    left, right = (side + [None] * (count - len(side)) for side in (left, right))
    limits = _Limits(
        unit,
        take.number(fields, "side-difference", unit),
        take.number(fields, "taper", unit),
        take.uncertainty(fields, unit),
    )
    values = _values(left, right, limits)
    found = [*_tapers(values, limits), *_side_difference(values, limits)]
    missing = _missing(left, right, points)
    if not found and not missing:
        found = [(Outcome.UNDECIDED, "no limit is given for the gaps")]
    outcome, reasons = together(found, missing)
    shown = {
        name: float(value) if isinstance(value, Decimal) else value
        for name, value in values.items()
    }
    return Judgement(outcome, reasons, shown)


def _side(fields: Fields, name: str, unit: Unit, points: tuple[str, ...]) -> _Gaps:
    given = take.many(fields.get(name), name, unit)
    if points and len(given) > len(points):
        raise BadReading(f"{name}: {len(given)} gaps for {len(points)} points ({listed(points)})")
    for number, gap in enumerate(given, 1):
        if gap is not None:
            take.not_negative(gap, f"value {number} of {name}", "a gap")
            take.not_beyond(gap, 200, f"value {number} of {name}", "gap")
    return [None if gap is None else gap.to(unit) for gap in given]


def _values(left: _Gaps, right: _Gaps, limits: _Limits) -> dict[str, Any]:
    """The computed values; the sides are compared at the points that were taken on both."""
    both = [(a, b) for a, b in zip(left, right, strict=True) if a is not None and b is not None]
    taken = [[gap for gap in side if gap is not None] for side in (left, right)]
    tapers = [_taper(side) for side in (left, right)]
    side = abs(mean([a for a, _ in both]) - mean([b for _, b in both])) if both else None
    least = max(
        limits.out_by * _ROOT_2, Decimal(0) if limits.taper is None else limits.taper * _COUNTS
    )
    opposite = None
    if tapers[0] is not None and tapers[1] is not None:
        apart = min(abs(tapers[0]), abs(tapers[1]))
        opposite = tapers[0] * tapers[1] < 0 and apart >= least and apart > 0
    return {
        "left_mean": mean(taken[0]) if taken[0] else None,
        "right_mean": mean(taken[1]) if taken[1] else None,
        "side_difference": side,
        "largest_point_difference": max((abs(a - b) for a, b in both), default=None),
        "taper_left": tapers[0],
        "taper_right": tapers[1],
        "opposite_tapers": opposite,
    }


def _taper(side: _Gaps) -> Decimal | None:
    if len(side) < 2 or side[0] is None or side[-1] is None:
        return None
    return side[-1] - side[0]


def _tapers(values: dict[str, Any], limits: _Limits) -> list[Finding]:
    left, right = values["taper_left"], values["taper_right"]
    unit, most = limits.unit, limits.taper
    if values["opposite_tapers"]:
        told = f"left {_way(left, unit)}, right {_way(right, unit)}: opposite tapers"
        total = abs(left) + abs(right)
        if most is not None and total - limits.out_by * 2 > most:
            return [(Outcome.FAIL, f"{told}, {said(total, unit)} in all, past {said(most, unit)}")]
        return [(Outcome.CONCERN, f"{told}, {said(total, unit)} in all")]
    found = []
    for side, taper in (("left", left), ("right", right)):
        if taper is not None and most is not None:
            found.append(_against(abs(taper), most, limits, f"{side} {_way(taper, unit)}"))
    return found


def _side_difference(values: dict[str, Any], limits: _Limits) -> list[Finding]:
    found: Decimal | None = values["side_difference"]
    if found is None or limits.side is None:
        return []
    told = f"the sides differ by {said(found, limits.unit)} in the mean"
    return [_against(found, limits.side, limits, told)]


def _against(size: Decimal, most: Decimal, limits: _Limits, told: str) -> Finding:
    give = limits.out_by * _ROOT_2
    if size + give <= most:
        return Outcome.PASS, f"{told}, within {said(most, limits.unit)}"
    if size - give > most:
        return Outcome.CONCERN, f"{told}, past {said(most, limits.unit)}"
    near = f"too near {said(most, limits.unit)} to be proven inside (ISO 14253-1)"
    return Outcome.CONCERN, f"{told} +/- {said(give, limits.unit)}: {near}"


def _way(taper: Decimal, unit: Unit) -> str:
    if not taper:
        return "does not taper"
    return f"{'opens' if taper > 0 else 'closes'} by {said(abs(taper), unit)}"


def _missing(left: _Gaps, right: _Gaps, points: tuple[str, ...]) -> str:
    gone = [
        f"{name} {points[at] if at < len(points) else at + 1}"
        for name, side in (("left", left), ("right", right))
        for at, gap in enumerate(side)
        if gap is None
    ]
    total = len(left) + len(right)
    return f"{total - len(gone)} of {total} gaps; missing {listed(gone)}" if gone else ""
