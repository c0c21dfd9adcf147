"""The limits of a reading in words, as its route gives them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from checkrun import tables
from checkrun.report.sheet import Row
from checkrun.route.model import Reading, Route

#: Fields whose bare numbers are in the reading's unit.
_IN_UNIT = {
    "side-difference": "sides may differ by",
    "taper": "taper",
    "thin-below": "thin under",
    "filler-above": "filler over",
    "least": "at least",
    "at-most": "at most",
    "nominal": "when new",
    "length": "length",
    "supply": "supply",
    "wheel-diameter": "wheel diameter",
    "rim-diameter": "rim diameter",
    "difference": "sides may differ by",
    "at-most-per-minute": "a minute at most",
    "uncertainty": "tool may be out by",
}
_OTHERS = {
    "limit-percent": "limit, percent",
    "count": "how many",
    "gauge": "gauge",
    "seconds": "seconds",
    "steer": "degrees each way",
    "window-days": "days before the build at most",
    "span": "days it was made for",
    "fitted": "fitted",
    "specified": "specified",
}
_PAIRS = {
    "pass": {"at-least": "passes from", "at-most": "passes up to"},
    "fail": {"below": "fails under", "above": "fails over"},
    "camber": {"at-least": "camber from", "at-most": "camber up to"},
    "caster": {"at-least": "caster from", "at-most": "caster up to"},
}


def limit_rows(reading: Reading, route: Route) -> Iterator[Row]:
    """What the reading is judged by: limits, choices by their result, the mark."""
    spec = reading.spec
    words = [*_pair_words(spec, reading.unit)]
    if "limit" in spec:
        words.append(_limit_words(str(spec["limit"]), reading.unit))
    words += [f"{says} {_with(spec[n], reading.unit)}" for n, says in _IN_UNIT.items() if n in spec]
    words += [f"{says} {spec[name]}" for name, says in _OTHERS.items() if name in spec]
    if words:
        yield Row("limits", "; ".join(words))
    choices = spec.get("choices")
    if isinstance(choices, Mapping):
        for result in ("pass", "concern", "fail"):
            named = ", ".join(str(name) for name, is_ in choices.items() if is_ == result)
            if named:
                yield Row("" if result != "pass" else "judged", f"{named}: {result}", result)
    mark = route.mark(spec["mark"]) if isinstance(spec.get("mark"), str) else None
    if mark is not None:
        yield Row("mark", f"{mark.title}. {mark.where}".strip())


def _pair_words(spec: Mapping[str, Any], unit: str) -> Iterator[str]:
    for name, keys in _PAIRS.items():
        pair = spec.get(name)
        if isinstance(pair, Mapping):
            yield from (f"{says} {_with(pair[k], unit)}" for k, says in keys.items() if k in pair)


def _limit_words(written: str, unit: str) -> str:
    if "/" not in written or not written[0].isalpha():
        return f"limit {_with(written, unit)}"
    try:
        found = tables.limit(written)
    except tables.NoSuchTable:
        return f"limit {written}"
    return f"limit {found.written} ({found.section})"


def _with(value: object, unit: str) -> str:
    """A value with the unit, if it is a bare number."""
    text = str(value)
    try:
        Decimal(text)
    except InvalidOperation:
        return text
    return f"{text} {unit}".rstrip()
