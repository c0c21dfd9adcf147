"""Invented readings of every kind: lines somebody could have typed, and the one judged as wanted.

Each kind tries figures round its own limits, or characters of its own marks, and has them judged;
so an invented reading and its judgement always agree. The figures are ours and say nothing of any
car. Where no tried line is judged as wanted there is no reading.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from itertools import islice, pairwise
from random import Random

from checkrun import tables
from checkrun.judge import fields as take
from checkrun.judge.invented_marks import codes, sizes, stamps, tyre_weeks, vins
from checkrun.judge.judgement import BadReading, Car, Fields, Outcome
from checkrun.judge.kinds import judge_text
from checkrun.judge.limits import Limits, figure, limits_of
from checkrun.route.model import Reading
from checkrun.units import NotAQuantity, Unit, convert, unit

#: At most so many lines are tried for one reading.
_MOST = 120
_SHARES = [Decimal(n) / 100 for n in (0, 30, 50, 65, 80, 90, 96, 100, 104, 110, 125, 150, 200, 300)]
_PERCENT = unit("%")


def line_for(reading: Reading, outcome: Outcome, car: Car, chance: Random) -> str:
    """A line that is judged as wanted, or an empty one if none was found.

    Args:
        reading: What the route asks for.
        outcome: How it is to be judged.
        car: The car of the walk.
        chance: Where the figures come from.
    """
    make = _MAKERS.get(reading.kind)
    if make is None:
        return ""
    spec = {**reading.spec, **({"unit": reading.unit} if reading.unit else {})}
    try:
        made = list(dict.fromkeys(islice(make(spec, car, chance), _MOST)))
    except (BadReading, NotAQuantity, tables.NoSuchTable):
        return ""
    chance.shuffle(made)
    for line in made:
        found = judge_text(reading.kind, spec, line, car)
        if found.outcome is outcome and not found.problems:
            return line
    return ""


# Figures round limits


def _round(anchors: Iterable[Decimal], step: Decimal | None) -> Iterator[Decimal]:
    """Figures on, under, over and between some limits, as fine as the tool shows them."""
    limits = sorted(set(anchors))
    tried = [limit * share for limit in limits for share in _SHARES]
    tried += [
        low + (high - low) * share for low, high in pairwise(limits) for share in _SHARES[1:7]
    ]
    tried += [limit + n * (step or 1) for limit in limits for n in (-10, -5, -2, 2, 5, 10)]
    for value in tried:
        yield value if not step else (value / step).to_integral_value() * step


def _anchors(limits: Limits) -> list[Decimal]:
    bounds = (limits.least, limits.most, limits.below, limits.above)
    return [bound.value for bound in bounds if bound is not None]


def _known(*values: Decimal | None) -> list[Decimal]:
    return [value for value in values if value is not None]


def _step(spec: Fields, of: Unit) -> Decimal | None:
    return take.number(spec, "resolution", of)


def _measure(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "")
    anchors = _anchors(limits_of(spec, of))
    yield from map(figure, _round(anchors, _step(spec, of)))


def _runout(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "mm")
    anchors = _anchors(limits_of(spec, of)) + _known(take.number(spec, "at-most", of))
    yield from map(figure, _round(anchors, _step(spec, of)))


def _lash(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "mm")
    across = take.number(spec, "wheel-diameter", of) or Decimal(400)
    anchors = [*_anchors(limits_of({**spec, "limit": None}, of)), across / 8, across / 4]
    yield from map(figure, _round(anchors, _step(spec, of)))


def _wall(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "mm")
    nominal = take.number(spec, "nominal", of)
    if nominal is None:
        wanted = take.text(spec, "gauge")
        row = next(row for row in tables.rows("sheet-gauge") if row["gauge"] == wanted)
        nominal = convert(Decimal(row["mm"]), "mm", of)
    gone = _anchors(limits_of({"pass": spec.get("pass")}, _PERCENT))
    gone += _known(take.number(spec, "limit-percent", _PERCENT))
    step = _step(spec, of) or Decimal("0.01")
    for percent in _round(gone, None):
        least = nominal * (100 - percent) / 100
        yield f"{figure((least / step).to_integral_value() * step)}"


def _diagonals(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "mm")
    length = take.number(spec, "length", of) or Decimal(2100)
    one = (length * Decimal("1.12")).to_integral_value()
    for apart in _round(_anchors(limits_of(spec, of)), _step(spec, of)):
        if apart >= 0:
            yield f"{one} / {one + apart}"


def _toe(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "mm")
    anchors = _anchors(limits_of({**spec, "limit": None}, of))
    anchors += _known(take.number(spec, "limit", of))
    yield from map(figure, _round(anchors, _step(spec, of)))


def _timed(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "mm")
    seconds = take.number(spec, "seconds", unit("s")) or Decimal(60)
    rates = _anchors(limits_of({"limit": spec.get("at-most-per-minute")}, of))
    yield from map(figure, _round([rate * seconds / 60 for rate in rates], _step(spec, of)))


def _battery(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "V")
    volts = [Decimal(n) / 100 for n in range(1150, 1285, 5)]
    volts += _round(
        _anchors(limits_of({"pass": spec.get("pass"), "fail": spec.get("fail")}, of)), None
    )
    for rest in volts:
        yield figure(rest)
        yield figure(rest / 2)


# Several figures in one line


def _tread(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "mm")
    tyres = len(take.names(spec.get("tyres"), "tyres")) or 1
    anchors = _anchors(limits_of(spec, of, plain_limit="below"))
    anchors += _known(take.number(spec, "least", of)) or [convert(Decimal("1.6"), "mm", of)]
    for depth in _round(anchors, _step(spec, of)):
        if depth >= 0:
            yield "; ".join([" ".join([figure(depth)] * 3)] * tyres)


def _gaps(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "mm", "length")
    points = len(take.names(spec.get("points"), "points")) or 3
    even = convert(Decimal(4), "mm", of)
    apart = take.number(spec, "side-difference", of) or even / 4
    taper = take.number(spec, "taper", of) or even / 4
    step = _step(spec, of) or Decimal("0.05")

    def side(first: Decimal, last: Decimal) -> str:
        gaps = (first + (last - first) * n / max(points - 1, 1) for n in range(points))
        return " ".join(figure((gap / step).to_integral_value() * step) for gap in gaps)

    for share in _SHARES[:-1]:
        wide, run = apart * share, taper * share
        yield f"{side(even, even)} / {side(even + wide, even + wide)}"
        yield f"{side(even, even + run)} / {side(even, even + run)}"
        yield f"{side(even, even + run)} / {side(even + run, even)}"


def _film(spec: Fields, _car: Car, chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "um", "length")
    panels = take.names(spec.get("panels"), "panels")
    thin, thick = (take.number(spec, name, of) for name in ("thin-below", "filler-above"))
    usual = (
        thin * Decimal("1.6") if thin else thick / 4 if thick else convert(Decimal(120), "um", of)
    )

    def line(odd: Decimal) -> str:
        strange = chance.randrange(len(panels) or 1)
        parts = []
        for place, name in enumerate(panels):
            of_panel = odd if place == strange else usual * chance.randrange(97, 104) / 100
            parts.append(
                f"{name} {figure(of_panel.to_integral_value() if of_panel > 20 else of_panel)}"
            )
        return "; ".join(parts)

    for limit in (*_known(thin, thick), usual):
        for share in _SHARES[1:]:
            yield line(limit * share)


def _cylinders(spec: Fields, _car: Car, chance: Random) -> Iterator[str]:
    count = int(take.number(spec, "count", unit(""), least="1") or 4)
    if take.text(spec, "measure") == "leak-down":
        of = take.spec_unit(spec, "%")
        supply = take.number(spec, "supply", of) if of.dimension == "pressure" else None
        usual = [supply * n / 100 if supply else Decimal(100 - n) for n in range(95, 40, -3)]
        usual = usual if supply or of.dimension == "share" else []
    else:
        of = take.spec_unit(spec, "psi")
        best = convert(Decimal(150), "psi", of)
        usual = [best * n / 100 for n in range(100, 40, -3)]
    for worst in usual:
        figures = [usual[0]] * count
        figures[chance.randrange(count)] = worst
        yield " ".join(f"{value:.3g}" for value in figures)


def _camber(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    of = take.spec_unit(spec, "deg", "angle")
    steer = take.number(spec, "steer", unit("deg")) or Decimal(20)
    twice = Decimal(repr(2 * math.sin(math.radians(float(steer)))))
    cambers, casters = (
        _anchors(limits_of({"pass": spec.get(name)}, of)) for name in ("camber", "caster")
    )

    def wheel(camber: Decimal, caster: Decimal) -> str:
        half = caster * twice / 2
        return " ".join(f"{angle:.1f}" for angle in (camber, camber + half, camber - half))

    for camber in _middles(cambers):
        for caster in _middles(casters):
            yield f"left {wheel(camber, caster)}; right {wheel(camber, caster)}"


def _middles(limits: Sequence[Decimal]) -> list[Decimal]:
    """The middle of some limits, the limits, and what lies beyond them."""
    if not limits:
        return [Decimal(0)]
    low, high = min(limits), max(limits)
    return [(low + high) / 2, low, high, low - 1, high + 1]


# What is chosen


def _choices(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    yield from map(str, take.mapping(spec, "choices"))


def _counts(spec: Fields, _car: Car, _chance: Random) -> Iterator[str]:
    for name in take.mapping(spec, "choices"):
        for number in re.findall("[0-9]{1,6}", str(name)):
            yield number
            yield str(int(number) + 1)


_MAKERS: dict[str, Callable[[Fields, Car, Random], Iterator[str]]] = {
    "measure": _measure,
    "gaps": _gaps,
    "film": _film,
    "cylinders": _cylinders,
    "tread": _tread,
    "diagonals": _diagonals,
    "wall": _wall,
    "toe": _toe,
    "camber-caster": _camber,
    "lash": _lash,
    "runout": _runout,
    "battery": _battery,
    "timed": _timed,
    "signs-seen": _choices,
    "yes-no": _choices,
    "count": _counts,
    "stamp": stamps,
    "date-code": codes,
    "vin": vins,
    "tyre-age": tyre_weeks,
    "tyre-size": sizes,
}
