"""What a stamp or a date code that was not read yet could show, and how likely each would be."""

from __future__ import annotations

from math import inf, prod

from checkrun.judge.built import built_of
from checkrun.judge.characters import Run
from checkrun.judge.datecode import days_given
from checkrun.judge.days import DATE_FIELDS
from checkrun.judge.judgement import BadReading, Car, Fields
from checkrun.judge.marks import Rule, car_of, expected, rule_of
from checkrun.judge.weight import MISREAD
from checkrun.units import NotAQuantity

#: The kinds whose weight is computed from what was read.
WEIGHED = ("stamp", "date-code")
_YEAR_DAYS = 365.25


def outcomes(fields: Fields, car: Car) -> tuple[tuple[float, float], ...] | None:
    """What a whole and clean reading could show: that it agrees, and that it does not.

    Args:
        fields: `kind`, `mark` and the other fields of the reading's spec.
        car: What is known of the car.

    Returns:
        For each of the two P(it | first part) and P(it | another part), by the same rules that
        weigh the reading once it is there; None where that can't be told or says nothing.
    """
    try:
        car = car_of(fields, car)
        rule = rule_of(fields, car)
        other = _stamp(rule, car) if fields.get("kind") == "stamp" else _date(fields, rule, car)
    except (BadReading, NotAQuantity):
        return None
    if other is None:
        return None
    first = float(1 - MISREAD if rule.first is None or rule.first == 1 else rule.first)
    if not (0 < first < 1 and other < 1):
        return None
    return (first, other), (1 - first, 1 - other)


def _stamp(rule: Rule, car: Car) -> float | None:
    """How likely a part that is not the first agrees in every field: restamped, or by chance."""
    wishes = dict(rule.mark.agrees_with)
    alike: list[tuple[int, int]] = []
    for at, field in enumerate(rule.mark.fields, 1):
        name = field.name or f"field {at}"
        if field.text or name not in wishes:
            continue
        wanted, _ = expected(wishes[name], car)
        if wanted is not None and len(wanted) == (field.digits or field.letters):
            alike.append(Run(field, name, wanted).alike)
    if not alike:
        return None
    few, many = zip(*alike, strict=True)
    chance = max(float(prod(few) / prod(many)), 1e-300)
    restamped = float(rule.mark.restamped or 0)
    return restamped + (1 - restamped) * chance


def _date(fields: Fields, rule: Rule, car: Car) -> float | None:
    """The chance that the date of any other part lies in the window."""
    window = days_given(fields, "window-days", least=0)
    span = days_given(fields, "span", least=1)
    built, period = built_of(fields, car), _period(rule)
    if built is None or window is None or span is None or not period:
        return None
    wide = window + (built.last - built.first).days
    return max(1, wide) / min(span, _YEAR_DAYS * period)


def _period(rule: Rule) -> float:
    """After how many years a whole code comes back; 0 if the mark tells no date."""
    named = {field.name: field for field in rule.mark.fields if field.name in DATE_FIELDS}
    if not named:
        return 0
    year = named.get("year")
    if year is None:
        return 1
    figures = len(year.values[0][1].strip()) if year.values else year.digits
    if not figures:
        return 0
    return inf if figures >= 4 else float(10**figures)
