"""Units by their spellings, quantities and conversion; see `checkrun.units`."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Context, Decimal
from fractions import Fraction

from checkrun.unit_table import (
    COUNTED,
    IN_PLACE,
    SPELLINGS,
    TO_METRIC,
    TO_US,
    UNCLEAR,
    UNITS,
    Unit,
    folded,
)

_CONTEXT = Context(prec=28)
_EXAMPLES = {
    "length": "2.4 mm or 3/32 in",
    "angle": "-0.5 deg or 0 deg 30 min",
    "pressure": "150 psi or 10.3 bar",
    "torque": "65 lbf.ft or 88 N m",
    "voltage": "12.6 V",
    "temperature": "20 degC or 68 degF",
    "time": "10 s",
    "share": "52 %",
    "number": "3",
}


class NotAQuantity(ValueError):
    """A text that is no quantity.

    Attributes:
        message: What is wrong.
        hint: What to do; may be empty.
        position: The 1-based character it is wrong at.
    """

    def __init__(self, message: str, hint: str = "", position: int = 1) -> None:
        super().__init__(f"{message}; {hint}" if hint else message)
        self.message = message
        self.hint = hint
        self.position = position


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit.

    Attributes:
        value: In the unit.
        unit: What it was typed in.
        resolution: The step of the last digit given, or of the fraction; in the unit.
        typed: As it was written, or empty.
    """

    value: Decimal
    unit: Unit
    resolution: Decimal = Decimal(0)
    typed: str = field(default="", compare=False)

    def to(self, other: Unit | str) -> Decimal:
        """The value in another unit of the same dimension.

        Raises:
            NotAQuantity: If the units do not convert.
        """
        other = unit(other) if isinstance(other, str) else other
        if self.unit == other:
            return self.value
        if self.unit.dimension != other.dimension:
            raise wrong_dimension(f"{self.value:f} {self.unit}".strip(), self.unit, other)
        si = Fraction(self.value) * self.unit.factor + self.unit.offset
        return exact((si - other.offset) / other.factor)

    @property
    def si(self) -> Decimal:
        """The value in SI units: m, rad, Pa, N m, N, V, K, s, kg, m3, m/s, or a plain number."""
        if self.unit.factor == 1 and not self.unit.offset:
            return self.value
        return exact(Fraction(self.value) * self.unit.factor + self.unit.offset)

    def __str__(self) -> str:
        return self.typed or f"{self.value:f} {self.unit}".strip()


def unit(name: str, like: str | Unit = "") -> Unit:
    """The unit of a spelling.

    Args:
        name: As written; case, blanks and points do not matter.
        like: A unit or the name of one of the dimension that is expected: `min` is a minute of
            arc where degrees are.

    Raises:
        NotAQuantity: If there is no such unit; the hint offers the nearest.
    """
    key = folded(name)
    if like != "":
        expected = unit(like) if isinstance(like, str) else like
        placed = IN_PLACE.get((expected.dimension, key))
        if placed is not None:
            return UNITS[placed] if placed else expected
        if key == folded(expected.symbol):
            return expected
    found = SPELLINGS.get(key)
    if found is not None:
        return found
    if key in UNCLEAR:
        raise NotAQuantity(f"`{cut(name)}` is more than one unit", f"write {UNCLEAR[key]}")
    raise NotAQuantity(f"`{cut(name)}` is not a known unit", _nearest(name, like))


def free_unit(name: str) -> Unit:
    """A known unit, or a plain word for things that are counted.

    Raises:
        NotAQuantity: If the word is no unit but looks like a slip in one.
    """
    try:
        return unit(name)
    except NotAQuantity:
        if not re.fullmatch(r"[^\W\d_]{3,20}", name) or _near(name, 0.75):
            raise
        return Unit(name, f"number of {name}")


def convert(value: Decimal, from_unit: Unit | str, to_unit: Unit | str) -> Decimal:
    """A value of one unit in another."""
    source = unit(from_unit) if isinstance(from_unit, str) else from_unit
    return Quantity(value, source).to(to_unit)


def preferred(of: Unit | str, system: str) -> Unit:
    """The unit of a quantity under a setting, `metric` or `us`; others stay as they are."""
    of = unit(of) if isinstance(of, str) else of
    table = {"us": TO_US, "metric": TO_METRIC}.get(system, {})
    return UNITS.get(table.get(of.symbol, ""), of) if of.symbol in table else of


def spoken(number: str, of: Unit | str) -> str:
    """A written number with its unit; one of what is counted in the singular."""
    symbol = str(of)
    if number == "1" and symbol in COUNTED:
        return f"1 {COUNTED[symbol]}"
    return f"{number} {symbol}".strip()


def example(expected: Unit | None = None) -> str:
    """How a quantity of a dimension is written."""
    if expected is None:
        return "write a number and its unit, such as 2.4 mm or 3/32 in"
    return f"write it as {_EXAMPLES.get(expected.dimension, f'12 {expected}'.strip())}"


def exact(value: Fraction) -> Decimal:
    """The decimal number of a fraction, right to 28 digits."""
    return _CONTEXT.divide(Decimal(value.numerator), Decimal(value.denominator))


def wrong_dimension(text: str, found: Unit, expected: Unit) -> NotAQuantity:
    """What to say of a quantity that is not of the dimension that is wanted."""
    return NotAQuantity(
        f"`{text}` is a {found.dimension}, and a {expected.dimension} is wanted here",
        example(expected),
    )


def _near(name: str, cutoff: float) -> list[str]:
    from difflib import get_close_matches

    return get_close_matches(folded(name[:40]), [key for key in SPELLINGS if key], 1, cutoff)


def _nearest(name: str, like: str | Unit) -> str:
    dimension = like.dimension if isinstance(like, Unit) else ""
    same = [u.symbol for u in UNITS.values() if u.dimension == dimension and u.symbol]
    near = _near(name, 0.6)
    if near:
        return f"did you mean {SPELLINGS[near[0]]}?"
    return f"write {', '.join(same)}" if same else "such as mm, in, deg, psi, N m, V or degC"


def cut(text: str) -> str:
    """A text as it is named in a message: at most 40 characters, on one line."""
    text = "".join(char if char.isprintable() else " " for char in text[:41])
    return text if len(text) <= 40 else f"{text[:40]}..."
