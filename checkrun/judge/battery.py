"""State of charge of a lead-acid battery from the volts it rests at."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

from checkrun import tables
from checkrun.judge import fields as take
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement, Outcome
from checkrun.judge.limits import Limits, as_typed, decide, figure, limits_of
from checkrun.units import unit

_DEGREES = unit("degC")
_VOLT = unit("V")
#: Passes at 12.4 V, fails under 12.0 V: three quarters and a quarter charged in the rounded
#: cross-check of the table (reference pack, verified).
_PASS, _FAIL = Decimal("12.4"), Decimal("12.0")
#: Six cells of 0.2 mV a degree each (from memory), beyond what is room temperature for the table.
_PER_DEGREE = Decimal("0.0012")
_ROOM = (Decimal(15), Decimal(30))
#: Over this a battery is being charged or holds a surface charge.
_SURFACE = Decimal("12.9")
#: Where a battery of 6 V rests.
_LOW_6, _HIGH_6 = Decimal("5.5"), Decimal(7)


def judge_battery(fields: Fields, _car: Car) -> Judgement:
    """State of charge by the handbook table, linear between its rows.

    A battery that has not rested proves nothing by a high reading; a low one is low all the same.
    Between 5.5 and 7 V it may be a sound battery of 6 V or a dead one of 12 V: the charge is that
    of 6 V, and nothing is decided unless the spec says which it is.
    """
    of = take.spec_unit(fields, "V", "voltage")
    given = take.one(fields.get("volts", fields.get("value")), "volts", of)
    if given is None:
        raise BadReading("volts: nothing is written yet")
    volts = given.to("V")
    if volts < 0:
        raise BadReading(f"volts: {given} is under zero; change the leads of the meter over")
    if volts > 20:
        raise BadReading(f"volts: {given} is no battery of 6 or 12 V at rest")
    warm = take.one(fields.get("temperature"), "temperature", _DEGREES)
    nominal = _nominal(fields)
    times = 2 if nominal == 6 or (nominal is None and _LOW_6 <= volts < _HIGH_6) else 1
    level = volts + _correction(None if warm is None else warm.to(_DEGREES)) / times
    out_by = take.uncertainty(fields, _VOLT)
    charge, low, high = (
        state_of_charge(times * v) for v in (level, level - out_by, level + out_by)
    )
    rested = take.yes_or_no(fields, "rested")
    guessed = nominal is None and times == 2
    note = _note(times * level, guessed, rested, level != volts)
    spread = f" ({figure(low)} to {figure(high)} %)" if low != high else ""
    told = f"{figure(charge)} % charged{spread}, {as_typed(given, _VOLT)}"
    verdict = decide(level, out_by, _limits(fields, times), told)
    outcome, reasons = verdict.outcome, [verdict.reason]
    if guessed or times * level > _SURFACE:
        outcome = Outcome.UNDECIDED
    if rested is False and outcome is not Outcome.FAIL:
        outcome = Outcome.UNDECIDED
        reasons.insert(0, "not rested: a surface charge can hide a flat battery for hours")
    values = {"state_of_charge": float(charge), "note": note}
    return Judgement(outcome, (*reasons, *([note] if note else [])), values, _SOURCES)


_SOURCES = (
    "rest volts and charge: table long printed in battery handbooks (verified)",
    "charge it under 12.4 V, flat under 12.0 V: rounded cross-check of that table (verified)",
)


def _nominal(fields: Fields) -> int | None:
    """6 or 12 as the spec says or its limits show, else None."""
    given = take.one(fields.get("nominal"), "nominal", _VOLT)
    if given is not None:
        if given.value not in (6, 12):
            raise BadReading(f"nominal: {given} is neither 6 V nor 12 V")
        return int(given.value)
    own = limits_of({"pass": fields.get("pass"), "fail": fields.get("fail")}, _VOLT)
    bounds = [b.value for b in (own.least, own.most, own.below, own.above) if b is not None]
    return None if not bounds else 6 if max(bounds) < 9 else 12


def _limits(fields: Fields, times: int) -> Limits:
    """The limits of the spec, or the usual ones, halved for a 6 V battery."""
    spec = {"pass": fields.get("pass"), "fail": fields.get("fail")}
    if not any(spec.values()):
        spec = {"pass": {"at-least": _PASS / times}, "fail": {"below": _FAIL / times}}
    return limits_of(spec, _VOLT)


def _correction(degrees: Decimal | None) -> Decimal:
    """What to add to the volts for the temperature; nothing at room temperature."""
    if degrees is None:
        return Decimal(0)
    if not -50 <= degrees <= 90:
        raise BadReading(f"temperature: {degrees} degC is no battery")
    nearest = max(_ROOM[0], min(degrees, _ROOM[1]))
    return (nearest - degrees) * _PER_DEGREE


def state_of_charge(volts: Decimal) -> Decimal:
    """Percent charged of a 12 V battery at its rest volts, 0 to 100."""
    rows = [(Decimal(r["volts"]), Decimal(r["percent"])) for r in tables.rows("battery")]
    if volts <= rows[0][0]:
        return rows[0][1]
    for (low, less), (high, more) in pairwise(rows):
        if volts <= high:
            return less + (more - less) * (volts - low) / (high - low)
    return rows[-1][1]


def _note(level: Decimal, guessed: bool, rested: bool | None, corrected: bool) -> str:
    notes = []
    if guessed:
        notes.append("as a 6 V battery; one of 12 V would be dead at this")
    if level > _SURFACE:
        notes.append("too high for rest: on charge, or just off it; wait some hours")
    elif rested is None:
        notes.append("holds only for a battery that has rested some hours")
    if level < Decimal("10.6"):
        notes.append("as low as with a dead cell")
    if corrected:
        notes.append("corrected for its temperature by 1.2 mV a degree (from memory)")
    return "; ".join(notes)
