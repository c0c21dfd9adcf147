"""Figures, priors and ranks: checked as typed, events of the session, taken back by undo."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from checkrun.route.model import Claim, Cost, Result, Route
from checkrun.session.errors import BadFigure, NoSuchCheck, SessionSigned, WhyMissing
from checkrun.session.events import Kind
from checkrun.session.session import Session
from checkrun.session.store import Store
from checkrun.session.valuing import (
    OwnCost,
    Terms,
    believe,
    figures,
    own_of,
    rank,
    set_cost,
    set_terms,
    terms_of,
)

BuildRoute = Callable[..., Route]


@pytest.fixture
def route(build: BuildRoute) -> Route:
    claims = (Claim("first-body", "The body is the first one", Decimal("0.6"), Decimal("0.2")),)
    return replace(build(), claims=claims)


@pytest.fixture
def session(store: Store, route: Route) -> Any:
    with store.create(route, 1965, {}) as opened:
        yield opened


def test_nothing_said_is_a_nominal_hour_and_no_price() -> None:
    assert terms_of({}) == Terms(
        None, None, Decimal(80), "", Decimal(0), Decimal(80), Decimal("0.2")
    )


def test_terms_are_kept_as_plain_figures_and_read_back(session: Session) -> None:
    set_terms(
        session,
        {"asking": "42500", "rate": "85,50", "currency": "EUR", "percentile": "90 %",
         "margin": "1500.00", "correlation": "30%"},
    )  # fmt: skip
    assert session.walk.terms == {
        "asking": "42500",
        "rate": "85.5",
        "currency": "EUR",
        "percentile": "90",
        "margin": "1500",
        "correlation": "0.3",
    }
    assert terms_of(session.walk.terms) == Terms(
        Decimal(42500), None, Decimal("85.5"), "EUR", Decimal(1500), Decimal(90), Decimal("0.3")
    )
    assert len({event.group for event in session.walk.events[-6:]}) == 1


def test_saying_the_same_again_writes_nothing(session: Session) -> None:
    set_terms(session, {"rate": "90"})
    count = len(session.walk.events)
    set_terms(session, {"rate": "90.0"})
    set_terms(session, {"margin": ""})
    assert len(session.walk.events) == count


@pytest.mark.parametrize(
    ("name", "typed", "told"),
    [
        ("asking", "42,500", "asking: 42,500 can be read in two ways. Write 42500, without"),
        ("asking", "1.250.000", "Write 1250000, without marks"),
        ("asking", "-5", "asking: '-5' is no amount. Write it like 85 or 85.5."),
        ("asking", "1e9", "asking: '1e9' is no amount"),
        ("asking", "9999999999", "is no amount"),
        ("rate", "eighty", "rate: 'eighty' is no amount"),
        ("percentile", "20", "percentile: 20 is not between 50 and 99. 80 is usual."),
        ("percentile", "100", "percentile: 100 is not between 50 and 99"),
        ("correlation", "1.5", "correlation: 1.5 is no share. Write a number from 0 to 1."),
        ("currency", "12", "currency: a sign or a short code is expected. Such as EUR."),
        ("colour", "red", "There is no 'colour' to set. There are: asking, value, rate,"),
    ],
)
def test_a_term_that_is_none_is_told_and_changes_nothing(
    session: Session, name: str, typed: str, told: str
) -> None:
    count = len(session.walk.events)
    with pytest.raises(BadFigure) as caught:
        set_terms(session, {"margin": "5", name: typed})
    assert told in str(caught.value)
    assert len(session.walk.events) == count
    assert session.walk.terms == {}


def test_own_figures_stand_in_for_the_routes(session: Session) -> None:
    set_cost(session, "a", {"hours": "2 4,5 9", "parts": "100", "chance": "0.8", "seller": "yes"})
    own = own_of(session.walk.state("a").own)
    assert own == OwnCost(
        (Decimal(2), Decimal("4.5"), Decimal(9)), (Decimal(100),) * 3, Decimal("0.8"), True
    )
    route_cost = Cost((Decimal(1),) * 3, (Decimal(7),) * 3)
    assert figures(route_cost, own)[1] == (Decimal(100),) * 3
    set_cost(session, "a", {"parts": "", "seller": "no"})
    own = own_of(session.walk.state("a").own)
    assert figures(route_cost, own) == (
        (Decimal(2), Decimal("4.5"), Decimal(9)),
        (Decimal(7),) * 3,
    )
    assert not own.seller
    assert figures(None, OwnCost()) == ((Decimal(0),) * 3,) * 2


@pytest.mark.parametrize(
    ("name", "typed", "told"),
    [
        ("hours", "9 4 2", "hours: low, likely and high must rise. Write 2 4 9."),
        ("hours", "2 4", "hours: low, likely and high are expected. Such as 2 4 9."),
        ("parts", "a b c", "parts: 'a' is no amount"),
        ("parts", "0 1,000 2", "can be read in two ways. Write 1000"),
        ("chance", "2", "chance: 2 is no share"),
        ("seller", "perhaps", "seller: yes or no is expected."),
        ("colour", "red", "A cost has no 'colour'. It has: hours, parts, chance, seller."),
    ],
)
def test_a_figure_that_is_none_is_told(session: Session, name: str, typed: str, told: str) -> None:
    with pytest.raises(BadFigure) as caught:
        set_cost(session, "a", {name: typed})
    assert told in str(caught.value)
    assert session.walk.state("a").own == {}


def test_an_unknown_check_or_claim_is_told_with_the_nearest(session: Session) -> None:
    with pytest.raises(NoSuchCheck):
        set_cost(session, "z", {"hours": "1"})
    with pytest.raises(BadFigure, match="Did you mean first-body"):
        believe(session, "first-bodi", "0.5")


def test_a_prior_is_a_share_that_is_never_certain(session: Session) -> None:
    believe(session, "first-body", "35 %")
    assert session.walk.priors == {"first-body": "0.35"}
    for typed in ("0", "1", "100 %", "1.2"):
        with pytest.raises(BadFigure, match="between 0 and 1, and neither of them"):
            believe(session, "first-body", typed)
    believe(session, "first-body", "")
    assert session.walk.priors == {}


def test_undo_takes_back_figures_terms_and_priors_one_action_at_a_time(session: Session) -> None:
    session.answer("a", Result.FAIL)
    set_cost(session, "a", {"hours": "1"})
    set_terms(session, {"rate": "90"})
    set_terms(session, {"rate": "95", "margin": "10"})
    believe(session, "first-body", "0.3")
    assert session.undo()
    assert session.walk.priors == {}
    assert session.undo()
    assert session.walk.terms == {"rate": "90"}
    assert session.undo()
    assert session.walk.terms == {}
    assert session.redo()
    assert session.walk.terms == {"rate": "90"}
    assert session.undo()
    assert session.undo()
    assert session.walk.state("a").own == {}
    assert session.walk.counts.fail == 1


def test_a_rank_needs_a_reason_and_goes_back_without_one(session: Session) -> None:
    with pytest.raises(WhyMissing, match="Another place in the order needs a reason"):
        rank(session, "a", "b", " ")
    rank(session, "a", "b", "the buyer asked for it")
    found = session.walk.state("a").rank
    assert found is not None
    assert (found.before, found.why) == ("b", "the buyer asked for it")
    rank(session, "a", "a", "")
    assert session.walk.state("a").rank is None
    with pytest.raises(NoSuchCheck):
        rank(session, "a", "z", "why")


def test_all_of_it_is_there_when_the_session_is_opened_again(store: Store, route: Route) -> None:
    with store.create(route, 1965, {}) as session:
        set_terms(session, {"asking": "40000"})
        set_cost(session, "b", {"seller": "yes"})
        believe(session, "first-body", "0.3")
        rank(session, "b", "", "least")
        name = session.id
    assert store.verify(name) == ()
    with store.open(name) as session:
        walk = session.walk
        assert (walk.terms, walk.priors) == ({"asking": "40000"}, {"first-body": "0.3"})
        assert walk.state("b").own == {"seller": "yes"}
        assert walk.state("b").rank is not None
        session.sign("Ines")
        with pytest.raises(SessionSigned):
            set_terms(session, {"asking": "1"})


def test_a_file_of_format_1_opens_and_takes_the_new_events(store: Store, route: Route) -> None:
    with store.create(route, 1965, {}) as session:
        session.answer("a", Result.FAIL)
        path, name = session.path, session.id
    data = json.loads(path.read_text("utf-8"))
    data["head"]["1"]["format"] = 1
    path.write_text(json.dumps(data, separators=(",", ":")), "utf-8")
    with store.open(name) as session:
        assert session.walk.counts.fail == 1
        set_terms(session, {"asking": "40000"})
    assert json.loads(path.read_text("utf-8"))["head"]["1"]["format"] == 2
    assert store.verify(name) == ()


def test_events_edited_by_hand_are_read_as_far_as_they_make_sense() -> None:
    assert terms_of({"rate": "many", "asking": "NaN", "margin": "-1", "x": "1"}) == Terms()
    assert own_of({"hours": "3 2 1", "parts": "1 2", "chance": "x"}) == OwnCost()


def test_the_kinds_stand_in_the_file_by_these_names() -> None:
    kinds = (Kind.PRICED, Kind.RANKED, Kind.TERM, Kind.BELIEVED)
    assert [kind.value for kind in kinds] == ["priced", "ranked", "term", "believed"]


def test_a_price_asked_at_the_intake_counts_until_another_is_said() -> None:
    facts = {"asking-price": "61500", "serial": "PL6-02417"}
    assert terms_of({}, facts).asking == Decimal(61500)
    assert terms_of({"asking": "58000"}, facts).asking == Decimal(58000)
    for unclear in ("", "about 60", "61,500"):
        assert terms_of({}, {"asking-price": unclear}).asking is None
