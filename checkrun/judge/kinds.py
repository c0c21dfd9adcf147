"""The reading kinds: what each is given, and the way to the function that judges it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from importlib import import_module
from itertools import islice
from typing import Any

from checkrun.judge.catalog import COMMON, KINDS, Kind
from checkrun.judge.judgement import BadReading, Car, Fields, Judge, Judgement, Outcome
from checkrun.judge.words import nearest, shown
from checkrun.units import NotAQuantity

__all__ = ["KINDS", "Kind", "from_text", "judge", "judge_text"]

#: The longest line or text that is read at all.
LONGEST = 2000
_TOO_LARGE = 10**40
_NO_CAR = Car()
_TextReader = Callable[[Fields, str, str], Fields]


def judge(fields: Any, car: Car = _NO_CAR) -> Judgement:
    """The judgement of one reading; whatever is given, it is an answer and never an error.

    Args:
        fields: `kind`, the fields of its spec and of its value.
        car: What is known of the car.
    """
    try:
        given = _keys(fields)
        kind = _kind(given.get("kind"))
        _not_too_long(given)
    except BadReading as problem:
        return _undecided(problem)
    try:
        result = _function(kind.judge)(given, car)
    except (BadReading, NotAQuantity) as problem:
        result = _undecided(problem)
    strangers = _strangers(kind, given)
    return replace(result, problems=(*strangers, *result.problems)) if strangers else result


def _undecided(problem: Exception) -> Judgement:
    return Judgement(Outcome.UNDECIDED, problems=(str(problem),))


def from_text(kind: str, spec: Fields, text: str, unit: str = "") -> Fields:
    """The fields of a reading from the line somebody typed.

    Args:
        kind: Name of the reading kind.
        spec: The fields of its spec.
        text: The line as typed; nothing in it can make this fail.
        unit: The unit bare numbers were typed in, if it is not that of the spec.
    """
    known = KINDS.get(kind)
    fields = {"kind": kind, **spec}
    if known is None or not text.strip():
        return fields
    if len(text) > LONGEST:
        return {**fields, "value": text}
    reader: _TextReader = _load(known.read_text)
    return {**fields, **reader(spec, text, unit)}


def judge_text(
    kind: str, spec: Fields, text: str, car: Car = _NO_CAR, *, unit: str = ""
) -> Judgement:
    """The judgement of a line somebody typed; see `from_text` and `judge`."""
    return judge(from_text(kind, spec, text, unit), car)


def _keys(fields: Any) -> dict[str, Any]:
    """The fields under the names of the catalogue, `at_most` as `at-most`."""
    if not isinstance(fields, Mapping):
        raise BadReading("a reading is given as `field: value` pairs, beginning with `kind`")
    return {
        name.replace("_", "-") if isinstance(name, str) else shown(name): value
        for name, value in fields.items()
    }


def _kind(name: Any) -> Kind:
    if name is None or name == "":
        raise BadReading(f"the kind of reading is missing; kinds are {', '.join(KINDS)}")
    kind = KINDS.get(name) if isinstance(name, str) else None
    if kind is None:
        raise BadReading(f"{shown(name)} is not a kind of reading; {nearest(name, KINDS)}")
    return kind


def _not_too_long(given: Mapping[str, Any]) -> None:
    for name, value in given.items():
        if isinstance(value, int) and abs(value) >= _TOO_LARGE:
            raise BadReading(f"`{shown(name, quote=False)}` is {shown(value)}")
        if isinstance(value, str) and len(value) > LONGEST:
            raise BadReading(
                f"`{shown(name, quote=False)}` is {len(value)} characters long; "
                f"no reading is longer than {LONGEST}"
            )


def _strangers(kind: Kind, given: Mapping[str, Any]) -> tuple[str, ...]:
    """A line for each field the kind does not know: a misspelt limit would be a lost one."""
    known = {**COMMON, **kind.spec, **kind.value}
    strange = islice((name for name in given if name not in known), 8)
    return tuple(
        f"{shown(name)} is not a field of {kind.name} and was left out; {nearest(name, known)}"
        for name in strange
    )


@cache
def _load(path: str) -> Any:
    module, _, function = path.partition(":")
    return getattr(import_module(f"checkrun.judge.{module}"), function)


def _function(path: str) -> Judge:
    function: Judge = _load(path)
    return function
