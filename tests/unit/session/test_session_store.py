from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from checkrun.route.model import Only, Result, Route, Years
from checkrun.session import routecopy, upgrade
from checkrun.session.chain import Break
from checkrun.session.errors import (
    AmbiguousSession,
    CannotWrite,
    DamagedFile,
    NewerFormat,
    NoSuchSession,
    StoreMissing,
)
from checkrun.session.lock import SessionLock
from checkrun.session.store import Store

BuildRoute = Callable[..., Route]
DAY = datetime(2026, 3, 4, 9, 0, tzinfo=UTC).astimezone().strftime("%Y%m%d")


def make(store: Store, route: Route, answers: str = "", sign: str = "") -> str:
    with store.create(route, 1965, {"serial": "PL6"}) as session:
        for check in answers:
            session.answer(check, Result.PASS)
        if sign:
            session.sign(sign)
        return session.id


def lock_is_free(store: Store, session_id: str) -> bool:
    lock = SessionLock(store.folder / f".{session_id}.lock")
    free = lock.acquire()
    lock.release()
    return free


def edit(path: Path, change: Callable[[dict[str, Any]], object]) -> None:
    data = json.loads(path.read_bytes())
    change(data)
    path.write_text(json.dumps(data))


def test_an_empty_store_has_nothing(store: Store) -> None:
    assert store.ids() == []
    assert store.heads() == []
    assert store.latest_open() is None
    assert not store.folder.exists()
    with pytest.raises(StoreMissing, match="There are no sessions"):
        store.open("x")


def test_ids_count_up_and_are_never_used_again(store: Store, build: BuildRoute) -> None:
    assert make(store, build()) == f"{DAY}-plover-1"
    second = make(store, build())
    assert second == f"{DAY}-plover-2"
    (store.folder / f"{second}.json").unlink()
    assert make(store, build()) == f"{DAY}-plover-3"
    assert make(store, build(route_id="sh/r i.ke")) == f"{DAY}-sh-r-i-ke-1"
    assert store.ids() == [f"{DAY}-plover-1", f"{DAY}-plover-3", f"{DAY}-sh-r-i-ke-1"]


def test_the_folder_is_made_with_its_parents(tmp_path: Path, clock: Any, build: BuildRoute) -> None:
    store = Store(tmp_path / "a" / "b", clock)
    make(store, build())
    assert len(store.ids()) == 1


def test_a_folder_that_cannot_be_made_is_told(
    tmp_path: Path, clock: Any, build: BuildRoute
) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(CannotWrite):
        make(Store(tmp_path / "file" / "below", clock), build())


def test_the_route_copy_is_the_route_cut_to_this_car(store: Store, build: BuildRoute) -> None:
    route = build("ab c")
    first = route.stations[0]
    late = replace(first.checks[1], only=Only(Years(1968, 1968)))
    route = replace(
        route, stations=(replace(first, checks=(first.checks[0], late)), route.stations[1])
    )
    session_id = make(store, route)
    with store.open(session_id) as session:
        assert session.walk.sequence == ("a", "c")
        assert session.same_route(route)
        sha = session.walk.events[0].data["route_sha"]
    copy = store.folder / f"{session_id}.route-{sha[:12]}.json"
    assert routecopy.fingerprint(routecopy.load(store.folder, session_id, sha)) == sha
    assert copy.exists()


def test_a_name_may_be_a_part_of_the_id(store: Store, build: BuildRoute) -> None:
    plover, shrike = make(store, build()), make(store, build(route_id="shrike"))
    assert store.find(plover) == plover
    assert store.find(f"{plover}.json") == plover
    assert store.find("SHRI") == shrike
    with pytest.raises(AmbiguousSession) as caught:
        store.find(DAY)
    assert str(caught.value) == (
        f"{DAY!r} fits 2 sessions: {plover}, {shrike}. Type more of the name."
    )
    with pytest.raises(NoSuchSession) as missing:
        store.find(plover.replace("plover", "plovre"))
    assert missing.value.nearest == plover
    for name in ("", "../" + plover, "/etc/passwd", "nothing like it"):
        with pytest.raises(NoSuchSession):
            store.open(name)


def test_the_exact_id_wins_over_longer_ones(store: Store, build: BuildRoute) -> None:
    ids = [make(store, build()) for _ in range(10)]
    assert ids[9].endswith("-10")
    assert store.find(ids[0]) == ids[0]


def test_heads_tell_what_a_list_needs_newest_first(store: Store, build: BuildRoute) -> None:
    first = make(store, build(), "ab")
    second = make(store, build(route_id="shrike"), "abcde", sign="Ada")
    heads = store.heads()
    assert [head.id for head in heads] == [second, first]
    assert heads[0].signed_by == "Ada"
    head = heads[1]
    assert (head.route_id, head.title, head.year) == ("plover", "Brackwell Plover", 1965)
    assert head.facts == {"serial": "PL6"}
    assert (head.answered, head.total, head.signed_by, head.problem) == (2, 5, None, "")
    assert head.path == store.folder / f"{first}.json"
    with store.open(first) as session:
        assert head.began_at == session.walk.began_at
        assert head.changed_at == session.walk.events[-1].at
        session.note("c", "x")
    assert [head.id for head in store.heads()] == [first, second]
    assert store.latest_open() == first


def test_one_bad_file_does_not_spoil_the_list(store: Store, build: BuildRoute) -> None:
    good = make(store, build(), "a")
    with store.create(build(), 1965, {}) as session:
        for _ in range(20):
            session.note("a", "x" * 500)
            session.note("a", "")
        long = session.path
    payload = long.read_bytes()
    assert len(payload) > 8192
    bad = {
        "empty": b"",
        "zeros": b"\0" * 9000,
        "cut": payload[:-40],
        "cut-early": payload[:5000],
        "zero-tail": payload[:-600] + b"\0" * 600,
        "list": b"[]",
        "text": b"hello",
        "latin": payload[:100] + b"\xff" + payload[101:],
        "headless": b'{"head": {"1": {"format": 1}}, "events": {}}',
        "odd-head": b'{"head": {"1": []}}',
        "deep": b"[" * 200_000,
    }
    for name, content in bad.items():
        (store.folder / f"{name}.json").write_bytes(content)
    (store.folder / "folder.json").mkdir()
    newer = json.loads(payload)
    newer["head"]["1"]["format"] = 3
    (store.folder / "newer.json").write_text(json.dumps(newer))
    problems = {head.id: head.problem for head in store.heads()}
    assert problems == {
        good: "",
        long.stem: "",
        **dict.fromkeys(bad, "damaged"),
        "folder": "damaged",
        "newer": "newer",
    }
    assert store.latest_open() == long.stem


def test_a_file_whose_head_is_not_first_is_still_listed(store: Store, build: BuildRoute) -> None:
    session_id = make(store, build(), "abc")
    path = store.folder / f"{session_id}.json"
    data = json.loads(path.read_bytes())
    turned = {"events": data["events"], "head": data["head"]}
    path.write_text(json.dumps(turned, indent=4) + "\n" * 5000)
    assert store.heads()[0].answered == 3
    path.write_text(json.dumps(turned, indent=200))
    assert path.stat().st_size > 4096
    assert store.heads()[0].answered == 3


def test_long_facts_are_read_whole(store: Store, build: BuildRoute) -> None:
    facts = {"seen": "ü名" * 9000}
    with store.create(build(), 1965, facts) as session:
        session.answer("a", Result.PASS)
    assert store.heads()[0].facts == facts


def test_500_sessions_are_listed_from_a_few_kilobytes_each(
    store: Store, build: BuildRoute, monkeypatch: pytest.MonkeyPatch
) -> None:
    with store.create(build(), 1965, {}) as session:
        for _ in range(150):
            session.note("a", "x" * 120)
            session.note("a", "y" * 120)
    payload = session.path.read_bytes()
    assert len(payload) > 90_000
    for k in range(500):
        (store.folder / f"copy-{k}.json").write_bytes(payload)
    full_parses: list[object] = []
    loads = json.loads

    def spy_loads(text: str) -> object:
        full_parses.append(text)
        return loads(text)

    monkeypatch.setattr("checkrun.session.heads.json.loads", spy_loads)
    start = time.perf_counter()
    heads = store.heads()
    took = time.perf_counter() - start
    assert len(heads) == 501
    assert {head.problem for head in heads} == {""}
    assert full_parses == []
    assert took < 1.0  # parsing them all takes longer even on a quick machine


def test_listing_imports_neither_tinydb_nor_yaml_nor_textual() -> None:
    code = (
        "import sys\nfrom pathlib import Path\nfrom checkrun.session.store import Store\n"
        "from checkrun.session.clock import now\n"
        "Store(Path('/nowhere/at/all'), now).heads()\n"
        "print([m for m in ('tinydb', 'yaml', 'textual', 'rich', 'difflib') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == "[]\n"


def test_a_damaged_session_is_refused_and_left_alone(store: Store, build: BuildRoute) -> None:
    session_id = make(store, build(), "abc")
    path = store.folder / f"{session_id}.json"
    path.write_bytes(path.read_bytes()[:-30])
    before = path.read_bytes()
    with pytest.raises(DamagedFile) as caught:
        store.open(session_id)
    assert str(caught.value) == (
        f"{session_id}.json is damaged: {caught.value.detail}. "
        "It was left as it is; recover what can be read into a new session."
    )
    assert path.read_bytes() == before
    assert lock_is_free(store, session_id)


@pytest.mark.parametrize(
    ("change", "detail"),
    [
        (lambda d: d["events"].clear(), "it holds no events"),
        (
            lambda d: d["events"]["2"].update(kind="x"),
            "entry 2 is no event (unknown kind 'x')",
        ),
        (lambda d: d["events"]["2"].update(n=9), "event 3 stands after event 9"),
        (lambda d: d["head"].clear(), "it does not say its format"),
        (lambda d: d["head"]["1"].update(format="1"), "its format is '1', not a whole number"),
        (lambda d: d["head"]["1"].update(format=0), "there is no format 0"),
        (lambda d: d.pop("events"), "it holds no events"),
    ],
)
def test_a_file_without_sense_is_damaged(
    store: Store, build: BuildRoute, change: Callable[[dict[str, Any]], object], detail: str
) -> None:
    session_id = make(store, build(), "ab")
    edit(store.folder / f"{session_id}.json", change)
    with pytest.raises(DamagedFile) as caught:
        store.open(session_id)
    assert caught.value.detail == detail


def test_a_newer_file_is_refused_politely(store: Store, build: BuildRoute) -> None:
    session_id = make(store, build())
    path = store.folder / f"{session_id}.json"
    edit(path, lambda d: d["head"]["1"].update(format=7))
    before = path.read_bytes()
    for attempt in (store.open, store.verify):
        with pytest.raises(NewerFormat) as caught:
            attempt(session_id)
        assert str(caught.value) == (
            f"{session_id} was written by a newer checkrun (format 7; this one reads up to 2). "
            "Update checkrun to open it; the file was not changed."
        )
    assert path.read_bytes() == before


def older(data: dict[str, Any]) -> dict[str, Any]:
    """An invented format 0, which called the number of an event `number`."""
    events = {
        key: {("n" if k == "number" else k): v for k, v in doc.items()}
        for key, doc in data["events"].items()
    }
    return {"head": {"1": {**data["head"]["1"], "format": 1}}, "events": events}


def test_a_file_of_an_older_format_opens_and_is_kept_before_the_first_write(
    store: Store, build: BuildRoute, monkeypatch: pytest.MonkeyPatch
) -> None:
    session_id = make(store, build(), "ab")
    path = store.folder / f"{session_id}.json"

    def age(data: dict[str, Any]) -> None:
        data["head"]["1"]["format"] = 0
        for doc in data["events"].values():
            doc["number"] = doc.pop("n")

    edit(path, age)
    old = path.read_bytes()
    monkeypatch.setitem(upgrade.UPGRADES, 0, older)
    assert store.heads()[0].problem == ""
    kept = store.folder / f"{session_id}.json.format-0"
    with store.open(session_id) as session:
        assert session.walk.counts.pass_ == 2
        assert path.read_bytes() == old
        assert not kept.exists()
        session.answer("c", Result.FAIL)
        assert kept.read_bytes() == old
        session.answer("d", Result.FAIL)
        assert kept.read_bytes() == old
    monkeypatch.undo()
    with store.open(session_id) as session:
        assert session.walk.counts.fail == 2
    assert store.verify(session_id) == ()
    assert store.ids() == [session_id]


def test_a_step_that_leads_nowhere_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(upgrade.UPGRADES, 0, lambda data: data)
    with pytest.raises(ValueError, match="the step from format 0 led nowhere"):
        upgrade.upgrade({"head": {"1": {"format": 0}}})


def test_a_place_that_cannot_be_written_opens_for_reading(
    store: Store, build: BuildRoute, monkeypatch: pytest.MonkeyPatch
) -> None:
    session_id = make(store, build(), "a")
    real = os.open

    def read_only(path: Any, flags: int, *rest: Any, **kw: Any) -> int:
        if flags & (os.O_WRONLY | os.O_RDWR):
            raise OSError(errno.EROFS, "no")
        return real(path, flags, *rest, **kw)

    monkeypatch.setattr(os, "open", read_only)
    with store.open(session_id) as session:
        assert session.read_only
        assert session.busy == "the disk is read-only"
        assert session.walk.counts.pass_ == 1
        with pytest.raises(CannotWrite, match="the disk is read-only"):
            session.answer("b", Result.PASS)


def test_a_create_that_fails_leaves_no_session_and_no_lock(
    store: Store, build: BuildRoute, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any) -> int:
        raise OSError(errno.ENOSPC, "no")

    with monkeypatch.context() as patched:
        patched.setattr(os, "write", full)
        with pytest.raises(CannotWrite, match="the disk is full"):
            make(store, build())
    assert store.ids() == []
    assert lock_is_free(store, f"{DAY}-plover-1")
    assert make(store, build()) == f"{DAY}-plover-2"


def test_verify_finds_nothing_in_what_was_written(store: Store, build: BuildRoute) -> None:
    assert store.verify(make(store, build(), "abc", sign="Ada")) == ()


def test_verify_tells_what_was_changed(store: Store, build: BuildRoute) -> None:
    session_id = make(store, build(), "abcd")
    path = store.folder / f"{session_id}.json"
    edit(path, lambda d: d["events"]["3"]["data"].update(result="fail"))
    assert store.verify(session_id) == (Break(3, "event 3 was changed after it was written"),)
    edit(path, lambda d: d["events"].pop("5"))
    assert store.verify(session_id) == (
        Break(3, "event 3 was changed after it was written"),
        Break(5, "event 5 is missing"),
    )
    # A changed record still opens: it is for people to judge, not for the program to hide.
    with store.open(session_id, write=False) as session:
        assert session.walk.counts.fail == 1


def test_verify_tells_about_the_head(store: Store, build: BuildRoute) -> None:
    session_id = make(store, build(), "ab")
    path = store.folder / f"{session_id}.json"
    edit(path, lambda d: d["head"]["1"].update(last_hash="0"))
    assert store.verify(session_id) == (Break(3, "the head does not fit event 3, the last one"),)
    edit(path, lambda d: d["head"]["1"].pop("last"))
    assert store.verify(session_id) == (Break(0, "the head does not name the last event"),)


def test_verify_tells_about_the_route_copy(store: Store, build: BuildRoute) -> None:
    session_id = make(store, build(), "ab")
    (copy,) = store.folder.glob("*.route-*.json")
    good = copy.read_bytes()
    copy.write_bytes(good.replace(b"Look at a", b"Look at A"))
    changed = Break(1, f"the copy of the route, {copy.name}, was changed")
    assert store.verify(session_id) == (changed,)
    with store.open(session_id) as session:
        assert session.walk.route.checks["a"].ask == "Look at A"
    copy.unlink()
    missing = Break(1, f"the copy of the route, {copy.name}, is missing")
    assert store.verify(session_id) == (missing,)
    with pytest.raises(DamagedFile) as caught:
        store.open(session_id)
    assert str(caught.value) == (
        f"The copy of the route, {copy.name}, is missing. Recover the session with the route's "
        "file; the entries themselves are not touched."
    )
    copy.write_bytes(b"{}")
    with pytest.raises(DamagedFile, match="this copy of the route is not readable"):
        store.open(session_id)


def test_a_damaged_copy_is_kept_when_the_same_route_is_taken_again(
    store: Store, build: BuildRoute
) -> None:
    session_id = make(store, build(), "ab")
    (copy,) = store.folder.glob("*.route-*.json")
    good = copy.read_bytes()
    copy.write_bytes(good.replace(b"Look at a", b"Look at A"))
    with store.open(session_id) as session:
        session.take_route(build())
    assert copy.read_bytes() == good
    assert copy.with_name(copy.name + ".damaged-1").exists()
    assert store.verify(session_id) == ()
