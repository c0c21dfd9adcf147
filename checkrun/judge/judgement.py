"""What every reading kind is given and what it gives back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from checkrun.route.model import Mark


class Outcome(Enum):
    """What the computation suggests; the person's own result stands beside it and wins."""

    PASS = "pass"
    CONCERN = "concern"
    FAIL = "fail"
    UNDECIDED = "undecided"


_WORST = (Outcome.FAIL, Outcome.CONCERN, Outcome.PASS)


def worst(*outcomes: Outcome) -> Outcome:
    """The gravest of some outcomes; undecided only if none says anything."""
    return next((outcome for outcome in _WORST if outcome in outcomes), Outcome.UNDECIDED)


@dataclass(frozen=True, slots=True)
class Judgement:
    """The outcome of one reading with everything that led to it.

    Attributes:
        reasons: In plain words, with their numbers, the deciding one first.
        values: The computed values under the names of the kind's table; JSON-ready numbers
            (float or int), texts, booleans, lists and mappings of them, or None.
        sources: Where limits and rules come from.
        problems: What is wrong or missing in what was typed; each says what and where.
    """

    outcome: Outcome
    reasons: tuple[str, ...] = ()
    values: Mapping[str, Any] = field(default_factory=dict, hash=False)
    sources: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Car:
    """What a judgement may know of the car.

    Attributes:
        year: Model year, or None.
        facts: The intake's answers by fact id.
        marks: The route's marks by id.
        today: The day of the walk.
    """

    year: int | None = None
    facts: Mapping[str, str] = field(default_factory=dict, hash=False)
    marks: Mapping[str, Mark] = field(default_factory=dict, hash=False)
    today: date = date(1970, 1, 1)


def as_data(judgement: Judgement) -> dict[str, Any]:
    """A judgement as JSON-ready data, under the names that `checkrun judge --json` prints."""
    return {
        "result": judgement.outcome.value,
        "reasons": list(judgement.reasons),
        "values": dict(judgement.values),
        "sources": list(judgement.sources),
        "problems": list(judgement.problems),
    }


#: What a kind is given: the fields of its spec and of its value, as written in YAML or typed on
#: screen (texts, numbers as texts or numbers, lists and mappings of them), and the car.
Fields = Mapping[str, Any]
Judge = Callable[[Fields, Car], Judgement]


class BadReading(Exception):
    """What was typed can't be judged; the text says what is wrong, where, and what to do."""
