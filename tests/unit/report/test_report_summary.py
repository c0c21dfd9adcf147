"""The summary as data: just these keys, in this order, with these values."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from checkrun.report.summary import as_data, summarize
from checkrun.route.model import Claim, Cost, Result, Route, Sign
from checkrun.session.session import Session
from checkrun.session.store import Store
from checkrun.session.valuing import believe, set_cost, set_terms

NOON = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)


@pytest.fixture
def session(plover: Route, tmp_path: Path) -> Iterator[Session]:
    store = Store(tmp_path / "sessions", lambda: NOON)
    with store.create(plover, 1966, {"serial": "PL6-02417"}) as session:
        yield session


def test_a_fresh_walk_is_all_open(session: Session) -> None:
    data = as_data(session)
    assert list(data) == [
        "session",
        "route",
        "title",
        "car",
        "counts",
        "findings",
        "not_examined",
        "overruled",
        "open",
        "apart",
        "claims",
        "next",
        "money",
        "confirmed",
        "signed",
    ]
    assert (data["claims"], data["next"], data["confirmed"]) == ({}, [], [])
    assert (data["money"]["mean"], data["money"]["items"]) == (0, [])
    assert (data["money"]["most_to_pay"], data["money"]["lines"]) == (None, [])
    assert data["session"] == session.id
    assert (data["route"], data["title"]) == ("plover-1966", "Brackwell Plover 1966")
    assert data["car"] == {"year": 1966, "serial": "PL6-02417"}
    assert data["counts"] == {"pass": 0, "concern": 0, "fail": 0, "not_examined": 0, "open": 5}
    assert (data["findings"], data["not_examined"], data["apart"]) == ([], [], [])
    assert data["signed"] is None
    assert data["open"][2] == {
        "check": "sill-left",
        "station": "left-door",
        "class": "dangerous",
        "group": "structure",
        "ask": "Left sill, inner face",
        "set_aside": False,
    }
    assert [item["check"] for item in data["open"]] == list(session.walk.sequence)


def test_every_value_of_a_walk_with_every_result(session: Session) -> None:
    session.answer("lamp-left", Result.PASS)
    session.answer("bonnet-gap", Result.CONCERN, note="rubs [left]", reading="2,5")
    session.answer("sill-left", Result.FAIL, note='hole\n"two fingers"')
    session.answer("frame-kink", Result.NOT_EXAMINED, why="no lift")
    session.set_aside("idle")
    session.sign("Ines Varga")
    data = as_data(session)
    assert data["counts"] == {"pass": 1, "concern": 1, "fail": 1, "not_examined": 1, "open": 1}
    assert data["findings"] == [
        {
            "check": "sill-left",
            "station": "left-door",
            "result": "fail",
            "class": "dangerous",
            "group": "structure",
            "ask": "Left sill, inner face",
            "note": 'hole\n"two fingers"',
            "reading": "",
            "judged": None,
            "why": "",
            "why_here": "first: the worst class here is dangerous, and structure leads in it",
        },
        {
            "check": "bonnet-gap",
            "station": "nose",
            "result": "concern",
            "class": "minor",
            "group": "body",
            "ask": "Gap of the bonnet",
            "note": "rubs [left]",
            "reading": "2,5 mm",
            "judged": None,
            "why": "",
            "why_here": "minor comes after dangerous; body leads in it",
        },
    ]
    assert data["not_examined"] == [
        {
            "check": "frame-kink",
            "station": "under-frame",
            "result": "not-examined",
            "class": "major",
            "group": "mechanical",
            "ask": "Kink in the frame rail",
            "note": "",
            "reading": "",
            "judged": None,
            "why": "no lift",
            "why_here": "first: the worst class here is major, and mechanical leads in it",
        }
    ]
    assert data["open"] == [
        {
            "check": "idle",
            "station": "bay-running",
            "class": "major",
            "group": "mechanical",
            "ask": "Idle, warm",
            "set_aside": True,
        }
    ]
    assert data["signed"] == {"name": "Ines Varga", "at": "2026-03-14T12:00:00.000000Z"}
    assert json.loads(json.dumps(data)) == data


def test_what_is_undone_is_not_told(session: Session) -> None:
    before = as_data(session)
    session.answer("sill-left", Result.FAIL, note="hole", reading="3")
    assert as_data(session) != before
    session.undo()
    assert as_data(session) == before


def test_what_another_route_has_no_more_is_told_apart(session: Session, plover: Route) -> None:
    session.answer("bonnet-gap", Result.FAIL, note="rubs", reading="0")
    session.measure("lamp-left", "7")
    session.move("sill-left")
    session.take_route(replace(plover, stations=plover.stations[1:]))
    data = as_data(session)
    assert data["apart"] == [
        {"check": "bonnet-gap", "result": "fail", "note": "rubs", "reading": "0 mm"},
        {"check": "lamp-left", "result": None, "note": "", "reading": "7"},
    ]
    assert data["counts"] == {"pass": 0, "concern": 0, "fail": 0, "not_examined": 0, "open": 3}
    assert data["findings"] == []


def test_stations_are_told_with_their_own_counts_in_walking_order(session: Session) -> None:
    session.answer("lamp-left", Result.CONCERN)
    stations = summarize(session.walk).stations
    assert [(station.id, counts.concern, counts.open) for station, counts in stations] == [
        ("nose", 1, 1),
        ("left-door", 0, 1),
        ("under-frame", 0, 1),
        ("bay-running", 0, 1),
    ]


def test_only_states_with_a_caution_are_told_as_confirmed(session: Session) -> None:
    session.confirm_state({"bonnet": "open"})
    session.confirm_state({"car": "raised"}, "Lift only at the maker's points.")
    assert summarize(session.walk).confirmed == (
        ("2026-03-14T12:00:00.000000Z", "car raised", "Lift only at the maker's points."),
    )


@pytest.fixture
def valued(plover: Route, tmp_path: Path) -> Iterator[Session]:
    """The same car with a claim that a sill speaks of and that costs something to put right."""
    rows = ((Decimal("0.8"), Decimal("0.2")), None, (Decimal("0.2"), Decimal("0.8")))
    hours, parts = (Decimal(5),) * 3, (Decimal(30),) * 3

    def with_worth(check: Any) -> Any:
        if check.id == "sill-left":
            return replace(check, cost=Cost(hours, parts), signs=(Sign("sound", "", *rows),))
        if check.id == "idle":
            return replace(check, signs=(Sign("sound", "", *rows),))
        return check

    stations = tuple(
        replace(station, checks=tuple(with_worth(check) for check in station.checks))
        for station in plover.stations
    )
    claims = (Claim("sound", "The sills are sound", Decimal("0.5"), Decimal("0.25")),)
    store = Store(tmp_path / "sessions", lambda: NOON)
    route = replace(plover, stations=stations, claims=claims)
    with store.create(route, 1966, {"serial": "PL6-02417"}) as session:
        yield session


def test_claims_are_told_with_their_signs_and_what_to_look_at_next(valued: Session) -> None:
    valued.answer("sill-left", Result.FAIL)
    believe(valued, "sound", "0.6")
    data = as_data(valued)
    claim = data["claims"]["sound"]
    assert (claim["says"], claim["matters"], claim["before"]) == ("The sills are sound", 0.25, 0.6)
    # Odds 3 : 2 times 1 : 4, so 3 : 8.
    assert claim["after"] == pytest.approx(3 / 11)
    assert claim["verbal"] == "weak support against"
    assert [(sign["check"], sign["result"]) for sign in claim["signs"]] == [("sill-left", "fail")]
    assert [(row["check"], row["claim"], row["minutes"]) for row in data["next"]] == [
        ("idle", "sound", 0.1)
    ]
    assert json.loads(json.dumps(data)) == data


def test_money_is_told_with_every_line_and_whose_figures_those_are(valued: Session) -> None:
    valued.answer("sill-left", Result.FAIL)
    valued.answer("bonnet-gap", Result.CONCERN)
    set_terms(valued, {"asking": "40000", "currency": "EUR", "rate": "100"})
    set_cost(valued, "sill-left", {"hours": "2"})
    money = as_data(valued)["money"]
    assert (money["currency"], money["rate"], money["asking"]) == ("EUR", 100, 40000)
    assert (money["value"], money["margin"], money["percentile"]) == (40000, 0, 80)
    # Two hours at 100 and 30 of parts; the claim is down to a fifth: 10 000 times 4/5.
    assert (money["mean"], money["p80"]) == (230, 230)
    assert [line["amount"] for line in money["lines"]] == [40000, -8000, -230, 0]
    assert money["most_to_pay"] == 31770
    assert money["items"] == [
        {
            "check": "sill-left",
            "result": "fail",
            "chance": 1.0,
            "hours": [2, 2, 2],
            "parts": [30, 30, 30],
            "mean": 230,
            "share": 0,
            "seller": False,
            "own": ["hours"],
        }
    ]
    assert money["groups"] == {"structure": 230}
    assert money["unpriced"] == ["bonnet-gap"]
    assert money["warning"].startswith("The structure failed a check.")
    set_cost(valued, "sill-left", {"seller": "yes"})
    money = as_data(valued)["money"]
    assert (money["mean"], money["items"][0]["seller"]) == (0, True)
