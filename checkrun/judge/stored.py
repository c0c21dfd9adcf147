"""What a session keeps beside the line that was typed: the same figures in SI units."""

from __future__ import annotations

from typing import Any

from checkrun.judge.catalog import KINDS
from checkrun.judge.fields import MISSING, MOST
from checkrun.judge.judgement import Fields
from checkrun.units import NotAQuantity, quantity

#: Fields whose bare numbers are not in the unit of the reading.
_OWN_UNIT = {"temperature": "degC", "seconds": "s"}
#: Kinds that read characters or choices and no quantities.
_NO_FIGURES = frozenset(
    ("stamp", "date-code", "vin", "tyre-age", "tyre-size", "signs-seen", "yes-no", "count")
)
#: A list of panels of spots of touches goes so deep.
_DEEPEST = 4


def in_si(fields: Fields) -> dict[str, Any]:
    """The value fields of a reading with every quantity as a number in SI units.

    Args:
        fields: As `from_text` gives them.

    Returns:
        Field by field the same lists and mappings; None for what was not taken or is no quantity.
        Empty for kinds that read characters or choices.
    """
    name = fields.get("kind")
    kind = KINDS.get(name) if isinstance(name, str) else None
    if kind is None or kind.name in _NO_FIGURES:
        return {}
    unit = fields.get("unit")
    own = unit if isinstance(unit, str) else ""
    return {
        field: _si(fields[field], _OWN_UNIT.get(field, own), _DEEPEST)
        for field in kind.value
        if fields.get(field) is not None
    }


def _si(value: Any, unit: str, deep: int) -> Any:
    if isinstance(value, dict) and deep:
        return {str(key): _si(item, unit, deep - 1) for key, item in list(value.items())[:MOST]}
    if isinstance(value, list | tuple) and deep:
        return [_si(item, unit, deep - 1) for item in value[:MOST]]
    if not isinstance(value, str) or value in MISSING:
        return None
    try:
        return float(quantity(value, unit).si)
    except NotAQuantity:
        return None
