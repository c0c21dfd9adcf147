"""A change over a countdown, and its rate."""

from __future__ import annotations

from decimal import Decimal

from checkrun.judge import fields as take
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement
from checkrun.judge.limits import decide, figure, limits_of, said
from checkrun.units import unit

_SECOND = unit("s")


def judge_timed(fields: Fields, _car: Car) -> Judgement:
    """A change of more than `at-most-per-minute`, up or down, fails."""
    of = take.spec_unit(fields, "mm")
    seconds = take.number(fields, "seconds", _SECOND)
    if seconds is None:
        raise BadReading("seconds: how long it took is not given")
    if not 0 < seconds <= 86400:
        raise BadReading(f"seconds: {figure(seconds)} s is no countdown")
    limits = limits_of({"limit": fields.get("at-most-per-minute")}, of)
    out_by = take.uncertainty(fields, of)
    start, end = (take.one(fields.get(name), name, of) for name in ("start", "end"))
    if start is not None and end is not None:
        change = end.to(of) - start.to(of)
        out_by *= Decimal(2).sqrt()
    else:
        only = take.one(fields.get("change"), "change", of)
        if only is None:
            gone = [n for n, given in (("start", start), ("end", end)) if given is None]
            raise BadReading(f"{' and '.join(gone)}: nothing is written yet")
        change = take.span(only, of)
    rate = change * 60 / seconds
    told = f"{said(abs(change), of)} in {figure(seconds)} s, {said(abs(rate), of)} a minute"
    verdict = decide(abs(rate), out_by * 60 / seconds, limits, told)
    values = {"change": float(change), "rate": float(rate)}
    return Judgement(verdict.outcome, (verdict.reason,), values, limits.sources)
