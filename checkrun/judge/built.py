"""When a car was built: a day, or as near as it is known."""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date

from checkrun.judge.judgement import BadReading, Car, Fields
from checkrun.judge.words import shown

#: The facts looked at for the build date where a reading names none.
BUILD_FACTS = ("build-date", "built")
MODEL_YEAR = (
    "cars of a model year are taken to be built from August before it to the end of that year: "
    "common practice"
)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_YEAR = re.compile("([12][0-9]{3})", re.ASCII)
_YEAR_MONTH = re.compile("([12][0-9]{3})-([0-9]{1,2})", re.ASCII)
_ISO = re.compile("([12][0-9]{3})-([0-9]{1,2})-([0-9]{1,2})", re.ASCII)
_WORDS = re.compile(r"(?:([0-9]{1,2})\.?\s+)?([A-Za-z]{3,9})\.?\s+([12][0-9]{3})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Built:
    """The first and last day on which a car can have been built.

    Attributes:
        said: In a few words, such as `the car was built on 1966-02-17`.
        source: Where the days come from, if it is a rule.
    """

    first: date
    last: date
    said: str
    source: str = ""

    @property
    def exact(self) -> bool:
        """Whether the day is known."""
        return self.first == self.last


def month_number(text: str) -> int | None:
    """The number of a month by its name, its first three letters or its number."""
    text = text.strip().lower()
    if text.isascii() and text.isdigit() and len(text) <= 2:
        return int(text) if 1 <= int(text) <= 12 else None
    return _MONTHS.index(text[:3]) + 1 if text[:3] in _MONTHS else None


def days_of(text: str) -> tuple[date, date] | None:
    """The first and last day that a date, a month or a year stands for; None if it is none.

    `1966-02-17`, `17 February 1966`, `1966-02`, `Feb 1966` and `1966` are read; figures with
    slashes are not, since nobody can tell the day from the month.
    """
    text = text.strip()
    if match := _ISO.fullmatch(text):
        year, month, day = int(match[1]), int(match[2]), int(match[3])
    elif match := _YEAR_MONTH.fullmatch(text):
        year, month, day = int(match[1]), int(match[2]), 0
    elif match := _WORDS.fullmatch(text):
        year, month, day = int(match[3]), month_number(match[2]) or 0, int(match[1] or 0)
        if match[1] and not day:
            return None
    elif match := _YEAR.fullmatch(text):
        return date(int(match[1]), 1, 1), date(int(match[1]), 12, 31)
    else:
        return None
    if not 1 <= month <= 12 or day > monthrange(year, month)[1]:
        return None
    if _ISO.fullmatch(text) and not day:
        return None
    first = date(year, month, day or 1)
    return first, date(year, month, day or monthrange(year, month)[1])


def day_of(value: object, what: str) -> date:
    """One day, written out.

    Raises:
        BadReading: If it is no day.
    """
    if isinstance(value, date):
        return value
    days = days_of(value) if isinstance(value, str) else None
    if days is None or days[0] != days[1]:
        raise BadReading(f"{what}: {shown(value)} is no day; write it as 1966-02-17")
    return days[0]


def built_of(fields: Fields, car: Car) -> Built | None:
    """When the car was built: what `built` says, else the build date, else the model year.

    Args:
        fields: `built` may be a day, a month, a year, `car.year` or the id of a fact.
        car: What is known of the car.

    Raises:
        BadReading: If what is there is no date.
    """
    given = fields.get("built")
    if isinstance(given, date):
        return _known(given.isoformat(), "built")
    if isinstance(given, int) and not isinstance(given, bool):
        given = shown(given, quote=False)
    if given is None or given == "":
        for fact in BUILD_FACTS:
            if car.facts.get(fact, "").strip():
                return _known(car.facts[fact], fact)
        return _model_year(car)
    if not isinstance(given, str):
        raise BadReading(
            f"built: a date, a year or the id of a fact is expected, not {shown(given)}"
        )
    if given == "car.year":
        return _model_year(car)
    fact = given.removeprefix("car.").removeprefix("facts.")
    if fact in car.facts:
        return _known(car.facts[fact], fact) if car.facts[fact].strip() else _model_year(car)
    if days_of(given) is None and re.fullmatch("[a-z][a-z0-9-]*", fact):
        return _model_year(car)
    return _known(given, "built")


def _known(text: str, where: str) -> Built:
    days = days_of(text)
    if days is None:
        raise BadReading(
            f"{where}: {shown(text)} is no date; write it as 1966-02-17, 1966-02 or 1966"
        )
    first, last = days
    if first == last:
        return Built(first, last, f"the car was built on {first}")
    return Built(first, last, f"the car was built in {text.strip()}")


def _model_year(car: Car) -> Built | None:
    if car.year is None or not 1000 <= car.year <= 2999:
        return None
    said = f"a {car.year} car was built between August {car.year - 1} and December {car.year}"
    return Built(date(car.year - 1, 8, 1), date(car.year, 12, 31), said, MODEL_YEAR)
