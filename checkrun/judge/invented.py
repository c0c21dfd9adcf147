"""Invented answers for a dry run: the same for the same route, check and day, every time.

A dry run is for feeling the rhythm of a route, not for knowing a car: how often a check fails here
follows the route's base rate, or a share of our own by its class, and proves nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from random import Random
from typing import TYPE_CHECKING

from checkrun.judge.atcheck import car_of, judge_at, outcome_of
from checkrun.judge.invented_marks import mark_text
from checkrun.judge.invented_readings import line_for
from checkrun.judge.judgement import Car, Outcome
from checkrun.route.facts import fact_problem, settle
from checkrun.route.model import Check, Fact, Result, Route, Severity
from checkrun.route.tailor import tailor
from checkrun.session.fold import Walk

if TYPE_CHECKING:
    from checkrun.route.catalog import Catalog
    from checkrun.session.session import Session
    from checkrun.session.store import Store

#: How the folder of a dry run begins, among the temporary ones.
PREFIX = "checkrun-dry-run-"
#: How often a check of a class has a fault here where the route gives no base rate. Invented.
_FAULTY = {Severity.DANGEROUS: 0.1, Severity.MAJOR: 0.2, Severity.MINOR: 0.3}
#: No check has a fault more often than this: most of a walk passes.
_MOST_FAULTY = 0.5
_NOT_EXAMINED, _ASIDE, _NOTED, _FAULT_NOTED = 0.03, 0.03, 0.05, 0.4
_WHY = ("can't be reached", "no time", "the tool is not here", "the owner does not allow it")
_NOTES = (
    "photographed",
    "look again in daylight",
    "the owner knows of it",
    "worse on the left",
    "a second pair of eyes, please",
)
#: Another fault is as good where a kind of reading knows only one of the two.
_OTHER = {Result.CONCERN: Result.FAIL, Result.FAIL: Result.CONCERN}


@dataclass(frozen=True, slots=True)
class Invented:
    """What is entered at one check of a dry run.

    Attributes:
        result: The result; it is what the reading is judged, if that is decided.
        why: The reason, where it was not examined.
        reading: A line as somebody could have typed it; empty for none.
        note: A note; empty for none.
        aside: Whether the check is set aside once before it is answered.
    """

    result: Result
    why: str = ""
    reading: str = ""
    note: str = ""
    aside: bool = False


def invent(walk: Walk, check_id: str, today: date) -> Invented:
    """What a dry run says at a check.

    A reading or note that stands there already stays: the reading decides the result.

    Args:
        walk: The walk, for its route and car.
        check_id: One of its checks.
        today: The day of the walk, for what ages.
    """
    check = walk.route.checks[check_id]
    chance = Random(f"{walk.route.id}\n{check_id}")
    result = _result(check, chance)
    aside = chance.random() < _ASIDE
    noted = chance.random() < (_FAULT_NOTED if result in _OTHER else _NOTED)
    note, why = chance.choice(_NOTES), chance.choice(_WHY)
    reading = ""
    state = walk.state(check_id)
    judged = outcome_of(state.judged)
    if judged is not Outcome.UNDECIDED:
        result = Result(judged.value)
    elif not state.reading:
        result, reading = _read(check, result, car_of(walk, today), chance)
    return Invented(
        result,
        why if result is Result.NOT_EXAMINED else "",
        reading,
        note if noted and not state.note else "",
        aside,
    )


def enter(session: Session, check_id: str, said: Invented, today: date) -> None:
    """Record what was invented for a check, as if it had been typed.

    Raises:
        StoreError: If it can't be kept.
    """
    judged = judge_at(session.walk, check_id, said.reading, today)
    session.answer(
        check_id,
        said.result,
        why=said.why,
        note=said.note or None,
        reading=said.reading or None,
        judged=judged,
    )


def _result(check: Check, chance: Random) -> Result:
    known = None if check.cost is None else check.cost.base_rate
    faulty = min(_FAULTY[check.severity] if known is None else float(known), _MOST_FAULTY)
    drawn = chance.random()
    if drawn < _NOT_EXAMINED:
        return Result.NOT_EXAMINED
    drawn = (drawn - _NOT_EXAMINED) / (1 - _NOT_EXAMINED)
    if drawn < faulty / 2:
        return Result.FAIL
    return Result.CONCERN if drawn < faulty else Result.PASS


def _read(check: Check, result: Result, car: Car, chance: Random) -> tuple[Result, str]:
    """The result with a reading judged so, if the check's kind of reading can be."""
    if check.reading is None or result is Result.NOT_EXAMINED:
        return result, ""
    for tried in (result, _OTHER.get(result)):
        if tried is not None:
            line = line_for(check.reading, Outcome(tried.value), car, chance)
            if line:
                return tried, line
    return result, ""


# The car


def middle_year(route: Route) -> int:
    """The model year of a dry run where none was asked for."""
    return (route.years.first + route.years.last) // 2


def invented_facts(route: Route, year: int) -> dict[str, str]:
    """Answers to a route's questions: its own examples, and a yes to what can be asked so.

    What needs no answer and has no example is left out. If no check is left with these answers,
    only what must be answered is.

    Args:
        route: As it is written.
        year: The car's model year.
    """
    facts = {fact.id: _answer(route, fact, year) for fact in route.facts}
    known = {name: answer for name, answer in facts.items() if answer}
    if tailor(route, year, known).checks:
        return known
    return {fact.id: facts[fact.id] for fact in route.facts if fact.required and facts[fact.id]}


def _answer(route: Route, fact: Fact, year: int) -> str:
    chance = Random(f"{route.id}\n{fact.id}")
    mark = None if fact.mark is None else route.mark(fact.mark)
    tried = [fact.example]
    if fact.kind == "yes-no":
        tried.append("yes")
    elif fact.kind == "choice":
        tried += fact.choices
    elif fact.kind == "number":
        tried.append("1" if fact.required else "")
    elif mark is not None:
        tried.append(mark_text(mark, _car(route, year), chance))
    else:
        tried.append("invented" if fact.required else "")
    return next(
        (settle(fact, text) for text in tried if text and not fact_problem(route, fact, text)), ""
    )


def _car(route: Route, year: int) -> Car:
    return Car(year, {}, {mark.id: mark for mark in route.marks})


def dry_session(store: Store, catalog: Catalog, name: str, year: int | None) -> Session | None:
    """Begin the session of a dry run; None if no check is left for such a car.

    Args:
        store: Where it is kept; it should go away afterwards.
        catalog: Where the route is found.
        name: Its id or path.
        year: The model year, for which the closest layer is taken as on a walk; None for the
            route itself, in the middle of its years.

    Raises:
        RouteNotFound, RouteError, YearNotCovered, CannotWrite: As loading and beginning do.
    """
    route = catalog.load(name) if year is None else catalog.for_year(name, year)
    year = middle_year(route) if year is None else year
    facts = invented_facts(route, year)
    if not tailor(route, year, facts).checks:
        return None
    return store.create(route, year, facts)
