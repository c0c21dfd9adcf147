"""Readings that are distances turned into a figure: diagonals, toe, run-out."""

from __future__ import annotations

import math
from decimal import Decimal

from checkrun.judge import fields as take
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement
from checkrun.judge.limits import Limits, as_typed, decide, figure, limits_of, said
from checkrun.units import Quantity, Unit

_ROOT_2 = Decimal(2).sqrt()
_FEET_PER_MILE = 5280


def judge_diagonals(fields: Fields, _car: Car) -> Judgement:
    """How far two diagonals differ, and how far one side has slid along the other.

    For sides of length L that stay so long, the shift is (d1^2 - d2^2) / (4 L), exactly.
    """
    unit = take.spec_unit(fields, "mm", "length")
    length = take.number(fields, "length", unit)
    limits = limits_of(fields, unit)
    out_by = take.uncertainty(fields, unit)
    first, second = (_distance(fields, name, unit) for name in ("left-to-right", "right-to-left"))
    shift = None
    if first is not None and second is not None:
        one, other = first.to(unit), second.to(unit)
        difference = one - other
        shift = _shift(one, other, length)
        out_by *= _ROOT_2
    else:
        given = take.one(fields.get("difference"), "difference", unit)
        if given is None:
            raise BadReading(_one_of_two(first, second, "left-to-right", "right-to-left"))
        difference = abs(given.to(unit))
    told = f"the diagonals differ by {said(abs(difference), unit)}"
    verdict = decide(abs(difference), out_by, limits, told)
    reasons = [verdict.reason]
    if shift:
        side = "left" if shift < 0 else "right"
        reasons.append(f"the {side} side sits {said(abs(shift), unit)} farther back")
    values = {
        "difference": float(difference),
        "shift": None if shift is None else float(shift),
    }
    return Judgement(verdict.outcome, tuple(reasons), values, limits.sources)


def _shift(one: Decimal, other: Decimal, length: Decimal | None) -> Decimal | None:
    if length is None:
        return None
    if not length:
        raise BadReading("length: sides of no length have no diagonals")
    squares = one * one + other * other
    if squares <= 2 * length * length:
        raise BadReading(
            f"left-to-right and right-to-left: diagonals of sides of {figure(length)} are longer "
            "than that"
        )
    return (one * one - other * other) / (4 * length)


def _distance(fields: Fields, name: str, unit: Unit) -> Quantity | None:
    given = take.one(fields.get(name), name, unit)
    if given is not None:
        take.not_negative(given, name, "a distance")
    return given


def _one_of_two(
    first: Quantity | None, second: Quantity | None, first_name: str, second_name: str
) -> str:
    if first is None and second is None:
        return f"{first_name} and {second_name}: nothing is written yet"
    missing, present = (first_name, second_name) if first is None else (second_name, first_name)
    return f"one of two distances: {present} is there, {missing} is missing"


def judge_toe(fields: Fields, _car: Car) -> Judgement:
    """Toe of an axle, positive in: the distance behind less the distance in front.

    The total angle is 2 asin(d / 2D) at the measuring diameter D; side slip is 5280 d / D feet in
    a mile. `limit` is the most toe either way.
    """
    unit = take.spec_unit(fields, "mm", "length")
    wide = take.number(fields, "rim-diameter", unit)
    limits = _toe_limits(fields, unit)
    out_by = take.uncertainty(fields, unit)
    front, rear = (_distance(fields, name, unit) for name in ("front", "rear"))
    if front is not None and rear is not None:
        toe = rear.to(unit) - front.to(unit)
        out_by *= _ROOT_2
    else:
        given = take.one(fields.get("toe"), "toe", unit)
        if given is None:
            raise BadReading(_one_of_two(front, rear, "front", "rear"))
        toe = given.to(unit)
    degrees = slip = None
    told = f"toe-{'out' if toe < 0 else 'in'} {said(abs(toe), unit)}" if toe else "no toe"
    verdict = decide(toe, out_by, limits, told)
    reasons = [verdict.reason]
    if wide is not None:
        degrees, slip = _toe_angle(toe, wide)
        reasons.append(
            f"{figure(abs(degrees))} deg in all at {said(wide, unit)}, "
            f"side slip {figure(abs(slip))} ft a mile"
        )
    values = {"toe": float(toe), "degrees": degrees, "side_slip_ft_per_mile": slip}
    return Judgement(verdict.outcome, tuple(reasons), values, limits.sources)


def _toe_limits(fields: Fields, unit: Unit) -> Limits:
    most = take.number(fields, "limit", unit)
    if most is None:
        return limits_of({"pass": fields.get("pass"), "fail": fields.get("fail")}, unit)
    either_way = {"below": -most, "above": most}
    fail = {**either_way, **take.mapping(fields, "fail")}
    return limits_of({"pass": fields.get("pass"), "fail": fail}, unit)


def _toe_angle(toe: Decimal, wide: Decimal) -> tuple[float, float]:
    if not wide:
        raise BadReading("rim-diameter: toe is measured at some diameter")
    share = float(toe / wide)
    if abs(share) > 1:
        raise BadReading(f"toe: {figure(toe)} is impossible on a rim of {figure(wide)}")
    return math.degrees(2 * math.asin(share / 2)), _FEET_PER_MILE * share


def judge_runout(fields: Fields, _car: Car) -> Judgement:
    """The full swing of an indicator: its highest reading less its lowest."""
    unit = take.spec_unit(fields, "mm", "length")
    spec = {"pass": fields.get("pass"), "limit": fields.get("limit") or fields.get("at-most")}
    limits = limits_of(spec, unit)
    given = [q for q in take.many(fields.get("readings"), "readings", unit) if q is not None]
    if given:
        if len(given) == 1:
            raise BadReading("readings: one reading has no swing; give the lowest and the highest")
        figures = [reading.to(unit) for reading in given]
        total = max(figures) - min(figures)
        told = (
            f"{said(min(figures), unit)} to {said(max(figures), unit)}, {said(total, unit)} in all"
        )
    else:
        swing = take.one(fields.get("total"), "total", unit)
        if swing is None:
            raise BadReading("readings: nothing is written yet")
        take.not_negative(swing, "total", "a swing")
        total, told = swing.to(unit), as_typed(swing, unit)
    verdict = decide(total, take.uncertainty(fields, unit), limits, told)
    return Judgement(verdict.outcome, (verdict.reason,), {"total": float(total)}, limits.sources)
