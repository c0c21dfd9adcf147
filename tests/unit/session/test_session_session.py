"""Actions on an open session: one durable write each, and nothing changes if it fails."""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from tinydb import TinyDB
from tinydb.storages import JSONStorage

from checkrun.route.model import Result, Route
from checkrun.session.errors import (
    CannotWrite,
    NameMissing,
    NoSuchCheck,
    SessionBusy,
    SessionSigned,
    WhyMissing,
)
from checkrun.session.events import Kind
from checkrun.session.fold import Counts
from checkrun.session.session import Session
from checkrun.session.store import Store

BuildRoute = Callable[..., Route]


@pytest.fixture
def session(store: Store, build: BuildRoute) -> Any:
    with store.create(build(), 1965, {"serial": "PL6-02417"}) as opened:
        yield opened


def tail(session: Session, n: int) -> list[tuple[str, dict[str, Any]]]:
    return [(event.kind.value, event.data) for event in session.walk.events[-n:]]


def test_a_new_session_tells_how_it_began(session: Session) -> None:
    began = session.walk.events[0]
    assert began.kind is Kind.BEGAN
    assert set(began.data) == {"route", "route_sha", "year", "facts", "program"}
    assert (began.n, began.group) == (1, 1)
    assert began.at.tzinfo is UTC
    assert session.walk.year == 1965
    assert session.walk.facts == {"serial": "PL6-02417"}
    assert not session.read_only
    assert session.busy == ""


def test_an_answer_with_reading_and_note_is_one_group_in_order(session: Session) -> None:
    session.answer("a", Result.CONCERN, why="rough", note="left side", reading="2,4")
    assert tail(session, 3) == [
        ("measured", {"check": "a", "text": "2,4", "unit": "mm"}),
        ("noted", {"check": "a", "text": "left side"}),
        ("answered", {"check": "a", "result": "concern", "why": "rough"}),
    ]
    assert [event.group for event in session.walk.events] == [1, 2, 2, 2]
    assert session.walk.at == "b"


def test_only_what_differs_is_written_again(session: Session) -> None:
    session.answer("a", Result.PASS, note="n", reading="1")
    session.answer("a", Result.FAIL, note="n", reading="1")
    session.note("a", "n")
    session.measure("a", "1")
    session.note("b", "")
    session.measure("b", "")
    session.move(session.walk.at)
    assert len(session.walk.events) == 5
    session.measure("a", "")
    session.note("a", "")
    assert len(session.walk.events) == 7
    assert session.walk.state("a").reading == ""


@pytest.mark.parametrize("why", ["", "  ", "\x00"])
def test_not_examined_needs_a_reason(session: Session, why: str) -> None:
    with pytest.raises(WhyMissing):
        session.answer("a", Result.NOT_EXAMINED, why=why)
    with pytest.raises(ValueError, match="needs a reason"):
        session.answer_many(["a", "b"], Result.NOT_EXAMINED, why)
    assert len(session.walk.events) == 1
    session.answer("a", Result.NOT_EXAMINED, why="no lift")
    assert session.walk.counts == Counts(not_examined=1, open=4)


def test_many_answers_are_one_action(session: Session) -> None:
    session.answer_many(["a", "b"], Result.NOT_EXAMINED, "locked")
    assert session.walk.at == "c"
    assert session.undo() is True
    assert session.walk.counts == Counts(open=5)
    assert session.undo() is False
    assert session.redo() is True
    assert session.redo() is False
    assert session.walk.counts == Counts(not_examined=2, open=3)
    session.answer_many([], Result.PASS, "")
    assert session.walk.events[-1].kind is Kind.REDONE


def test_the_car_s_state_is_confirmed_part_by_part(session: Session) -> None:
    session.confirm_state({"car": "raised", "wheels": "off"}, "On four stands.")
    assert tail(session, 2) == [
        (
            "state-confirmed",
            {"part": "car", "value": "raised", "caution": "On four stands."},
        ),
        (
            "state-confirmed",
            {"part": "wheels", "value": "off", "caution": "On four stands."},
        ),
    ]
    assert session.walk.car_state["car"] == "raised"
    with pytest.raises(ValueError, match="no 'car' 'flying'"):
        session.confirm_state({"car": "flying"})
    with pytest.raises(ValueError, match="no 'wing' 'open'"):
        session.confirm_state({"wing": "open"})


def test_a_signed_session_takes_no_entry_until_reopened(session: Session) -> None:
    with pytest.raises(NameMissing):
        session.sign(" \n")
    session.sign(" Ada Brook ")
    assert session.walk.signed is not None
    assert session.walk.signed[0] == "Ada Brook"
    refused: list[Callable[[], object]] = [
        lambda: session.answer("a", Result.PASS),
        lambda: session.answer_many(["a"], Result.PASS, ""),
        lambda: session.measure("a", "1"),
        lambda: session.note("a", "x"),
        lambda: session.set_aside("a"),
        lambda: session.confirm_state({"car": "raised"}),
        session.undo,
        session.redo,
        lambda: session.sign("Bob"),
        lambda: session.take_route(session.walk.route),
    ]
    for action in refused:
        with pytest.raises(SessionSigned, match="signed off by Ada Brook"):
            action()
    n = len(session.walk.events)
    session.move("e")
    assert session.walk.at == "a"
    assert len(session.walk.events) == n
    with pytest.raises(WhyMissing):
        session.reopen("")
    session.reopen("the spare was forgotten")
    session.reopen("again")
    assert len(session.walk.events) == n + 1
    session.answer("a", Result.PASS)
    assert session.walk.counts.pass_ == 1


def test_an_unknown_check_is_told_with_the_nearest(store: Store, build: BuildRoute) -> None:
    with store.create(build("ab"), 1965, {}) as session:
        for action in (session.set_aside, session.move):
            with pytest.raises(NoSuchCheck) as caught:
                action("x")
            assert str(caught.value) == "The route has no check called 'x'."
        with pytest.raises(NoSuchCheck, match=r"Did you mean a\?"):
            session.note("aa", "text")


def test_a_second_opening_can_only_read(store: Store, session: Session) -> None:
    session.answer("a", Result.PASS)
    other = store.open(session.id)
    assert other.read_only
    assert (
        other.busy
        == f"this checkrun (process {os.getpid()} on {os.uname().nodename}) since "
        + (datetime(2026, 3, 4, 9, 0, tzinfo=UTC).astimezone().strftime("%H:%M"))
    )
    assert other.walk.counts.pass_ == 1
    with pytest.raises(SessionBusy) as caught:
        other.answer("b", Result.PASS)
    assert str(caught.value) == f"This session is open in {other.busy}. Here it can only be read."
    other.move("e")
    assert other.walk.at == "b"
    other.close()
    session.answer("b", Result.PASS)


def test_opened_for_reading_it_takes_no_lock(store: Store, session: Session) -> None:
    session.close()
    reader = store.open(session.id, write=False)
    with pytest.raises(SessionBusy, match="opened for reading only"):
        reader.undo()
    with store.open(session.id) as writer:
        assert not writer.read_only
    reader.close()


def test_a_closed_session_takes_no_entry(session: Session) -> None:
    session.close()
    with pytest.raises(SessionBusy):
        session.answer("a", Result.PASS)
    session.close()


def test_control_characters_and_half_characters_are_dropped_and_nothing_is_cut(
    store: Store, session: Session
) -> None:
    session.answer("a", Result.FAIL, note="x\x1b[2J\ud800\n" + "y" * 100_000, why="w\x07")
    session.close()
    reopened = store.open(session.id)
    assert reopened.walk.state("a").note == "x[2J�\n" + "y" * 100_000
    answer = reopened.walk.state("a").answer
    assert answer is not None
    assert answer.why == "w"
    reopened.close()


ACTIONS: list[Callable[[Session], object]] = [
    lambda s: s.answer("b", Result.FAIL, note="n", reading="1"),
    lambda s: s.answer_many(["b", "c"], Result.PASS, ""),
    lambda s: s.measure("b", "1"),
    lambda s: s.note("b", "1"),
    lambda s: s.set_aside("b"),
    lambda s: s.move("e"),
    lambda s: s.confirm_state({"car": "raised", "bonnet": "open"}),
    lambda s: s.undo(),
    lambda s: s.sign("Ada"),
]


@pytest.mark.parametrize("action", ACTIONS)
def test_every_action_is_one_durable_write_of_two_syncs(
    session: Session, monkeypatch: pytest.MonkeyPatch, action: Callable[[Session], object]
) -> None:
    session.answer("a", Result.PASS)
    calls: list[str] = []
    fsync, replace = os.fsync, os.replace

    def spy_fsync(handle: int) -> None:
        calls.append("sync")
        fsync(handle)

    def spy_replace(a: Any, b: Any) -> None:
        calls.append("rename")
        replace(a, b)

    monkeypatch.setattr(os, "fsync", spy_fsync)
    monkeypatch.setattr(os, "replace", spy_replace)
    action(session)
    assert calls == ["sync", "rename", "sync"]


@pytest.mark.parametrize("action", ACTIONS)
def test_a_failed_write_changes_nothing_and_can_be_tried_again(
    store: Store,
    session: Session,
    monkeypatch: pytest.MonkeyPatch,
    action: Callable[[Session], object],
) -> None:
    session.answer("a", Result.PASS)
    session.answer("b", Result.PASS)
    at, counts, events = session.walk.at, session.walk.counts, list(session.walk.events)
    on_disk = session.path.read_bytes()

    def full(*_: Any) -> int:
        raise OSError(errno.ENOSPC, "no")

    with monkeypatch.context() as patched:
        patched.setattr(os, "write", full)
        for _ in range(2):
            with pytest.raises(CannotWrite, match="the disk is full"):
                action(session)
    assert (session.walk.at, session.walk.counts, session.walk.events) == (at, counts, events)
    assert session.path.read_bytes() == on_disk
    action(session)
    assert len(session.walk.events) > len(events)
    assert store.verify(session.id) == ()


def test_the_event_is_on_disk_before_the_walk_knows_it(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[tuple[int, int]] = []
    real = type(session.walk).apply

    def spy(walk: Any, event: Any) -> None:
        stored = json.loads(session.path.read_bytes())["events"]
        seen.append((event.n, max(doc["n"] for doc in stored.values())))
        real(walk, event)

    monkeypatch.setattr(type(session.walk), "apply", spy)
    session.answer("a", Result.PASS, note="x")
    assert seen == [(2, 3), (3, 3)]


def test_the_file_is_a_plain_tinydb_file_with_the_head_first(session: Session) -> None:
    session.answer("a", Result.PASS, note="ü")
    with TinyDB(session.path, storage=JSONStorage, encoding="utf-8", access_mode="r") as db:
        assert db.tables() == {"head", "events"}
        (head,) = db.table("head").all()
        events = db.table("events").all()
    assert [event["n"] for event in events] == [1, 2, 3]
    assert events[1]["data"] == {"check": "a", "text": "ü"}
    assert (head["format"], head["program"], head["id"]) == (2, "0.1.0", session.id)
    assert (head["answered"], head["total"], head["last"]) == (1, 5, 3)
    assert session.path.read_text("utf-8").startswith('{"head":{"1":{"format":2,')


def test_another_route_is_taken_with_its_copy_first(
    store: Store, session: Session, build: BuildRoute
) -> None:
    session.answer("a", Result.FAIL)
    session.answer("b", Result.PASS)
    assert session.same_route(build())
    newer = build("bx cd")
    assert not session.same_route(newer)
    walk = session.walk
    session.take_route(newer)
    assert session.walk is walk
    assert session.same_route(newer)
    assert walk.sequence == ("b", "x", "c", "d")
    assert walk.counts == Counts(pass_=1, open=3)
    assert set(walk.vanished) == {"a"}
    assert store.heads()[0].answered == 1
    assert store.heads()[0].total == 4
    session.answer("x", Result.PASS)
    session.close()
    reopened = store.open(session.id)
    assert reopened.walk.sequence == walk.sequence
    assert (reopened.walk.at, reopened.walk.counts) == (walk.at, walk.counts)
    assert store.verify(session.id) == ()
    reopened.close()


def test_a_route_that_cannot_be_copied_is_not_taken(
    session: Session, build: BuildRoute, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any) -> int:
        raise OSError(errno.ENOSPC, "no")

    with monkeypatch.context() as patched:
        patched.setattr(os, "write", full)
        with pytest.raises(CannotWrite):
            session.take_route(build("xy"))
    assert session.walk.sequence == ("a", "b", "c", "d", "e")
    assert len(session.walk.events) == 1
    session.take_route(build("xy"))
    assert session.walk.at == "x"


def test_a_file_changed_by_another_program_meanwhile_is_kept(session: Session) -> None:
    session.path.write_text("not ours")
    session.answer("a", Result.PASS)
    kept = session.path.with_name(session.path.name + ".other-1")
    assert kept.read_text() == "not ours"
    assert len(json.loads(session.path.read_bytes())["events"]) == 2


def test_a_file_that_was_deleted_meanwhile_is_written_again(store: Store, session: Session) -> None:
    session.path.unlink()
    session.answer("a", Result.PASS)
    assert len(json.loads(session.path.read_bytes())["events"]) == 2
    assert store.verify(session.id) == ()


def test_300_checks_are_saved_quickly(store: Store) -> None:
    import time

    from checkrun.route.model import Check, Outline, Place, Station, Years

    checks = tuple(Check(f"check-number-{k}", "?") for k in range(300))
    station = Station("s", "S", Place(0, 0, 0), checks=checks)
    route = Route("long", "Long", Years(1960, 1960), Outline(4, 2, 2, 1), stations=(station,))
    with store.create(route, 1960, {}) as session:
        start = time.perf_counter()
        for check in checks:
            session.answer(check.id, Result.PASS)
        each = (time.perf_counter() - start) / 300
    # Far below what a person notices, even on a disk a few times slower than this one.
    assert each < 0.05
