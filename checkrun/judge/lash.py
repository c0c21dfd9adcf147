"""Free play at the rim of the steering wheel against the limit for its diameter."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from checkrun import tables
from checkrun.judge import fields as take
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement
from checkrun.judge.limits import Bound, as_typed, decide, limits_of, said
from checkrun.units import Unit, convert

_SIZES = (16, 18, 20, 22)
#: Between the rows the limit is linear, as the Utah rule R714-162-9 prints it (verified).
_BETWEEN = "linear between the rows, as Utah R714-162-9 prints it (verified)"


def judge_lash(fields: Fields, _car: Car) -> Judgement:
    """Play past the limit fails.

    The limit is that of 49 CFR 570.7 Table 1 for the wheel, linear between its rows and flat
    beyond them, or the one the spec gives.
    """
    unit = take.spec_unit(fields, "mm", "length")
    given = take.one(fields.get("value"), "value", unit)
    if given is None:
        raise BadReading("value: nothing is written yet")
    take.not_negative(given, "value", "play")
    bound = _bound(fields, unit)
    limits = limits_of({"pass": fields.get("pass")}, unit)
    limits = replace(limits, most=limits.most or bound, above=bound)
    if limits.most is not None and limits.most.value > bound.value:
        raise BadReading(f"pass: {limits.most.said} is past the limit of {bound.said}")
    told = f"play {as_typed(given, unit)} at the rim"
    verdict = decide(given.to(unit), take.uncertainty(fields, unit), limits, told)
    values = {
        "value": float(given.to(unit)),
        "limit": float(bound.value),
        "limit_source": bound.source or "the route",
    }
    return Judgement(
        verdict.outcome, (verdict.reason,), values, (bound.source,) if bound.source else ()
    )


def _bound(fields: Fields, unit: Unit) -> Bound:
    own = limits_of({"limit": fields.get("limit")}, unit).above
    if own is not None:
        return own
    wide = take.one(fields.get("wheel-diameter"), "wheel-diameter", unit)
    if wide is None:
        raise BadReading("wheel-diameter: the limit depends on it, and it is not given")
    inches = wide.to("in")
    if not 8 <= inches <= 30:
        raise BadReading(f"wheel-diameter: {wide} is no steering wheel")
    limit, source = lash_limit(inches)
    value = convert(limit, "in", unit)
    size = f"{said(limit, 'in')} for a wheel of {said(inches, 'in')}"
    told = f"{said(value, unit)} (49 CFR 570.7, {size})"
    return Bound(value, told, source)


def lash_limit(wheel_in: Decimal) -> tuple[Decimal, str]:
    """The most play in inches for a wheel diameter in inches, and where it is from."""
    rows = [tables.limit(f"us-in-use/lash-{size}") for size in _SIZES]
    if wheel_in <= _SIZES[0]:
        return rows[0].value, rows[0].said
    for at, size in enumerate(_SIZES[1:], 1):
        if wheel_in <= size:
            low, high = rows[at - 1].value, rows[at].value
            share = (wheel_in - _SIZES[at - 1]) / (size - _SIZES[at - 1])
            exact = rows[at].said if share == 1 else f"{rows[at].said}; {_BETWEEN}"
            return low + (high - low) * share, exact
    return rows[-1].value, f"{rows[-1].said}; the table ends at 22 in"
