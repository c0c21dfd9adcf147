"""Camber straight ahead, and caster from the camber at two steer angles."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from checkrun.judge import fields as take
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement
from checkrun.judge.limits import Limits, decide, limits_of, said
from checkrun.judge.together import Finding, together
from checkrun.units import Unit, unit

_PARTS = ("straight", "inner", "outer")
_SIDES = ("left", "right")
_DEGREES = unit("deg")
_ROOT_2 = Decimal(2).sqrt()


@dataclass(frozen=True, slots=True)
class _Wheel:
    name: str
    camber: Decimal | None
    caster: Decimal | None
    missing: tuple[str, ...]


def judge_camber_caster(fields: Fields, _car: Car) -> Judgement:
    """Camber, caster and how the two sides differ, against limits if the spec gives any.

    Caster is (camber inside the turn - camber outside) / (2 sin of the steer angle), the same
    wheel turned equally each way. Without limits nothing is decided: they are the maker's.
    """
    of = take.spec_unit(fields, "deg", "angle")
    sine = _sine(fields)
    wheels = _wheels(fields, of, sine)
    out_by = take.uncertainty(fields, of)
    over = out_by * _ROOT_2 / (2 * sine)
    found: list[Finding] = []
    for wheel in wheels:
        found += _against(fields, "camber", wheel.name, wheel.camber, out_by, of)
        found += _against(fields, "caster", wheel.name, wheel.caster, over, of)
    values = _values(wheels)
    for name, give in (("camber", out_by), ("caster", over)):
        apart = values.get(f"{name}_difference")
        most = take.number(fields, "difference", of)
        if apart is not None:
            bound = {"limit": most} if most is not None else {}
            told = f"{name} differs by {said(abs(apart), of)} between the sides"
            verdict = decide(abs(apart), give * _ROOT_2, limits_of(bound, of), told)
            found.append((verdict.outcome, verdict.reason))
    missing = [f"{w.name} {part}".strip() for w in wheels for part in w.missing]
    outcome, reasons = together(found, f"missing {', '.join(missing)}" if missing else "")
    return Judgement(outcome, reasons, _plain(values))


def _sine(fields: Fields) -> Decimal:
    steer = take.number(fields, "steer", _DEGREES)
    angle = Decimal(20) if steer is None else steer
    if not 5 <= angle <= 45:
        raise BadReading(f"steer: {angle} degrees each way; a sweep is made at 5 to 45")
    return Decimal(repr(math.sin(math.radians(float(angle)))))


def _wheels(fields: Fields, of: Unit, sine: Decimal) -> list[_Wheel]:
    sides = [(name, fields[name]) for name in _SIDES if fields.get(name) is not None]
    if not sides:
        sides = [("", {part: fields.get(part) for part in _PARTS})]
    wheels = [_wheel(name, given, of, sine) for name, given in sides]
    if all(wheel.camber is None and wheel.caster is None for wheel in wheels):
        raise BadReading("straight, inner and outer: no angle is written yet")
    return wheels


def _wheel(name: str, given: Any, of: Unit, sine: Decimal) -> _Wheel:
    if isinstance(given, Mapping):
        strange = next((key for key in given if key not in _PARTS), None)
        if strange is not None:
            raise BadReading(f"{name}: give straight, inner and outer, nothing else")
        angles = [take.one(given.get(p), f"{p} {name}".strip(), of) for p in _PARTS]
    else:
        angles = take.many(given, name, of)
        if len(angles) > len(_PARTS):
            raise BadReading(f"{name}: {len(angles)} angles; give straight, inner, outer")
    angles += [None] * (len(_PARTS) - len(angles))
    for part, angle in zip(_PARTS, angles, strict=True):
        if angle is not None and abs(angle.to(_DEGREES)) > 45:
            raise BadReading(f"{part} {name}".strip() + f": {angle} is no angle of a wheel")
    camber, inner, outer = (None if angle is None else angle.to(of) for angle in angles)
    caster = None if inner is None or outer is None else (inner - outer) / (2 * sine)
    gone = tuple(p for p, angle in zip(_PARTS, angles, strict=True) if angle is None)
    return _Wheel(name, camber, caster, gone)


def _against(
    fields: Fields, what: str, side: str, value: Decimal | None, out_by: Decimal, of: Unit
) -> list[Finding]:
    if value is None:
        return []
    limits: Limits = limits_of({"pass": fields.get(what)}, of)
    verdict = decide(value, out_by, limits, f"{what} {side} {said(value, of)}".replace("  ", " "))
    return [(verdict.outcome, verdict.reason)]


def _values(wheels: list[_Wheel]) -> dict[str, Any]:
    if len(wheels) == 1:
        return {"camber": wheels[0].camber, "caster": wheels[0].caster}
    left, right = wheels
    values: dict[str, Any] = {
        "camber": {wheel.name: wheel.camber for wheel in wheels},
        "caster": {wheel.name: wheel.caster for wheel in wheels},
    }
    pairs = (("camber", left.camber, right.camber), ("caster", left.caster, right.caster))
    for name, one, other in pairs:
        values[f"{name}_difference"] = None if one is None or other is None else one - other
    return values


def _plain(values: Any) -> Any:
    if isinstance(values, dict):
        return {name: _plain(value) for name, value in values.items()}
    return float(values) if isinstance(values, Decimal) else values
