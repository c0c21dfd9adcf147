"""What is left of a route for one car."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from checkrun.route.model import (
    Check,
    Claim,
    Only,
    Outline,
    Place,
    Route,
    Sign,
    Station,
    Years,
)
from checkrun.route.tailor import applies, tailor

HALF = (Decimal("0.5"), Decimal("0.5"))


def route(*stations: Station) -> Route:
    return Route("r", "R", Years(1963, 1968), Outline(4.1, 1.7, 2.4, 0.7), stations=stations)


def station(name: str, *checks: Check, only: Only | None = None) -> Station:
    return Station(name, name, Place(0, 0, 0), checks=checks, only=only or Only())


@pytest.mark.parametrize(
    ("only", "year", "facts", "kept"),
    [
        (Only(), 1966, {}, True),
        (Only(years=Years(1965, 1967)), 1964, {}, False),
        (Only(years=Years(1965, 1967)), 1965, {}, True),
        (Only(years=Years(1965, 1967)), 1967, {}, True),
        (Only(years=Years(1965, 1967)), 1968, {}, False),
        (Only(facts=(("tank", "yes"),)), 1966, {"tank": "yes"}, True),
        (Only(facts=(("tank", "yes"),)), 1966, {"tank": "no"}, False),
        (Only(facts=(("tank", "yes"),)), 1966, {"tank": ""}, True),
        (Only(facts=(("tank", "yes"),)), 1966, {}, True),
        (
            Only(facts=(("tank", "yes"), ("lift", "no"))),
            1966,
            {"tank": "yes", "lift": "yes"},
            False,
        ),
        (Only(facts=(("tank", "yes"), ("lift", "no"))), 1966, {"lift": "no"}, True),
        (Only(Years(1965, 1967), (("tank", "yes"),)), 1968, {"tank": "yes"}, False),
    ],
)
def test_year_and_facts_decide_and_an_unanswered_fact_keeps(
    only: Only, year: int, facts: dict[str, str], kept: bool
) -> None:
    assert applies(only, year, facts) is kept


def test_stations_checks_and_signs_that_do_not_apply_fall_away() -> None:
    late = Only(years=Years(1967, 1968))
    signs = (Sign("a", on_fail=HALF), Sign("b", on_fail=HALF, only=late))
    whole = route(
        station("both", Check("always", "A", signs=signs), Check("late", "L", only=late)),
        station("late-station", Check("there", "T"), only=late),
        station("emptied", Check("late-too", "E", only=late)),
    )
    cut = tailor(whole, 1966, {})
    assert [(s.id, [c.id for c in s.checks]) for s in cut.stations] == [("both", ["always"])]
    assert [sign.claim for sign in cut.checks["always"].signs] == ["a"]
    assert tailor(whole, 1968, {}) == whole


def test_a_claim_nobody_makes_of_this_car_goes_with_its_signs() -> None:
    limited = Only(facts=(("touring-tank", "yes"),))
    claims = (
        Claim("tank-works", "The tank is the works'", Decimal("0.3"), Decimal("0.2"), limited),
        Claim("first-body", "The body is the first one", Decimal("0.6"), Decimal("0.2")),
    )
    signs = (Sign("tank-works"), Sign("first-body"))
    whole = replace(
        route(station("tail", Check("hole", "Hole", signs=signs))),
        claims=claims,
    )
    assert [claim.id for claim in tailor(whole, 1966, {"touring-tank": "no"}).claims] == [
        "first-body"
    ]
    cut = tailor(whole, 1966, {"touring-tank": "no"})
    assert [sign.claim for sign in cut.checks["hole"].signs] == ["first-body"]
    assert tailor(whole, 1966, {"touring-tank": "yes"}) == whole
    # A claim that nobody was asked about is not made; a check would stay.
    assert len(tailor(whole, 1966, {}).claims) == 1
