"""Quantities as people write them: `3/32 in`, `0.094"`, `2,4 mm`, `1 1/2"`, `-0.5 deg`.

Typed numbers are exact; the digits given say the resolution. Conversions are exact where a decimal
number of 28 digits can be, and right to 28 digits elsewhere.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from checkrun.unit_lookup import (
    NotAQuantity,
    Quantity,
    convert,
    cut,
    exact,
    example,
    free_unit,
    preferred,
    spoken,
    unit,
    wrong_dimension,
)
from checkrun.unit_table import FOLLOWED, UNITS, Unit

__all__ = [
    "NotAQuantity",
    "Quantity",
    "Unit",
    "convert",
    "example",
    "free_unit",
    "preferred",
    "quantity",
    "spoken",
    "unit",
]

#: The longest text that is read as one quantity.
LONGEST = 60
_LARGEST = Decimal(10) ** 12
_NUMBER = re.compile(r"(?:[0-9]+(?:[.,][0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3}(?![0-9]))?")
_FRACTION = re.compile(r"(?:([0-9]+)(?:[ ]+|-))?([0-9]+)/([0-9]+)")
_UNIT = re.compile(
    r"''|[\"']|°[ ]?[CFcf]?\b|[^\W\d_%][\w/.·⋅*\-]*(?:[ ]+[^\W\d_][\w/.·⋅*\-]*)*|%|°"
)
_GROUPED = re.compile(
    r"[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]*|[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]*"
    r"|[0-9]{1,3}(?:,[0-9]{3}){2,}|[0-9]{1,3}(?:\.[0-9]{3}){2,}"
)
_ENDLESS = re.compile(r"[-+]?(?:nan|inf|infinity|∞)\b|[-+]?∞", re.IGNORECASE)
_PLAIN = str.maketrans(
    {
        "\N{MINUS SIGN}": "-",
        "\N{EN DASH}": "-",
        "\N{FRACTION SLASH}": "/",
        "\N{PRIME}": "'",
        "\N{DOUBLE PRIME}": '"',
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
        "\N{NO-BREAK SPACE}": " ",
        "\N{NARROW NO-BREAK SPACE}": " ",
        "\N{THIN SPACE}": " ",
        "\t": " ",
    }
)
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip


# While a line is typed every quantity in it is asked for again at every key.
@lru_cache(maxsize=256)
def quantity(text: str, default: str | Unit = "") -> Quantity:
    """The quantity somebody wrote.

    Args:
        text: A number, a fraction or both, with a unit or without.
        default: The unit of a bare number; if given, another unit must be of its dimension.

    Raises:
        NotAQuantity: If it is none, or not of that dimension; says what, where and what to do.
    """
    expected = free_unit(default) if isinstance(default, str) and default else default or None
    assert not isinstance(expected, str)
    plain = _plain(text)
    parts = _parts(plain, expected)
    found = parts[0] if len(parts) == 1 else _compound(parts, plain)
    if expected is not None and found.unit.dimension != expected.dimension:
        raise wrong_dimension(cut(text.strip()), found.unit, expected)
    typed = plain.strip()
    if typed[-1] in "0123456789." and found.unit.symbol:
        typed = spoken(typed, found.unit)
    return Quantity(found.value, found.unit, found.resolution, typed)


def _plain(text: str) -> str:
    if len(text) > LONGEST:
        raise NotAQuantity(f"{len(text)} characters are no quantity", example())
    plain = text.translate(_PLAIN)
    for sign, written in _VULGAR.items():
        if sign in plain:
            plain = re.sub(rf"(?<=[0-9]) ?{sign}", f" {written}", plain).replace(sign, written)
    return plain


def _parts(text: str, expected: Unit | None) -> list[Quantity]:
    at = len(text) - len(text.lstrip())
    end = len(text.rstrip())
    if at >= end:
        raise NotAQuantity("nothing is written", example(expected))
    _refuse_endless(text, at)
    negative = text[at] == "-"
    at += text[at] in "+-"
    if at >= end:
        raise NotAQuantity(f"`{text.strip()}` is only a sign", example(expected), at)
    parts: list[Quantity] = []
    while at < end:
        value, resolution, after = _number(text, at, expected)
        word = _UNIT.match(text, _skip(text, after))
        found = expected or UNITS[""]
        if word is not None:
            found = _unit_at(
                word.group(), word.start(), expected or (parts and parts[0].unit) or ""
            )
            after = word.end()
        parts.append(Quantity(-value if negative else value, found, resolution))
        at = _skip(text, after)
        if at == after and word is None and at < end:
            raise NotAQuantity(f"`{cut(text[at:end])}` after the number is no unit", "", at + 1)
    return parts


def _skip(text: str, at: int) -> int:
    while at < len(text) and text[at] == " ":
        at += 1
    return at


def _unit_at(name: str, at: int, like: str | Unit) -> Unit:
    try:
        return unit(name, like)
    except NotAQuantity as problem:
        raise NotAQuantity(problem.message, problem.hint, at + 1) from None


def _refuse_endless(text: str, at: int) -> None:
    if _ENDLESS.match(text, at):
        raise NotAQuantity(f"`{cut(text.strip())}` is not a finite number", example(), at + 1)


def _number(text: str, at: int, expected: Unit | None) -> tuple[Decimal, Decimal, int]:
    """The value of a number, its resolution, and where it ends."""
    grouped = _GROUPED.match(text, at)
    if grouped is not None:
        raise NotAQuantity(
            f"`{cut(grouped.group())}` can be read in two ways",
            "write it without marks for thousands, such as 1234.5",
            at + 1,
        )
    fraction = _FRACTION.match(text, at)
    if fraction is not None:
        return (*_fraction(fraction, at), fraction.end())
    number = _NUMBER.match(text, at)
    if number is None:
        raise NotAQuantity(
            f"`{cut(text[at:].strip())}` is not a quantity", example(expected), at + 1
        )
    value = Decimal(number.group().replace(",", "."))
    if abs(value) > _LARGEST or (value and value.adjusted() < -15):
        raise NotAQuantity(f"`{cut(number.group())}` is no measure of a car", "", at + 1)
    exponent = value.as_tuple().exponent
    assert isinstance(exponent, int)
    resolution = Decimal(1).scaleb(max(-30, min(exponent, 12)))
    return value if value else Decimal(0), resolution, number.end()


def _fraction(found: re.Match[str], at: int) -> tuple[Decimal, Decimal]:
    whole, over, under = (int(group or 0) for group in found.groups())
    if under == 0:
        raise NotAQuantity(f"`{found.group()}` divides by nothing", "", at + 1)
    if found.group(1) is not None and over >= under:
        raise NotAQuantity(
            f"`{found.group()}` is no mixed fraction", f"write {over}/{under} alone", at + 1
        )
    value = exact(Fraction(whole * under + over, under))
    if value > _LARGEST or under > 1024:
        raise NotAQuantity(f"`{cut(found.group())}` is no measure of a car", "", at + 1)
    return value, exact(Fraction(1, under))


def _compound(parts: list[Quantity], text: str) -> Quantity:
    """Several parts such as 5 ft 3 in as one quantity in the last unit."""
    last = parts[-1]
    total = Fraction(0)
    for larger, smaller in pairwise(parts):
        if FOLLOWED.get(larger.unit.symbol) != smaller.unit.symbol or abs(smaller.value) >= (
            larger.unit.factor / smaller.unit.factor
        ):
            raise NotAQuantity(f"`{cut(text.strip())}` is more than one quantity", "write one only")
    for part in parts:
        total += Fraction(part.value) * part.unit.factor / last.unit.factor
    return Quantity(exact(total), last.unit, last.resolution)
