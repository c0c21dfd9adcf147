"""One value against its limits, with the uncertainty of the tool.

Decision rule after ISO 14253-1 (principle: common practice, the standard itself was not read):
what is proven inside the limits passes, what is proven outside fails, what is neither is a concern.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from checkrun.judge.fields import mapping, one, scalar
from checkrun.judge.judgement import BadReading, Fields, Outcome
from checkrun.judge.words import nearest
from checkrun.units import Quantity, Unit, spoken

_PASS_KEYS = ("at-least", "at-most")
_FAIL_KEYS = ("below", "above")
#: A number of so many digits is shown whole.
_SHORT = 5


@dataclass(frozen=True, slots=True)
class Bound:
    """One limit in the unit of the judgement.

    Attributes:
        value: In that unit.
        said: With its unit, as a reason names it.
        source: Of a published limit, as printed with the judgement.
    """

    value: Decimal
    said: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Limits:
    """What passes (`least` to `most`) and what fails (under `below`, over `above`)."""

    unit: Unit
    least: Bound | None = None
    most: Bound | None = None
    below: Bound | None = None
    above: Bound | None = None

    @property
    def given(self) -> bool:
        """Whether there is any limit."""
        return any((self.least, self.most, self.below, self.above))

    @property
    def sources(self) -> tuple[str, ...]:
        """The published sources, each once."""
        bounds = (self.least, self.most, self.below, self.above)
        return tuple(dict.fromkeys(bound.source for bound in bounds if bound and bound.source))

    @property
    def takes_negative(self) -> bool:
        """Whether the author reckoned with values under zero."""
        bounds = (self.least, self.most, self.below, self.above)
        return any(bound is not None and bound.value < 0 for bound in bounds)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the limits say of a value.

    Attributes:
        margin: Distance to the nearest limit of a pass, in the unit; negative outside. None
            without limits.
    """

    outcome: Outcome
    reason: str
    margin: Decimal | None = None


def figure(value: Decimal | float) -> str:
    """A number as it is if it is short, else with three digits that count."""
    exact = value if isinstance(value, Decimal) else Decimal(repr(value))
    if not exact:
        return "0"
    exact = exact.normalize()
    short = len(exact.as_tuple().digits) <= _SHORT
    places = min(8, max(0, (_SHORT if short else 3) - 1 - exact.adjusted()))
    written = f"{exact:.{places}f}"
    return (written.rstrip("0").rstrip(".") if "." in written else written) or "0"


def said(value: Decimal | float, unit: Unit | str) -> str:
    """A number with its unit."""
    return spoken(figure(value), unit)


def as_typed(given: Quantity, unit: Unit) -> str:
    """A quantity as it was typed, and in the unit of the judgement if that is another."""
    return str(given) if given.unit == unit else f"{given} ({said(given.to(unit), unit)})"


def limits_of(fields: Fields, unit: Unit, *, plain_limit: str = "above") -> Limits:
    """The limits a spec gives under `pass`, `fail` and `limit`.

    A limit given once, for a pass or for a fail, is the limit of both. If a fail is given at one
    end only, what leaves a pass at the other end is a concern.

    Args:
        fields: The spec.
        unit: The unit of bare numbers and of the judgement.
        plain_limit: Whether a `limit` that is a plain number fails `above` or `below` it.
    """
    found = {
        **_pair(fields, "pass", _PASS_KEYS, unit),
        **_pair(fields, "fail", _FAIL_KEYS, unit),
        **_published(fields.get("limit"), unit, plain_limit),
    }
    least, most = found.get("at-least"), found.get("at-most")
    below, above = found.get("below"), found.get("above")
    if below is None and above is None:
        below, above = least, most
    result = Limits(unit, least or below, most or above, below, above)
    _refuse_contradiction(result)
    return result


def _pair(fields: Fields, name: str, keys: tuple[str, str], unit: Unit) -> dict[str, Bound]:
    given = mapping(fields, name)
    for key in given:
        if key not in keys:
            raise BadReading(f"{name}: `{key}` is unknown; {nearest(key, keys)}")
    bounds = {key: _bound(given[key], f"{name} {key}", unit) for key in given}
    return {key: bound for key, bound in bounds.items() if bound is not None}


def _bound(value: Any, where: str, unit: Unit) -> Bound | None:
    written = scalar(value, where)
    if "/" in written and written[0].isalpha():
        return published(written, where, unit)[1]
    found = one(value, where, unit)
    return None if found is None else Bound(found.to(unit), as_typed(found, unit))


def published(name: str, where: str, unit: Unit) -> tuple[str, Bound]:
    """The comparator and the bound of a row of a published table."""
    from checkrun import tables  # only for a limit that names one

    try:
        limit = tables.limit(name)
    except tables.NoSuchTable as problem:
        raise BadReading(f"{where}: {problem}") from None
    if limit.unit.dimension != unit.dimension:
        raise BadReading(
            f"{where}: {name} is a {limit.unit.dimension}, and this is judged in {unit}"
        )
    value = limit.quantity.to(unit)
    return limit.comparator, Bound(value, f"{limit.written} ({limit.section})", limit.said)


def _published(value: Any, unit: Unit, plain_limit: str) -> dict[str, Bound]:
    written = scalar(value, "limit")
    if not written:
        return {}
    if "/" not in written or not written[0].isalpha():
        plain = _bound(value, "limit", unit)
        return {} if plain is None else {plain_limit: plain}
    comparator, bound = published(written, "limit", unit)
    if comparator == "=":
        raise BadReading(f"limit: {written} is a condition of the test and no limit")
    return {"above" if comparator == "<=" else "below": bound}


def _refuse_contradiction(limits: Limits) -> None:
    pairs = (
        (limits.least, limits.most, "a pass would need at least {} and at most {}"),
        (limits.below, limits.least, "{} fails below, and {} already passes"),
        (limits.most, limits.above, "{} passes at most, and over {} already fails"),
    )
    for low, high, says in pairs:
        if low is not None and high is not None and low.value > high.value:
            raise BadReading(
                f"the limits contradict each other: {says.format(low.said, high.said)}"
            )


def decide(value: Decimal, out_by: Decimal, limits: Limits, told: str) -> Verdict:
    """What the limits say of a value.

    Args:
        value: In the unit of the limits.
        out_by: What it may be out by, in the same unit, >= 0.
        limits: The limits.
        told: The value as a reason names it.
    """
    if not limits.given:
        return Verdict(Outcome.UNDECIDED, f"{told}: no limit is given for it")
    low, high = value - out_by, value + out_by
    margin = _margin(value, limits)
    if limits.below is not None and high < limits.below.value:
        reason = _past(limits.below.value - value, limits, limits.below, told, "under")
        return Verdict(Outcome.FAIL, reason, margin)
    if limits.above is not None and low > limits.above.value:
        reason = _past(value - limits.above.value, limits, limits.above, told, "over")
        return Verdict(Outcome.FAIL, reason, margin)
    inside = (limits.least is None or low >= limits.least.value) and (
        limits.most is None or high <= limits.most.value
    )
    if inside:
        return Verdict(Outcome.PASS, _inside(value, limits, told), margin)
    return Verdict(Outcome.CONCERN, _between(value, out_by, limits, told), margin)


def _margin(value: Decimal, limits: Limits) -> Decimal | None:
    room = []
    if limits.least is not None:
        room.append(value - limits.least.value)
    if limits.most is not None:
        room.append(limits.most.value - value)
    return min(room) if room else None


def _past(by: Decimal, limits: Limits, bound: Bound, told: str, side: str) -> str:
    return f"{told}: {said(by, limits.unit)} {side} the limit of {bound.said}"


def _inside(value: Decimal, limits: Limits, told: str) -> str:
    least, most = limits.least, limits.most
    if least is not None and most is not None:
        return f"{told}: within {least.said} to {most.said}"
    bound = least or most
    assert bound is not None
    room = abs(value - bound.value)
    word, side = ("least", "over") if least is not None else ("most", "under")
    if not room:
        return f"{told}: just the {word} that passes"
    return f"{told}: {said(room, limits.unit)} to spare {side} the {word} of {bound.said}"


def _between(value: Decimal, out_by: Decimal, limits: Limits, told: str) -> str:
    least, most = limits.least, limits.most
    short = least is not None and value - out_by < least.value
    bound, fails = (least, limits.below) if short else (most, limits.above)
    assert bound is not None
    sign = 1 if short else -1
    give = f" +/- {said(out_by, limits.unit)}"
    if sign * (value - bound.value) >= 0:
        return f"{told}{give}: too near {bound.said} to be proven inside what passes (ISO 14253-1)"
    if fails is not None and sign * (value - fails.value) < 0:
        return f"{told}{give}: too near {fails.said} to be proven past it (ISO 14253-1)"
    side = "under" if short else "over"
    if fails is None or fails == bound:
        return f"{told}: {side} the {bound.said} of a pass"
    return f"{told}: {side} the {bound.said} of a pass, not {side} the {fails.said} of a fail"
