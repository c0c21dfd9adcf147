"""The summary as plain text: the whole of it, as a person reads it in a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest

from checkrun.report.glyphs import ASCII
from checkrun.report.summary import summarize
from checkrun.report.text import as_text, counts_line
from checkrun.route.model import Claim, Cost, Result, Route, Sign
from checkrun.session.session import Session
from checkrun.session.store import Store
from checkrun.session.valuing import set_cost, set_terms

NOON = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)


@pytest.fixture
def session(plover: Route, tmp_path: Path) -> Iterator[Session]:
    store = Store(tmp_path / "sessions", lambda: NOON)
    with store.create(plover, 1966, {"serial": "PL6-02417", "colour": ""}) as session:
        yield session


def test_the_whole_text_of_a_walk_with_every_result(session: Session, plover: Route) -> None:
    session.answer("lamp-left", Result.PASS)
    session.answer("bonnet-gap", Result.CONCERN, note="rubs [left]", reading="2,5")
    session.answer("sill-left", Result.FAIL, note="hole\n\ntwo fingers wide")
    session.answer("frame-kink", Result.NOT_EXAMINED, why="no lift")
    session.set_aside("idle")
    session.sign("Ines Varga")
    assert as_text(session).splitlines() == [
        "Brackwell Plover 1966: model year 1966, serial PL6-02417",
        f"session {session.id}, begun 2026-03-14 12:00 UTC",
        "1 fail, 1 concern, 1 pass, 1 not examined, 1 open",
        "signed off by Ines Varga on 2026-03-14 12:00 UTC",
        "",
        "Findings, worst first (2)",
        "  1  fail · dangerous · structure · Left sill, inner face  [sill-left]",
        "     at: Left door",
        "     note: hole",
        "     two fingers wide",
        "     stands here since: first: the worst class here is dangerous, and structure leads in "
        "it",
        "  2  concern · minor · body · Gap of the bonnet  [bonnet-gap]",
        "     at: Nose",
        "     reading: 2,5 mm",
        "     note: rubs [left]",
        "     stands here since: minor comes after dangerous; body leads in it",
        "",
        "  ▲ The structure failed a check. Frame and body decide, and the engine",
        "  is the cheap part (common practice): let a workshop that is licensed",
        "  for it look at the structure before any money moves.",
        "",
        "Without any cost so far (2)",
        "  ·  Gap of the bonnet  [bonnet-gap]",
        "  ·  Left sill, inner face  [sill-left]",
        "",
        "Not examined, what matters most first (1)",
        "  1  not-examined · major · mechanical · Kink in the frame rail  [frame-kink]",
        "     at: Under the frame",
        "     reason: no lift",
        "     stands here since: first: the worst class here is major, and mechanical leads in it",
        "",
        "Open (1)",
        "  ·  Engine bay, engine running: Idle, warm (set aside)  [idle]",
    ]


def test_what_is_apart_is_told_without_blanks_at_the_end(session: Session, plover: Route) -> None:
    session.answer("bonnet-gap", Result.PASS, reading="4")
    session.note("lamp-left", "loose")
    session.answer("idle", Result.PASS)
    session.take_route(replace(plover, stations=plover.stations[1:3]))
    lines = as_text(session).splitlines()
    assert lines[lines.index("Apart: entered for checks that the route no longer has") :] == [
        "Apart: entered for checks that the route no longer has",
        "  ·  bonnet-gap: pass 4 mm",
        "  ·  lamp-left: no result loose",
        "  ·  idle: pass",
    ]


def test_an_empty_walk_has_neither_findings_nor_a_signature(session: Session) -> None:
    text = as_text(session)
    assert "Findings" not in text
    assert "Not examined" not in text
    assert "signed" not in text
    assert text.splitlines()[4] == "Open (5)"


def test_a_long_note_is_wrapped_and_nothing_of_it_is_lost(session: Session) -> None:
    words = [f"word-{k}" for k in range(60)] + ["x" * 120]
    session.answer("sill-left", Result.FAIL, note=" ".join(words))
    lines = as_text(session).splitlines()
    start = next(k for k, line in enumerate(lines) if line.startswith("     note: "))
    end = next(k for k, line in enumerate(lines) if line.startswith("     stands here"))
    # A word with a hyphen may be parted after it; its letters stay in order.
    told = "".join("".join(lines[start:end]).removeprefix("     note: ").split())
    assert told == "".join(words)
    assert all(len(line) <= 96 for line in lines[start:end] if "x" * 120 not in line)


def test_counts_in_one_line(session: Session) -> None:
    session.answer_many(["lamp-left", "sill-left"], Result.FAIL)
    assert counts_line(summarize(session.walk)) == (
        "2 fail, 0 concern, 0 pass, 0 not examined, 3 open"
    )


def test_confirmed_safety_stops_and_reopenings_are_told(session: Session) -> None:
    session.confirm_state({"car": "raised"}, "On the locks.")
    session.sign("A. Holt")
    session.reopen("one more look")
    lines = as_text(session).splitlines()
    assert "opened again after signing: 1" in lines
    assert lines[-2] == "Safety stops confirmed"
    assert lines[-1].endswith(" UTC: car raised")


def test_claims_and_money_are_told_between_the_findings_and_what_was_not_examined(
    plover: Route, tmp_path: Path
) -> None:
    rows = ((Decimal("0.8"), Decimal("0.2")), None, (Decimal("0.2"), Decimal("0.8")))
    hours, parts = (Decimal(5),) * 3, (Decimal(30),) * 3
    sill = replace(
        plover.checks["sill-left"], cost=Cost(hours, parts), signs=(Sign("sound", "", *rows),)
    )
    claims = (Claim("sound", "The sills are sound", Decimal("0.5"), Decimal("0.25")),)
    stations = tuple(
        replace(found, checks=(sill,)) if found.id == "left-door" else found
        for found in plover.stations
    )
    store = Store(tmp_path / "sessions", lambda: NOON)
    with store.create(replace(plover, stations=stations, claims=claims), 1966, {}) as session:
        session.answer("sill-left", Result.FAIL)
        session.answer("frame-kink", Result.NOT_EXAMINED, why="no lift")
        set_terms(session, {"asking": "40000", "currency": "EUR"})
        text = as_text(session)
        set_cost(session, "sill-left", {"seller": "yes"})
        seller = as_text(session)
    heads = ["Findings", "Claims (1)", "What it costs (EUR)", "The most to pay", "Not examined"]
    places = [text.index(head) for head in heads]
    assert places == sorted(places)
    assert "  ·  The sills are sound: 20.0 %  [sound]" in text.splitlines()
    assert "-6.0 decibans (weak support against) by 1 sign;" in text
    assert "structure failed" in text
    # 40 000 less 10 000 times 0.8, less 430.
    assert "31 570.00" in text
    assert seller[seller.index("The seller puts right (1)") :].splitlines()[1] == (
        "  ·  Left sill, inner face  [sill-left]"
    )
    assert "32 000.00" in seller


def test_a_terminal_without_unicode_gets_bars_and_warnings_it_can_show(session: Session) -> None:
    session.answer("sill-left", Result.FAIL)
    set_cost(session, "sill-left", {"hours": "1 2 9"})
    text = as_text(session, ASCII)
    assert "#" in text
    assert "!! The structure failed" in text
    assert not any(sign in text for sign in "▲█━─")
