"""Fields of a reading taken out by what they must be; what they are not is said and where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from checkrun.judge.judgement import BadReading, Fields
from checkrun.judge.words import nearest, shown, tidy
from checkrun.units import NotAQuantity, Quantity, Unit, free_unit, quantity

#: How a value that was not taken is typed in a list.
MISSING = ("", "-", "?")
#: The most values of one list.
MOST = 500
#: The longest name of a panel, a tyre or a choice.
LONGEST_NAME = 200
_EACH = {"values": "value {}", "readings": "reading {}"}
_YES = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}


def scalar(value: Any, where: str) -> str:
    """A text or a number as text; nothing as an empty text."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int) and abs(value) >= 10**30:
        raise BadReading(f"{where}: {shown(value)} is no reading")
    if isinstance(value, int | float | Decimal):
        return str(value)
    raise BadReading(f"{where}: {shown(value)} where one value is expected")


def text(fields: Fields, name: str) -> str:
    """A field as text, empty if it is not there."""
    return scalar(fields.get(name), name)


def spec_unit(fields: Fields, default: str, dimension: str = "") -> Unit:
    """The unit the reading is judged in; of a dimension, if one is named."""
    name = text(fields, "unit")
    try:
        found = free_unit(name or default)
    except NotAQuantity as problem:
        raise BadReading(f"unit: {problem}") from None
    if dimension and found.dimension != dimension:
        raise BadReading(f"unit: {found} is a {found.dimension}, and a {dimension} is read here")
    return found


def one(value: Any, where: str, unit: Unit) -> Quantity | None:
    """A quantity of the dimension of a unit, or None if nothing was given.

    Raises:
        BadReading: If it is none; says where.
    """
    written = scalar(value, where)
    if written in MISSING:
        return None
    if isinstance(value, bool):
        raise BadReading(f"{where}: {shown(value)} is not a quantity")
    try:
        return quantity(written, unit)
    except NotAQuantity as problem:
        at = f", character {problem.position}" if problem.position > 1 else ""
        raise BadReading(f"{where}{at}: {problem}") from None


def many(value: Any, where: str, unit: Unit) -> list[Quantity | None]:
    """A list of quantities, None for one that was not taken; a single value is a list of one."""
    if value is None:
        return []
    if isinstance(value, str) or not isinstance(value, Sequence):
        return [one(value, where, unit)]
    if len(value) > MOST:
        raise BadReading(f"{where}: {len(value)} values; at most {MOST} are read")
    each = _EACH.get(where, "value {} of " + where.replace("{", "{{").replace("}", "}}"))
    return [one(item, each.format(n), unit) for n, item in enumerate(value, 1)]


def number(fields: Fields, name: str, unit: Unit, *, least: str | None = "0") -> Decimal | None:
    """A figure of the spec in a unit, or None if it is not given."""
    given = one(fields.get(name), name, unit)
    if given is None:
        return None
    value = given.to(unit)
    if least is not None and value < Decimal(least):
        raise BadReading(f"{name}: {given} is less than {least}")
    return value


def not_negative(given: Quantity, where: str, what: str) -> None:
    """Refuse a quantity that is less than nothing."""
    if given.value < 0:
        raise BadReading(f"{where}: {given} is impossible, {what} can't be less than nothing")


def not_beyond(given: Quantity, most_mm: int, where: str, what: str) -> None:
    """Refuse a length that is beyond any car: a slip in the unit or in the point."""
    if abs(given.to("mm")) > most_mm:
        raise BadReading(f"{where}: {given} is beyond any {what}; is the unit right?")


def span(given: Quantity, unit: Unit) -> Decimal:
    """A difference in a unit: 2 K are 2 degC here, whatever their zeros."""
    ratio = given.unit.factor / unit.factor
    if ratio == 1:
        return given.value
    found = Fraction(given.value) * ratio
    return Decimal(found.numerator) / Decimal(found.denominator)


def uncertainty(fields: Fields, unit: Unit) -> Decimal:
    """What the tool may be out by, in the unit; 0 if the spec does not say."""
    given = one(fields.get("uncertainty"), "uncertainty", unit)
    if given is None:
        return Decimal(0)
    not_negative(given, "uncertainty", "an uncertainty")
    return span(given, unit)


def mapping(fields: Fields, name: str) -> Mapping[str, Any]:
    """A field of `key: value` pairs, empty if it is not there."""
    given = fields.get(name)
    if given is None:
        return {}
    if not isinstance(given, Mapping):
        raise BadReading(f"{name}: {shown(given)} where `key: value` pairs are expected")
    if len(given) > MOST:
        raise BadReading(f"{name}: {len(given)} pairs; at most {MOST} are read")
    return {
        tidy(key)
        if isinstance(key, str) and len(key) <= LONGEST_NAME
        else shown(key, quote=False): value
        for key, value in given.items()
    }


def names(value: Any, where: str) -> tuple[str, ...]:
    """A list of names; a mapping gives its keys."""
    if value is None or value == "":
        return ()
    items: list[Any] = [value] if isinstance(value, str) else list(value) if _is_many(value) else []
    if not items and not _is_many(value):
        raise BadReading(f"{where}: {shown(value)} where a list of names is expected")
    return tuple(tidy(scalar(item, where)[:LONGEST_NAME]) for item in items[:MOST])


def _is_many(value: Any) -> bool:
    return isinstance(value, Sequence | Mapping)


def yes_or_no(fields: Fields, name: str) -> bool | None:
    """A yes-or-no field, or None if it is not given."""
    given = text(fields, name).casefold()
    if not given:
        return None
    if given not in _YES:
        raise BadReading(f"{name}: {shown(given)} is neither yes nor no")
    return _YES[given]


def one_of(fields: Fields, name: str, known: Sequence[str], default: str) -> str:
    """A field that is one of some words."""
    given = text(fields, name) or default
    if given not in known:
        raise BadReading(f"{name}: {shown(given)} is unknown; {nearest(given, known)}")
    return given
