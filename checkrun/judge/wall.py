"""Metal left of a wall against its nominal thickness or its sheet gauge number."""

from __future__ import annotations

from decimal import Decimal

from checkrun import tables
from checkrun.judge import fields as take
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement
from checkrun.judge.limits import as_typed, decide, figure, limits_of, said
from checkrun.units import Unit, convert, unit

_PERCENT = unit("%")


def judge_wall(fields: Fields, _car: Car) -> Judgement:
    """The share of the nominal thickness that is gone at the thinnest place."""
    of = take.spec_unit(fields, "mm", "length")
    nominal, sources = _nominal(fields, of)
    most = take.number(fields, "limit-percent", _PERCENT)
    spec = {"pass": fields.get("pass"), "fail": None if most is None else {"above": most}}
    limits = limits_of(spec, _PERCENT)
    given = [*take.many(fields.get("values"), "values", of)]
    given += [take.one(fields.get("value"), "value", of)]
    taken = [value for value in given if value is not None]
    if not taken:
        raise BadReading("values: nothing is written yet")
    for value in taken:
        take.not_negative(value, "values", "a thickness")
    thinnest = min(taken, key=lambda value: value.to(of))
    least = thinnest.to(of)
    lost = 100 * (nominal - least) / nominal
    told = (
        f"{as_typed(thinnest, of)} of {said(nominal, of)}, {figure(max(lost, Decimal(0)))} % gone"
    )
    if lost < 0:
        told = f"{as_typed(thinnest, of)}, more than the {said(nominal, of)} it had when new"
    out_by = 100 * take.uncertainty(fields, of) / nominal
    verdict = decide(lost, out_by, limits, told)
    values = {"least": float(least), "nominal": float(nominal), "percent_lost": float(lost)}
    return Judgement(verdict.outcome, (verdict.reason,), values, (*limits.sources, *sources))


def _nominal(fields: Fields, of: Unit) -> tuple[Decimal, tuple[str, ...]]:
    nominal = take.number(fields, "nominal", of)
    if nominal is not None:
        if not nominal:
            raise BadReading("nominal: no wall is of no thickness")
        return nominal, ()
    number = take.text(fields, "gauge")
    if not number:
        raise BadReading("nominal: give the thickness when new, or its gauge number")
    row = next((row for row in tables.rows("sheet-gauge") if row["gauge"] == number), None)
    if row is None:
        known = [row["gauge"] for row in tables.rows("sheet-gauge")]
        raise BadReading(
            f"gauge: {number[:40]} is not in the table, which has {known[0]} to {known[-1]}"
        )
    status = "verified" if row["status"] == "verified" else "from memory"
    source = f"steel sheet gauge {number} = {row['mm']} mm: {row['source']} ({status})"
    return convert(Decimal(row["mm"]), "mm", of), (source,)
