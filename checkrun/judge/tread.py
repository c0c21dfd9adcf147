"""Tread depth across each tyre: the least of it, and what the wear says."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from checkrun.judge import fields as take
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement, Outcome
from checkrun.judge.limits import Limits, as_typed, decide, limits_of
from checkrun.judge.together import Finding, together
from checkrun.judge.words import counted, listed
from checkrun.units import Quantity, Unit, convert

_PLACES = ("outer", "middle", "inner")
#: Depths within this of each other are even: a depth gauge in thirty-seconds of an inch can't tell
#: less (common practice).
_EVEN_MM = Decimal("0.8")
_SAYS = {
    "edges": "both edges worn: run soft",
    "centre": "centre worn: run too hard",
    "outer": "outer edge worn: toe or camber",
    "inner": "inner edge worn: toe or camber",
    "mixed": "worn unevenly across",
}


@dataclass(frozen=True, slots=True)
class _Tyre:
    name: str
    depths: tuple[Quantity | None, ...]
    least: Decimal | None
    pattern: str | None


def judge_tread(fields: Fields, _car: Car) -> Judgement:
    """Under the least depth fails; uneven wear is a concern.

    The limit is `least`, or `limit`, or that of 49 CFR 570.9(a) if the spec gives none.
    """
    unit = take.spec_unit(fields, "mm", "length")
    limits = _limits(fields, unit)
    out_by = take.uncertainty(fields, unit)
    tyres = [_tyre(name, value, unit) for name, value in _given(fields).items()]
    if not any(tyre.least is not None for tyre in tyres):
        raise BadReading("tyres: no depth is written yet")
    found: list[Finding] = []
    for tyre in tyres:
        found += _verdicts(tyre, limits, out_by, unit)
    outcome, reasons = together(found, _missing(tyres))
    values = {
        "least": float(min(tyre.least for tyre in tyres if tyre.least is not None)),
        "tyres": {
            tyre.name: {
                "least": None if tyre.least is None else float(tyre.least),
                "pattern": tyre.pattern,
            }
            for tyre in tyres
        },
    }
    return Judgement(outcome, reasons, values, limits.sources)


def _limits(fields: Fields, unit: Unit) -> Limits:
    least = fields.get("least")
    spec: dict[str, Any] = {"pass": fields.get("pass")}
    if least is None or least == "":
        spec["limit"] = fields.get("limit") or "us-in-use/tread-depth"
    else:
        spec["fail"] = {"below": least}
        spec["limit"] = fields.get("limit")
    return limits_of(spec, unit, plain_limit="below")


def _given(fields: Fields) -> dict[str, Any]:
    given = fields.get("tyres")
    if given is None or isinstance(given, str | list | tuple):
        return dict.fromkeys(take.names(given, "tyres"))
    return dict(take.mapping(fields, "tyres"))


def _tyre(name: str, value: Any, unit: Unit) -> _Tyre:
    depths = take.many(value, name, unit)
    if len(depths) > len(_PLACES):
        raise BadReading(f"{name}: {len(depths)} depths; give outer, middle, inner")
    for place, depth in zip(_PLACES, depths, strict=False):
        if depth is not None:
            take.not_negative(depth, f"{place} of {name}", "a depth")
            take.not_beyond(depth, 40, f"{place} of {name}", "tread")
    taken = [depth.to(unit) for depth in depths if depth is not None]
    even = convert(_EVEN_MM, "mm", unit)
    whole = pattern(taken[0], taken[1], taken[2], even) if len(taken) == len(_PLACES) else None
    return _Tyre(name, tuple(depths), min(taken, default=None), whole)


def pattern(outer: Decimal, middle: Decimal, inner: Decimal, even: Decimal) -> str:
    """What three depths across a tyre show; `even` is what they may differ by."""
    if max(outer, middle, inner) - min(outer, middle, inner) <= even:
        return "even"
    if min(outer, inner) - middle > even:
        return "centre"
    if middle - max(outer, inner) > even:
        return "edges"
    between = min(outer, inner) - even <= middle <= max(outer, inner) + even
    if between and abs(outer - inner) > even:
        return "outer" if outer < inner else "inner"
    return "mixed"


def _verdicts(tyre: _Tyre, limits: Limits, out_by: Decimal, unit: Unit) -> list[Finding]:
    if tyre.least is None:
        return []
    depth, place = min(
        ((depth, place) for depth, place in zip(tyre.depths, _PLACES, strict=False) if depth),
        key=lambda pair: pair[0].to(unit),
    )
    told = f"{tyre.name} {place} {as_typed(depth, unit)}"
    verdict = decide(tyre.least, out_by, limits, told)
    found = [(verdict.outcome, verdict.reason)]
    if tyre.pattern is not None and tyre.pattern != "even":
        found.append((Outcome.CONCERN, f"{tyre.name} {_SAYS[tyre.pattern]}"))
    return found


def _missing(tyres: list[_Tyre]) -> str:
    gone = []
    for tyre in tyres:
        taken = sum(depth is not None for depth in tyre.depths)
        if not taken:
            gone.append(tyre.name)
        elif taken < len(_PLACES):
            places = [
                place
                for at, place in enumerate(_PLACES)
                if at >= len(tyre.depths) or tyre.depths[at] is None
            ]
            gone.append(f"{tyre.name} {listed(places)}")
    whole = counted(len(tyres) - len(gone))
    return f"{whole} of {counted(len(tyres))} tyres; missing {'; '.join(gone[:12])}" if gone else ""
