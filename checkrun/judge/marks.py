"""The rule of a mark, the car it is held against, and what a field must read on that car."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any

from checkrun.judge.characters import SEPARATORS
from checkrun.judge.judgement import BadReading, Car, Fields
from checkrun.judge.words import nearest, shown, tidy
from checkrun.route.agreement import YEAR, Malformed, parse

if TYPE_CHECKING:
    from checkrun.route.model import Mark, MarkField

_MOST_FIELDS = 40
_MOST_VALUES = 1000
_LONGEST = 200


@dataclass(frozen=True, slots=True)
class Rule:
    """A mark, and how often a first part agrees with it where that is given."""

    mark: Mark
    first: Decimal | None = None


def share(value: object, what: str) -> Decimal | None:
    """A share from 0 to 1, or None where there is none.

    Raises:
        BadReading: If it is something else.
    """
    if value is None or value == "":
        return None
    number = Decimal(-1)
    if isinstance(value, str | int | float | Decimal) and not isinstance(value, bool):
        try:
            number = Decimal(value.strip()[:50] if isinstance(value, str) else value)
        except (InvalidOperation, ValueError):
            number = Decimal(-1)
    if not (number.is_finite() and 0 <= number <= 1):
        raise BadReading(f"{what}: {shown(value)} is no share; write a number from 0 to 1")
    return number


def digits(value: object) -> str:
    """A whole number as it was written; an empty text for anything else."""
    if isinstance(value, str):
        return value.strip()
    # Python refuses to write very long integers out.
    whole = isinstance(value, int) and not isinstance(value, bool) and abs(value) < 10**_LONGEST
    return str(value) if whole else ""


def year_of(value: object, what: str) -> int:
    """A year of four figures.

    Raises:
        BadReading: If it is none.
    """
    text = digits(value)
    if not re.fullmatch("[12][0-9]{3}", text, re.ASCII):
        raise BadReading(f"{what}: {shown(value)} is no year; write four figures, such as 1966")
    return int(text)


def car_of(fields: Fields, car: Car) -> Car:
    """The car, with what the reading itself says of it under `car`: `year`, and facts.

    Raises:
        BadReading: If `car` is no mapping or its year no year.
    """
    own = fields.get("car")
    if own is None:
        return car
    facts = own.get("facts") if isinstance(own, Mapping) else None
    if not isinstance(own, Mapping) or not isinstance(facts, Mapping | None):
        raise BadReading("car: `year: 1966` and `facts: {name: answer}` are expected")
    loose = {name: value for name, value in own.items() if name not in ("year", "facts")}
    answers = {
        name: digits(value)[:_LONGEST]
        for name, value in {**loose, **(facts or {})}.items()
        if isinstance(name, str)
    }
    year = car.year if own.get("year") is None else year_of(own["year"], "car: year")
    return replace(car, year=year, facts={**car.facts, **answers})


def rule_of(fields: Fields, car: Car) -> Rule:
    """The mark whose id is under `mark`, or that is written out there.

    Raises:
        BadReading: If there is no such mark, or it can't be used.
    """
    given = fields.get("mark")
    first = share(fields.get("first"), "first")
    if first is None and isinstance(given, Mapping):
        first = share(given.get("first"), "mark: first")
    if first == 0:
        raise BadReading("first: 0 would say that no first part ever agrees; write it above 0")
    if isinstance(given, Mapping):
        return Rule(_inline(given), first)
    if not isinstance(given, str) or not given:
        raise BadReading("mark: the id of a mark of the route is expected, or its fields")
    found = car.marks.get(given)
    if found is None:
        there = nearest(given, car.marks) if car.marks else "write its `fields` out here"
        raise BadReading(f"mark: there is no mark {shown(given)}; {there}")
    return Rule(found, first)


def _inline(given: Mapping[Any, Any]) -> Mark:
    from checkrun.route.model import Mark

    fields = given.get("fields")
    if isinstance(fields, str) or not isinstance(fields, Sequence) or not fields:
        raise BadReading("mark: fields: a list of {text}, {name, digits} or {name, letters}")
    if len(fields) > _MOST_FIELDS:
        raise BadReading(f"mark: {len(fields)} fields are too many; {_MOST_FIELDS} at most")
    agrees = given.get("agrees-with") or given.get("agrees_with") or {}
    if not isinstance(agrees, Mapping):
        raise BadReading("mark: agrees-with: {field: what it agrees with} is expected")
    return Mark(
        id="mark",
        title=_short(given.get("title")) or "Mark",
        fields=tuple(_field(field, at) for at, field in enumerate(fields, 1)),
        agrees_with=tuple((_short(name), _short(what)) for name, what in agrees.items()),
        restamped=share(given.get("restamped"), "mark: restamped"),
        source=_short(given.get("source")),
    )


def _field(given: object, at: int) -> MarkField:
    from checkrun.route.model import MarkField

    where = f"mark: field {at}"
    kinds = []
    if isinstance(given, Mapping):
        kinds = [kind for kind in ("text", "digits", "letters") if given.get(kind) is not None]
    if not isinstance(given, Mapping) or len(kinds) != 1:
        raise BadReading(f"{where}: just one of `text`, `digits`, `letters` is expected")
    values = given.get("values") or {}
    if not isinstance(values, Mapping) or len(values) > _MOST_VALUES:
        raise BadReading(f"{where}: values: {{characters: meaning}} is expected")
    count = 0
    if kinds[0] != "text":
        written = _short(given[kinds[0]])
        count = int(written) if re.fullmatch("[0-9]{1,2}", written, re.ASCII) else 0
        if not 1 <= count <= 20:
            raise BadReading(f"{where}: {kinds[0]}: how many, 1 to 20, is expected")
    return MarkField(
        name=_short(given.get("name")),
        text=_short(given["text"]) if kinds[0] == "text" else "",
        digits=count if kinds[0] == "digits" else 0,
        letters=count if kinds[0] == "letters" else 0,
        means=_short(given.get("means")),
        values=tuple((_short(value), _short(means)) for value, means in values.items()),
        range=_short(given.get("range")),
    )


def _short(value: object) -> str:
    """A text of a rule; anything that is no text or whole number counts as left out."""
    if isinstance(value, bool) or not isinstance(value, str | int):
        return ""
    return str(value)[:_LONGEST] if isinstance(value, str) or abs(value) < 10**9 else ""


def bare(text: str) -> str:
    """The characters of a mark in capitals, without what stands between them."""
    return "".join(char for char in text.upper() if char not in SEPARATORS)


def expected(expression: str, car: Car) -> tuple[str | None, str]:
    """What a field must read on this car, or why that can't be told.

    Args:
        expression: `car.year` or the id of a fact, with `last N`, `first N`, `character N` or
            `characters A to B` where wanted; characters are counted without separators, from 1.
        car: The car as far as it is known.

    Returns:
        The characters without separators and an empty text, or None and the reason.
    """
    try:
        wanted = parse(expression)
    except Malformed as problem:
        return None, tidy(f"{problem}; {problem.hint}")
    if wanted.name == YEAR:
        if car.year is None:
            return None, "the car's year is not known"
        whole = str(car.year)
    else:
        whole = bare(car.facts.get(wanted.name, ""))
        if not whole:
            return None, f"nothing is known of {shown(wanted.name)}"
    found = wanted.of(whole)
    if found is None:
        return None, f"{shown(whole)} has no {wanted.lacking()}"
    return found, ""
