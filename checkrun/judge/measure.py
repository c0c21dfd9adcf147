"""One quantity against limits."""

from __future__ import annotations

from checkrun.judge.fields import one, spec_unit, uncertainty
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement
from checkrun.judge.limits import as_typed, decide, limits_of

#: What can't be less than nothing, unless a limit of the route is under zero.
_NEVER_NEGATIVE = frozenset(("length", "pressure", "time", "mass", "volume", "speed", "share"))


def judge_measure(fields: Fields, _car: Car) -> Judgement:
    """One quantity: pass inside `pass`, fail outside `fail`, a concern between them.

    A length, a pressure or a count under zero is refused unless a limit is under zero too: a
    difference typed as -14 mm would otherwise pass as being less than 10.
    """
    unit = spec_unit(fields, "")
    limits = limits_of(fields, unit)
    out_by = uncertainty(fields, unit)
    given = one(fields.get("value"), "value", unit)
    if given is None:
        raise BadReading("value: nothing is written yet")
    counted = unit.dimension in _NEVER_NEGATIVE or unit.dimension.startswith("number of ")
    if given.value < 0 and counted and not limits.takes_negative:
        raise BadReading(
            f"value: {given} is impossible here; write how much it is, without the minus"
        )
    value = given.to(unit)
    verdict = decide(value, out_by, limits, as_typed(given, unit))
    return Judgement(
        verdict.outcome,
        (verdict.reason,),
        {
            "value": float(value),
            "unit": unit.symbol,
            "margin": None if verdict.margin is None else float(verdict.margin),
        },
        limits.sources,
    )
