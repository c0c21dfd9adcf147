from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from checkrun.route.model import Result, Route
from checkrun.session.chain import Break
from checkrun.session.errors import DamagedFile, NoSuchSession
from checkrun.session.recover import scan
from checkrun.session.store import Store

BuildRoute = Callable[..., Route]


@pytest.fixture
def damaged(store: Store, build: BuildRoute) -> Path:
    """A session of 12 events; each test damages it in its own way."""
    with store.create(build(), 1965, {"serial": "PL6"}) as session:
        for check in "abcd":
            session.answer(check, Result.FAIL, note=f'"{check}": {{ – ü')
        session.confirm_state({"car": "raised"})
        session.answer("e", Result.NOT_EXAMINED, why="no lift")
        session.undo()
    assert len(session.walk.events) == 12
    return session.path


def cut(path: Path, *events: int) -> None:
    """Spoil some events of a file, each by one byte in its kind."""
    data = json.loads(path.read_bytes())
    text = path.read_text("utf-8")
    for n in events:
        doc = json.dumps(data["events"][str(n)], ensure_ascii=False, separators=(",", ":"))
        assert doc in text
        text = text.replace(doc, doc.replace('"kind":"', '"kind":\x00"'))
    path.write_text(text, "utf-8")


def test_a_whole_session_is_recovered_whole(store: Store, damaged: Path) -> None:
    recovery = store.recover(damaged.stem)
    assert recovery.new_id == f"{damaged.stem}-recovered"
    assert recovery.kept == 12
    assert recovery.missing == ()
    with store.open(recovery.new_id) as session, store.open(damaged.stem) as old:
        assert session.walk.counts == old.walk.counts
        assert session.walk.at == old.walk.at
        assert session.walk.car_state["car"] == "raised"
        last = session.walk.events[-1]
        assert last.data == {"from": damaged.stem, "missing": [], "note": "nothing is missing"}
        assert session.walk.events[:-1] == old.walk.events
        session.answer("e", Result.PASS)
    assert store.verify(recovery.new_id) == ()


def test_the_damaged_file_is_never_touched_and_a_second_recovery_has_its_own_name(
    store: Store, damaged: Path
) -> None:
    cut(damaged, 4)
    before, inode = damaged.read_bytes(), damaged.stat().st_ino
    names = [store.recover(damaged.stem).new_id for _ in range(3)]
    assert names == [damaged.stem + end for end in ("-recovered", "-recovered-2", "-recovered-3")]
    assert (damaged.read_bytes(), damaged.stat().st_ino) == (before, inode)


def test_what_is_missing_is_named(store: Store, damaged: Path) -> None:
    cut(damaged, 4, 5, 8)
    recovery = store.recover(damaged.stem)
    assert recovery.kept == 9
    assert recovery.missing == ("events 4 to 5 are missing", "event 8 is missing")
    with store.open(recovery.new_id) as session:
        assert session.walk.events[-1].data["missing"] == [[4, 5], [8, 8]]
        assert session.walk.events[-1].n == 13
        assert session.walk.open_ids() == ("b", "e")
    assert store.verify(recovery.new_id) == (
        Break(4, "events 4 to 5 are missing"),
        Break(8, "event 8 is missing"),
    )


def test_a_lost_end_is_counted_by_the_head(store: Store, damaged: Path) -> None:
    payload = damaged.read_bytes()
    damaged.write_bytes(payload[: payload.index(b'"11":{')])
    recovery = store.recover(damaged.stem)
    assert recovery.kept == 10
    assert recovery.missing == ("events 11 to 12 are missing",)
    with store.open(recovery.new_id) as session:
        assert session.walk.events[-1].n == 13


def test_without_the_head_a_lost_end_cannot_be_counted(store: Store, damaged: Path) -> None:
    payload = damaged.read_bytes()
    damaged.write_bytes(payload[payload.index(b'"events"') : payload.index(b'"11":{')])
    recovery = store.recover(damaged.stem)
    assert recovery.kept == 10
    assert recovery.missing == ("the head is missing, so entries lost at the end can't be counted",)
    with store.open(recovery.new_id) as session:
        assert session.walk.year == 1965


def test_without_the_first_event_the_head_knows_the_car(store: Store, damaged: Path) -> None:
    cut(damaged, 1)
    recovery = store.recover(damaged.stem)
    assert recovery.missing == ("event 1 is missing",)
    with store.open(recovery.new_id) as session:
        assert (session.walk.year, session.walk.facts) == (1965, {"serial": "PL6"})
        assert session.walk.counts.fail == 4
    head = next(head for head in store.heads() if head.id == recovery.new_id)
    assert (head.year, head.answered, head.total) == (1965, 4, 5)


def test_without_first_event_and_head_the_only_copy_is_taken(store: Store, damaged: Path) -> None:
    cut(damaged, 1)
    payload = damaged.read_bytes()
    damaged.write_bytes(payload[payload.index(b'"events"') :])
    recovery = store.recover(damaged.stem)
    assert recovery.kept == 11
    with store.open(recovery.new_id) as session:
        assert session.walk.counts.fail == 4
        assert session.walk.year == 0
    assert store.verify(recovery.new_id) == (Break(1, "event 1 is missing"),)


def test_a_changed_event_is_kept_and_told(store: Store, damaged: Path) -> None:
    damaged.write_bytes(damaged.read_bytes().replace("ü".encode(), b"\xff\xff", 1))
    recovery = store.recover(damaged.stem)
    assert recovery.kept == 12
    assert recovery.missing == ("event 2 was changed after it was written",)


def test_a_lost_route_copy_is_told_and_the_given_route_stands_in(
    store: Store, damaged: Path, build: BuildRoute
) -> None:
    (copy,) = store.folder.glob("*.route-*.json")
    copy.unlink()
    lost = store.recover(damaged.stem)
    assert lost.missing == (
        "the copy of the route is missing; recover again with the route's file",
    )
    with pytest.raises(DamagedFile, match="is missing"):
        store.open(lost.new_id)
    recovery = store.recover(damaged.stem, build("abcx"))
    assert recovery.missing == (
        "the copy of the route as it was walked is missing; the route given stands in",
    )
    with store.open(recovery.new_id) as session:
        assert session.walk.sequence == ("a", "b", "c", "x")
        assert set(session.walk.vanished) == {"d"}
        session.answer("x", Result.PASS)
    (head,) = [head for head in store.heads() if head.id == lost.new_id]
    assert (head.route_id, head.title, head.year) == ("plover", "Brackwell Plover", 1965)


def test_a_signed_session_stays_signed(store: Store, damaged: Path) -> None:
    with store.open(damaged.stem) as session:
        session.sign("Ada")
    cut(damaged, 3)
    recovery = store.recover(damaged.stem)
    with store.open(recovery.new_id) as session:
        assert session.walk.signed is not None
    (head,) = [head for head in store.heads() if head.id == recovery.new_id]
    assert head.signed_by == "Ada"


@pytest.mark.parametrize("payload", [b"", b"\0" * 4096, b"nothing here", b'{"head": {"1": {'])
def test_a_file_with_nothing_in_it_makes_no_session(
    store: Store, damaged: Path, payload: bytes
) -> None:
    damaged.write_bytes(payload)
    with pytest.raises(DamagedFile, match="no entry in it can be read"):
        store.recover(damaged.stem)
    assert store.ids() == [damaged.stem]
    assert damaged.read_bytes() == payload


def test_an_unknown_name_is_told(store: Store, damaged: Path) -> None:
    with pytest.raises(NoSuchSession):
        store.recover("zzz")


def test_text_that_looks_like_an_event_inside_a_note_is_no_event(
    store: Store, build: BuildRoute
) -> None:
    fake: dict[str, Any] = {
        "n": 7,
        "at": "2026-03-04T09:00:00Z",
        "kind": "noted",
        "group": 7,
        "data": {"check": "a", "text": "x"},
        "hash": "",
    }
    with store.create(build(), 1965, {"7": json.dumps({"7": fake})}) as session:
        session.note("a", json.dumps({"7": fake}))
    assert [event.n for event in scan(session.path.read_bytes()).events] == [1, 2]
