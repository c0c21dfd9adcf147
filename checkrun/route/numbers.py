"""Read exact numbers from nodes, and say how one that is none would be written."""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation

from checkrun.route.nodes import Node, Scalar
from checkrun.route.read import Read, Reader, shown
from checkrun.route.shapes import Shape, takes

_NUMBER = re.compile(r"[-+]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")
_LONGEST_NUMBER = 24


def number(low: str, high: str | None = None, *, open_ended: bool = False, hint: str = "") -> Read:
    """A reader for exact numbers from `low` to `high` (without the ends if `open_ended`)."""
    least, most = Decimal(low), None if high is None else Decimal(high)
    span = f"above {low}" if open_ended else f"of at least {low}"
    if high is not None:
        span = f"above {low} and below {high}" if open_ended else f"from {low} to {high}"

    @takes(Shape("number", None, low, high or "", above=open_ended, below=open_ended))
    def read(reader: Reader, node: Node) -> Decimal | None:
        value = _decimal(reader, node)
        if value is None:
            return None
        inside = value > least if open_ended else value >= least
        if most is not None:
            inside &= value < most if open_ended else value <= most
        if not inside:
            message = f"a number {span} is expected here, not {shown(str(value))}"
            reader.tell(node, "R024", message, hint)
            return None
        return value

    return read


def whole(low: str, high: str) -> Read:
    """A reader for whole numbers from `low` to `high`."""
    read_number = number(low, high)

    @takes(Shape("whole", None, low, high))
    def read(reader: Reader, node: Node) -> int | None:
        value: Decimal | None = read_number(reader, node)
        if value is None:
            return None
        if value != int(value):
            reader.tell(node, "R024", f"a whole number is expected here, not {value}")
            return None
        return int(value)

    return read


def _decimal(reader: Reader, node: Node) -> Decimal | None:
    if type(node) is not Scalar:
        reader.shape(node, "a number")
        return None
    written = node.text.strip()
    if not _NUMBER.fullmatch(written):
        reader.tell(node, "R023", f"`{shown(written)}` is not a number", _number_hint(written))
        return None
    return Decimal(written)


def _number_hint(written: str) -> str:
    if re.fullmatch(r"[-+]?\d+,\d+", written):
        return f"Write a point, not a comma: {written.replace(',', '.')}."
    if re.fullmatch(r"0[0-9]+", written):
        return f"Older readers take it for octal; write {written.lstrip('0') or '0'}."
    if re.fullmatch(r"\d+:\d+", written):
        return "Older readers take it for base 60; write minutes as a plain number."
    try:
        value = Decimal(written)
    except InvalidOperation:
        return "Write digits with a point, such as 1.5, without a unit."
    if not value.is_finite():
        return "Write a finite number."
    if abs(value.adjusted()) + len(value.as_tuple().digits) > _LONGEST_NUMBER:
        return "Write a number of usual size, in digits."
    return f"Write {value:f}."


#: No car is longer, metres.
_FURTHEST = 30


@takes(Shape("number", None, str(-_FURTHEST), str(_FURTHEST)))
def real(reader: Reader, node: Node) -> float | None:
    """A position in metres."""
    value = _decimal(reader, node)
    if value is None:
        return None
    if abs(value) > _FURTHEST:
        message = f"{shown(str(value))} m is no measure of a car"
        reader.tell(node, "R024", message, "Places and the outline are in metres.")
        return None
    return float(value)


@takes(Shape("number", None, "0", str(_FURTHEST), above=True))
def length(reader: Reader, node: Node) -> float | None:
    """A measure of the outline in metres; that it is above zero is told of the whole outline."""
    return real(reader, node)


#: A probability; a sign or claim that is quite certain could never be outweighed.
probability = number(
    "0",
    "1",
    open_ended=True,
    hint="Nothing is quite certain: write 0.01 at least and 0.99 at most.",
)


@takes(Shape("number", None, "0", "1", above=True))
def part_of_one(reader: Reader, node: Node) -> Decimal | None:
    """A chance that may be certain but never nothing: above 0 and at most 1."""
    value = _decimal(reader, node)
    if value is None or 0 < value <= 1:
        return value
    message = f"a number above 0 and at most 1 is expected here, not {shown(str(value))}"
    reader.tell(node, "R024", message, "A half is 0.5; what is certain is 1.")
    return None
