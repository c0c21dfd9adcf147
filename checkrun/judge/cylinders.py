"""Compression and leak-down: the lowest cylinder over the highest, neighbours that are both low."""

from __future__ import annotations

from decimal import Decimal

from checkrun.judge import fields as take
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement, Outcome
from checkrun.judge.limits import Limits, Verdict, decide, figure, limits_of, said
from checkrun.judge.together import together
from checkrun.judge.words import counted, listed
from checkrun.units import Unit, unit

_PERCENT = unit("%")
_PSI = unit("psi")
#: A cylinder under nine tenths of the highest is low when neighbours are compared (common
#: practice).
_LOW = Decimal("0.9")
_COMPRESSION = (
    "lowest at least 75 % of the highest: two makers' workshop manuals (verified), common practice"
)
_LEAK = (
    "at most 25 % leak, 60 of 80 psi: FAA AC 43.13-1B 8-14 as quoted (verified), an aircraft rule "
    "used by analogy"
)
_NEIGHBOURS = "two low neighbours point to the gasket between them: workshop manual (verified)"


def judge_cylinders(fields: Fields, _car: Car) -> Judgement:
    """Compression by the lowest over the highest, leak-down by the largest leak."""
    way = take.one_of(fields, "measure", ("compression", "leak-down"), "compression")
    of = take.spec_unit(fields, "psi" if way == "compression" else "%")
    if way == "compression" and of.dimension != "pressure":
        raise BadReading(f"unit: compression is a pressure, not a {of.dimension}")
    if way == "leak-down" and of.dimension not in ("pressure", "share"):
        raise BadReading(f"unit: leak-down is a share or a pressure, not a {of.dimension}")
    figures, missing = _figures(fields, of)
    taken = {n: value for n, value in figures.items() if value is not None}
    if way == "compression":
        verdict, low, source = _compression(fields, of, taken)
    else:
        verdict, low, source = _leak_down(fields, of, taken)
    pairs = [f"{n} and {n + 1}" for n in sorted(low) if n + 1 in low]
    found = [(verdict.outcome, verdict.reason)]
    sources = [source] if source else []
    if pairs:
        told = f"neighbours {', '.join(pairs)} are both low: look at the gasket there"
        found.append((Outcome.CONCERN, told))
        sources.append(_NEIGHBOURS)
    gone = ""
    if missing:
        have = f"{counted(len(taken))} of {counted(len(taken) + len(missing))} cylinders"
        gone = f"{have}; missing {listed(map(str, missing))}"
    outcome, reasons = together(found, gone)
    lowest, highest = min(taken.values()), max(taken.values())
    values = {
        "lowest": float(lowest),
        "highest": float(highest),
        "lowest_over_highest": float(lowest / highest) if highest else None,
        "adjacent_low": bool(pairs),
    }
    return Judgement(outcome, reasons, values, tuple(sources))


def _figures(fields: Fields, of: Unit) -> tuple[dict[int, Decimal | None], list[int]]:
    given = take.many(fields.get("values"), "values", of)
    if not any(value is not None for value in given):
        raise BadReading("values: no cylinder is written yet")
    count = take.number(fields, "count", unit(""), least="1")
    if count is not None and (count != int(count) or count > 24):
        raise BadReading(f"count: {count} is no number of cylinders")
    if count is not None and len(given) > count:
        raise BadReading(f"values: {len(given)} figures for {count} cylinders")
    for number, value in enumerate(given, 1):
        if value is not None:
            take.not_negative(value, f"value {number}", "a pressure or a leak")
    given += [None] * (int(count or 0) - len(given))
    figures = {n: None if q is None else q.to(of) for n, q in enumerate(given, 1)}
    return figures, [n for n, value in figures.items() if value is None]


def _limits(fields: Fields, default: str, side: str) -> tuple[Limits, bool]:
    own = take.number(fields, "limit-percent", _PERCENT)
    most = Decimal(default) if own is None else own
    spec = {"pass": fields.get("pass"), "fail": {side: most}}
    return limits_of(spec, _PERCENT), own is None or own == Decimal(default)


def _compression(
    fields: Fields, of: Unit, taken: dict[int, Decimal]
) -> tuple[Verdict, set[int], str]:
    highest = max(taken.values())
    if not highest:
        raise BadReading(
            "values: every cylinder reads nothing; is the gauge tight, the throttle open?"
        )
    at, lowest = min(taken.items(), key=lambda item: item[1])
    share = lowest / highest
    out_by = 100 * take.uncertainty(fields, of) / highest * (1 + share * share).sqrt()
    limits, usual = _limits(fields, "75", "below")
    told = (
        f"cylinder {at} lowest, {said(lowest, of)} of {said(highest, of)}, {figure(100 * share)} %"
    )
    low = {n for n, value in taken.items() if value < _LOW * highest}
    return decide(100 * share, out_by, limits, told), low, _COMPRESSION if usual else ""


def _leak_down(
    fields: Fields, of: Unit, taken: dict[int, Decimal]
) -> tuple[Verdict, set[int], str]:
    leaks, scale = dict(taken), Decimal(1)
    if of.dimension == "pressure":
        supply = take.number(fields, "supply", of)
        full = Decimal(80) * _psi_in(of) if supply is None else supply
        if not full:
            raise BadReading("supply: a supply of nothing shows no leak")
        scale = 100 / full
        leaks = {n: 100 * (full - value) / full for n, value in taken.items()}
    at, leak = max(leaks.items(), key=lambda item: item[1])
    if leak > 100 or min(leaks.values()) < 0:
        raise BadReading("values: a leak lies between nothing and 100 % of the supply")
    limits, usual = _limits(fields, "25", "above")
    verdict = decide(
        leak,
        take.uncertainty(fields, of) * scale,
        limits,
        f"cylinder {at} leaks most, {figure(leak)} %",
    )
    assert limits.above is not None
    low = {n for n, value in leaks.items() if value > limits.above.value}
    return verdict, low, _LEAK if usual else ""


def _psi_in(of: Unit) -> Decimal:
    ratio = _PSI.factor / of.factor
    return Decimal(ratio.numerator) / Decimal(ratio.denominator)
