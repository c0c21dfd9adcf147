"""What the fields of a reading look like in a route.

A route keeps them as they are written, and the judgement of the kind reads them; here is what it
can read. The tests hold this against the judgements themselves.
"""

from __future__ import annotations

from checkrun.route.schema_check import READING_COMMON, READING_KINDS
from checkrun.route.shapes import Shape

_QUANTITY = Shape("quantity")
_NAMES = Shape("names")
_WITHIN = Shape("bounds", ("at-least", "at-most"))
_RESULTS = ("pass", "concern", "fail")

_FIELDS: dict[str, Shape] = {
    "kind": Shape("one", tuple(READING_KINDS)),
    "unit": Shape("bare"),
    "tool": Shape("text"),
    "hold": Shape("text"),
    "pass": _WITHIN,
    "fail": Shape("bounds", ("below", "above")),
    "camber": _WITHIN,
    "caster": _WITHIN,
    "points": _NAMES,
    "panels": _NAMES,
    "tyres": _NAMES,
    "choices": Shape("pairs", Shape("one", _RESULTS)),
    "measure": Shape("one", ("compression", "leak-down")),
    "rested": Shape("yes-no"),
    "first": Shape("number", None, "0", "1"),
    "mark": Shape("id"),
}


def shape_of_field(field: str) -> Shape:
    """What a field looks like: a quantity, if nothing else is known of it."""
    return _FIELDS.get(field, _QUANTITY)


def fields_of(kind: str) -> tuple[str, ...]:
    """The fields a reading of a kind can have, the common ones first."""
    return (*READING_COMMON, *READING_KINDS[kind])
