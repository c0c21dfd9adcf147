"""Invented answers: they follow the route, stay the same, and agree with their judgement."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from random import Random
from typing import Any

import pytest

from checkrun.judge.catalog import KINDS
from checkrun.judge.invented import Invented, invent, invented_facts, middle_year
from checkrun.judge.invented_marks import mark_text
from checkrun.judge.invented_readings import line_for
from checkrun.judge.judgement import Car, Outcome
from checkrun.judge.kinds import judge_text
from checkrun.route.example_readings import READINGS
from checkrun.route.facts import fact_problem
from checkrun.route.model import (
    Check,
    Cost,
    Fact,
    Mark,
    MarkField,
    Only,
    Outline,
    Place,
    Reading,
    Result,
    Route,
    Severity,
    Station,
    Years,
)
from checkrun.session.events import Event, Kind
from checkrun.session.fold import Walk

DAY = date(2026, 3, 14)
NOTHING = (Decimal(0), Decimal(0), Decimal(0))
SERIAL = Mark(
    "serial",
    "Serial",
    fields=(MarkField(text="PL"), MarkField("year", digits=1), MarkField("number", digits=4)),
    agrees_with=(("number", "serial.last 4"), ("year", "car.year.last 1")),
)


def route(*checks: Check, **more: Any) -> Route:
    station = Station("nose", "Nose", Place(0, 0, 0), checks=checks)
    outline = Outline(4.0, 1.6, 2.4, 0.7)
    given = {"years": Years(1963, 1968), "stations": (station,), **more}
    return Route("plover", "Brackwell Plover", outline=outline, **given)


def walk(of: Route, *events: tuple[Kind, dict[str, Any]], facts: Any = None) -> Walk:
    made = Walk(of, of.stations)
    began = {"route": of.id, "route_sha": "", "year": 1966, "facts": facts or {}, "program": ""}
    for n, (kind, data) in enumerate(((Kind.BEGAN, began), *events), 1):
        made.apply(Event(n, datetime(2026, 3, 14, 9, tzinfo=UTC), kind, data, n))
    return made


def many(**check: Any) -> list[Invented]:
    """What is said at two thousand checks that differ by their ids alone."""
    checks = tuple(Check(f"c{n}", "Look", **check) for n in range(2000))
    whole = walk(route(*checks))
    return [invent(whole, one.id, DAY) for one in checks]


def share(said: list[Invented], *results: Result) -> float:
    return sum(one.result in results for one in said) / len(said)


# Results


@pytest.mark.parametrize("rate", ["0", "0.1", "0.3", "0.5"])
def test_faults_are_as_frequent_as_the_base_rate_and_half_of_them_fail(rate: str) -> None:
    said = many(cost=Cost(NOTHING, NOTHING, base_rate=Decimal(rate)))
    faulty = share(said, Result.CONCERN, Result.FAIL)
    # 2000 draws: three standard deviations are 0.034 at the most (binomial, 0.5).
    assert faulty == pytest.approx(float(rate) * 0.97, abs=0.034)
    assert share(said, Result.FAIL) == pytest.approx(float(rate) * 0.97 / 2, abs=0.034)


def test_a_rate_of_one_half_is_the_most_so_that_most_of_a_walk_passes() -> None:
    said = many(cost=Cost(NOTHING, NOTHING, base_rate=Decimal("0.9")))
    assert share(said, Result.CONCERN, Result.FAIL) == pytest.approx(0.485, abs=0.034)


def test_without_a_base_rate_the_class_decides_how_often() -> None:
    shares = [share(many(severity=one), Result.CONCERN, Result.FAIL) for one in Severity]
    assert list(Severity) == [Severity.DANGEROUS, Severity.MAJOR, Severity.MINOR]
    assert shares == sorted(shares)
    assert shares[0] == pytest.approx(0.1, abs=0.03)


def test_a_few_are_not_examined_with_a_reason_a_few_set_aside_and_some_noted() -> None:
    said = many()
    skipped = [one for one in said if one.result is Result.NOT_EXAMINED]
    assert 0.01 < len(skipped) / len(said) < 0.06
    assert all(one.why for one in skipped)
    assert not any(one.why for one in said if one.result is not Result.NOT_EXAMINED)
    assert 0.01 < sum(one.aside for one in said) / len(said) < 0.06
    noted = [one for one in said if one.note]
    faults = [one for one in noted if one.result in (Result.CONCERN, Result.FAIL)]
    assert 0.04 < len(noted) / len(said) < 0.25
    assert len(faults) > len(noted) / 2


def test_another_route_says_other_things_at_the_same_check() -> None:
    checks = tuple(Check(f"c{n}", "Look") for n in range(60))
    one, other = route(*checks), replace(route(*checks), id="tern")
    said = [[invent(walk(of), check.id, DAY) for check in checks] for of in (one, other)]
    assert said[0] != said[1]


# Readings


def test_every_kind_of_reading_has_its_lines() -> None:
    from checkrun.judge.invented_readings import _MAKERS

    assert set(_MAKERS) == set(KINDS)


def example(kind: str, fields: dict[str, str]) -> Reading:
    import yaml

    spec = {name: yaml.load(text, yaml.BaseLoader) for name, text in fields.items()}
    return Reading(kind, spec.pop("unit", ""), spec)


CAR = Car(1966, {"serial": "PL62417", "build-date": "1966-02-17"}, {"chassis-serial": SERIAL}, DAY)


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        (kind, typed.fields)
        for kind, examples in READINGS.items()
        for typed in examples
        if typed.fields.get("mark") != "casting-date"
    ],
)
def test_the_examples_of_every_kind_get_a_line_for_more_than_one_result(
    kind: str, fields: dict[str, str]
) -> None:
    reading = example(kind, fields)
    spec = {**reading.spec, **({"unit": reading.unit} if reading.unit else {})}
    found = {}
    for outcome in (Outcome.PASS, Outcome.CONCERN, Outcome.FAIL):
        line = line_for(reading, outcome, CAR, Random(1))
        if line:
            found[outcome] = line
            assert judge_text(kind, spec, line, CAR).outcome is outcome
    assert len(found) >= 2, found


def test_what_has_no_limit_gets_no_reading() -> None:
    reading = Reading("measure", "mm")
    lines = [line_for(reading, outcome, CAR, Random(1)) for outcome in Outcome]
    assert lines == ["", "", "", ""]


def test_a_kind_that_knows_no_concern_fails_instead() -> None:
    reading = Reading("yes-no", spec={"choices": {"yes": "pass", "no": "fail"}})
    said = many(reading=reading, cost=Cost(NOTHING, NOTHING, base_rate=Decimal("0.5")))
    assert share(said, Result.CONCERN) == 0
    assert {one.reading for one in said if one.result is Result.FAIL} == {"no"}
    assert {one.reading for one in said if one.result is Result.PASS} == {"yes"}


def test_a_reading_that_stands_there_decides_and_a_note_stays() -> None:
    reading = Reading("measure", "mm", {"pass": {"at-most": "10"}})
    of = route(*(Check(f"c{n}", "Gap", reading=reading) for n in range(40)))
    for check_id in of.checks:
        measured = {"check": check_id, "text": "12", "unit": "mm", "judged": {"result": "fail"}}
        noted = {"check": check_id, "text": "mine"}
        said = invent(walk(of, (Kind.MEASURED, measured), (Kind.NOTED, noted)), check_id, DAY)
        assert (said.result, said.reading, said.note) == (Result.FAIL, "", "")


def test_a_reading_that_could_not_be_judged_stays_too() -> None:
    of = route(Check("gap", "Gap", reading=Reading("measure", "mm", {"pass": {"at-most": "10"}})))
    measured = {
        "check": "gap",
        "text": "about ten",
        "unit": "mm",
        "judged": {"result": "undecided"},
    }
    assert invent(walk(of, (Kind.MEASURED, measured)), "gap", DAY).reading == ""


# The car


def test_the_year_is_the_middle_of_the_routes() -> None:
    assert middle_year(route()) == 1965
    assert middle_year(route(years=Years(1966, 1966))) == 1966


def test_facts_are_the_examples_and_fit_their_questions() -> None:
    facts = (
        Fact("serial", "Serial", mark="serial", required=True, example="PL6-1234"),
        Fact("good", "Serial", mark="serial", required=True, example="pl61234"),
        Fact("tank", "Long tank?", "yes-no"),
        Fact("trim", "Trim", "choice", ("plain", "de luxe")),
        Fact("price", "Price", "number"),
        Fact("doors", "Doors", "number", required=True),
        Fact("run", "Last run"),
    )
    of = route(Check("c", "Look"), facts=facts, marks=(SERIAL,))
    found = invented_facts(of, 1966)
    assert found["good"] == "PL61234"
    assert found["serial"] != "PL6-1234"
    assert (found["tank"], found["trim"], found["doors"]) == ("yes", "plain", "1")
    assert set(found) == {"serial", "good", "tank", "trim", "doors"}
    assert not any(fact_problem(of, fact, found.get(fact.id, "")) for fact in facts)


def test_facts_that_would_leave_nothing_to_walk_are_left_out() -> None:
    facts = (Fact("tank", "Long tank?", "yes-no"), Fact("serial", "Serial", required=True))
    check = Check("c", "Look", only=Only(facts=(("tank", "no"),)))
    assert invented_facts(route(check, facts=facts), 1966) == {"serial": "invented"}


def test_a_mark_is_written_as_its_fields_and_its_car_want_it() -> None:
    car = replace(CAR, facts={"serial": "PL602417"})
    assert mark_text(SERIAL, car, Random(1)) == "PL62417"
    dated = Mark(
        "date",
        "Date",
        fields=(
            MarkField("month", letters=1, values=(("A", "January"), ("B", "February"))),
            MarkField("day", digits=2, range="1-31"),
            MarkField("year", digits=2),
        ),
    )
    texts = {mark_text(dated, car, Random(n)) for n in range(40)}
    assert {text[0] for text in texts} == {"A", "B"}
    assert all(1 <= int(text[1:3]) <= 31 for text in texts)
    assert {text[3:] for text in texts} == {"65", "66"}
