"""What must hold of every session, whatever is done in it and in which order."""

from __future__ import annotations

import itertools
import json
import tempfile
from collections import Counter
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checkrun.route.model import (
    Check,
    Order,
    Outline,
    Place,
    Reading,
    Result,
    Route,
    Station,
    Years,
)
from checkrun.session.chain import verify
from checkrun.session.errors import StoreError
from checkrun.session.events import Event, Kind, from_doc
from checkrun.session.fold import Counts, Walk
from checkrun.session.recover import scan
from checkrun.session.session import Session
from checkrun.session.store import Store
from checkrun.session.text import clean

CHECKS = "abcdefghij"
Action = tuple[Any, ...]

# The disk is shared with whatever else runs, so no deadline; 60 examples of up to 25 actions each.
relaxed = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])


def build(sizes: list[int], shuffle: int = 0) -> Route:
    """A route over the first checks of the alphabet, cut into stations of the sizes given."""
    ids = [c for k, c in enumerate(CHECKS) if not shuffle >> k & 1]
    stations, left = [], iter(ids)
    for k, size in enumerate(sizes):
        checks = tuple(
            Check(c, f"Look at {c}", reading=Reading("measure", "mm") if c in "aceg" else None)
            for c in itertools.islice(left, size)
        )
        stations.append(Station(f"s{k}", f"S{k}", Place(0, 0, 0), checks=checks))
    return Route(
        "plover",
        "Plover",
        Years(1963, 1968),
        Outline(4.1, 1.68, 2.45, 0.72),
        order=Order.AS_WRITTEN,
        stations=tuple(s for s in stations if s.checks),
    )


routes = st.builds(build, st.lists(st.integers(1, 4), min_size=1, max_size=5))
other_routes = st.builds(
    build, st.lists(st.integers(1, 4), min_size=1, max_size=5), st.integers(0, 1023)
)
check_ids = st.sampled_from(CHECKS)
results = st.sampled_from(Result)
texts = st.text(max_size=12)
answers = st.tuples(
    st.just("answer"), check_ids, results, texts, st.none() | texts, st.none() | texts
)
actions: st.SearchStrategy[Action] = st.one_of(
    answers,
    answers,
    st.tuples(st.just("here"), results),
    st.tuples(st.just("many"), st.lists(check_ids, max_size=4), results),
    st.tuples(st.just("measure"), check_ids, texts),
    st.tuples(st.just("note"), check_ids, texts),
    st.tuples(st.just("aside"), check_ids),
    st.tuples(st.just("move"), check_ids),
    st.tuples(st.just("state"), st.sampled_from(["down", "raised"])),
    st.tuples(st.just("undo")),
    st.tuples(st.just("undo")),
    st.tuples(st.just("redo")),
    st.tuples(st.just("sign"), texts),
    st.tuples(st.just("reopen")),
    st.tuples(st.just("route"), other_routes),
)


def act(session: Session, action: Action) -> None:
    """Do one action; what the session refuses is refused."""
    name, *args = action
    try:
        if name == "answer":
            check, result, why, note, reading = args
            session.answer(check, result, why=why, note=note, reading=reading)
        elif name == "here":
            session.answer(session.walk.at, args[0], why="so")
        elif name == "many":
            session.answer_many(args[0], args[1], "so")
        elif name == "state":
            session.confirm_state({"car": args[0]}, "Stands.")
        elif name == "reopen":
            session.reopen("so")
        elif name == "route":
            session.take_route(args[0])
        else:
            getattr(session, "set_aside" if name == "aside" else name)(*args)
    except StoreError:
        pass


def known(walk: Walk) -> dict[str, Any]:
    """Everything a walk tells of what was entered, without where the person stands."""
    return {
        "route": walk.route,
        "sequence": walk.sequence,
        "states": {c: walk.state(c) for c in CHECKS},
        "counts": walk.counts,
        "stations": [walk.station_counts(s.id) for s in walk.stations],
        "open": walk.open_ids(),
        "vanished": walk.vanished,
        "car": walk.car_state,
        "car-year": (walk.year, walk.facts, walk.began_at),
        "signed": (walk.signed, walk.reopened),
        "next": [walk.next_after(c) for c in walk.sequence],
    }


def everything(walk: Walk) -> dict[str, Any]:
    """All a walk tells."""
    return {
        **known(walk),
        "at": walk.at,
        "undo": (walk.can_undo, walk.can_redo),
        "last": walk.last_answered(5),
        "events": walk.events,
    }


def refolded(walk: Walk) -> Walk:
    anew = Walk(walk.route, walk.stations)
    for event in walk.events:
        anew.apply(event)
    return anew


def ticking() -> Any:
    start = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)
    return (start + timedelta(milliseconds=k) for k in itertools.count()).__next__


class Opened:
    """A fresh store in a folder of its own, with one session on which the actions were done."""

    def __init__(self, route: Route, done: list[Action]) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.store = Store(Path(self.folder.name), ticking())
        self.session = self.store.create(route, 1965, {"serial": "PL6"})
        for action in done:
            act(self.session, action)

    def __enter__(self) -> Opened:
        return self

    def __exit__(self, *_: object) -> None:
        self.session.close()
        self.folder.cleanup()


def plain_states(walk: Walk) -> dict[str, tuple[Any, ...]]:
    """Result, why, note, reading, times set aside: told again the slow way."""
    undone: set[int] = set()
    for event in walk.events:
        if event.kind is Kind.UNDONE:
            undone.add(event.data["group"])
        elif event.kind is Kind.REDONE:
            undone.discard(event.data["group"])
    told: dict[str, list[Any]] = {c: [None, "", "", "", 0] for c in CHECKS}
    for event in walk.events:
        if event.group in undone or "check" not in event.data or event.kind is Kind.MOVED:
            continue
        row, data = told[event.data["check"]], event.data
        if event.kind is Kind.ANSWERED:
            row[0], row[1], row[4] = data["result"], data.get("why", ""), 0
        elif event.kind is Kind.MEASURED:
            row[3] = data["text"]
        elif event.kind is Kind.NOTED:
            row[2] = data["text"]
        else:
            row[4] += 1
    return {c: tuple(row) for c, row in told.items()}


def plain_ahead(walk: Walk, check: str, is_open: Any, aside: dict[str, int]) -> str | None:
    """The way on by the walking order alone, word for word, over plain lists."""
    station = walk.route.station_of[check]
    here = [c.id for c in station.checks]
    place = here.index(check)
    for c in here[place + 1 :]:
        if is_open(c) and aside[c] == 0:
            return c
    for c in here[place + 1 :] + here[:place]:
        if is_open(c) and aside[c] <= 1:
            return c
    return plain_fresh(walk, station, is_open, aside)


def plain_fresh(walk: Walk, station: Station, is_open: Any, aside: dict[str, int]) -> str | None:
    """The first check of the stations ahead that is neither answered nor set aside."""
    stations = list(walk.stations)
    for later in stations[stations.index(station) + 1 :]:
        for fresh in later.checks:
            if is_open(fresh.id) and aside[fresh.id] == 0:
                return fresh.id
    return None


def plain_rounds(walk: Walk) -> dict[str, int]:
    """How often each check was set aside in the round at the end, told again the slow way.

    Whether that was so is settled when it happens: by how all stood then.
    """
    late: dict[int, bool] = {}
    before = Walk(walk.route, walk.stations)
    for event in walk.events:
        check = event.data.get("check")
        if event.kind is Kind.SET_ASIDE and check in walk.index:
            told = plain_states(before)
            aside = {c: told[c][4] for c in CHECKS}

            def is_open(c: str, told: Any = told, but: str = check) -> bool:
                return told[c][0] is None and c != but

            ahead = plain_ahead(walk, check, is_open, aside)
            station = walk.route.station_of[check]
            fresh = plain_fresh(walk, station, is_open, aside)
            late[event.n] = ahead is None or (aside[check] > 0 and fresh is None)
        before.events.append(event)
    undone = set()
    rounds = dict.fromkeys(CHECKS, 0)
    for event in walk.events:
        if event.kind is Kind.UNDONE:
            undone.add(event.data["group"])
        elif event.kind is Kind.REDONE:
            undone.discard(event.data["group"])
    for event in walk.events:
        if event.group not in undone and event.kind is Kind.ANSWERED:
            rounds[event.data["check"]] = 0
        elif event.group not in undone and late.get(event.n):
            rounds[event.data["check"]] += 1
    return rounds


def plain_next(walk: Walk, check: str, rounds: dict[str, int]) -> str | None:
    """The rule for walking on where all stations are at one place and need nothing."""

    def is_open(c: str) -> bool:
        return walk.state(c).answer is None and c != check

    aside = {c: walk.state(c).aside for c in walk.sequence}
    ahead = plain_ahead(walk, check, is_open, aside)
    left = [c for c in walk.sequence if is_open(c)]
    if ahead is not None or not left:
        return ahead
    least = min(rounds[c] for c in left)
    stations = list(walk.stations)
    at = stations.index(walk.route.station_of[check])
    here = [c.id for c in stations[at].checks]
    place = here.index(check)
    others = [c.id for s in stations[at + 1 :] + stations[:at] for c in s.checks]
    round_ = here[place + 1 :] + here[:place] + others
    return next(c for c in round_ if c in left and rounds[c] == least)


@relaxed
@given(routes, st.lists(actions, max_size=25))
def test_the_walk_is_the_fold_of_its_events(route: Route, done: list[Action]) -> None:
    with Opened(route, done) as opened:
        walk = opened.session.walk
        assert everything(walk) == everything(refolded(walk))
        told = plain_states(walk)
        for c in CHECKS:
            state = walk.state(c)
            result = None if state.answer is None else state.answer.result.value
            why = "" if state.answer is None else state.answer.why
            assert (result, why, state.note, state.reading, state.aside) == told[c]


@relaxed
@given(routes, st.lists(actions, max_size=25))
def test_counts_equal_a_recount_after_every_action(route: Route, done: list[Action]) -> None:
    with Opened(route, []) as opened:
        session = opened.session
        for action in done:
            act(session, action)
            walk = session.walk
            per_station = []
            for station in walk.stations:
                found = Counter(
                    "open" if s.answer is None else s.answer.result.value
                    for s in (walk.state(c.id) for c in station.checks)
                )
                per_station.append(
                    Counts(
                        found["pass"],
                        found["concern"],
                        found["fail"],
                        found["not-examined"],
                        found["open"],
                    )
                )
                assert walk.station_counts(station.id) == per_station[-1]
            assert walk.counts.answered == sum(c.answered for c in per_station)
            assert walk.counts.open == sum(c.open for c in per_station) == len(walk.open_ids())
            assert walk.counts.total == len(walk.sequence)
            (head,) = opened.store.heads()
            assert (head.answered, head.total) == (walk.counts.answered, walk.counts.total)
            assert head.signed_by == (None if walk.signed is None else walk.signed[0])
            rounds = plain_rounds(walk)
            assert {c: walk.state(c).rounds for c in walk.sequence} == {
                c: rounds[c] for c in walk.sequence
            }
            for c in walk.sequence:
                assert walk.next_after(c) == plain_next(walk, c, rounds)


@relaxed
@given(routes, st.lists(actions, max_size=25))
def test_reopened_from_disk_it_is_the_same_walk(route: Route, done: list[Action]) -> None:
    with Opened(route, done) as opened:
        before = everything(opened.session.walk)
        opened.session.close()
        with opened.store.open(opened.session.id) as again:
            assert everything(again.walk) == before
        assert opened.store.verify(opened.session.id) == ()


@relaxed
@given(routes, st.lists(actions, max_size=25))
def test_undoing_all_and_redoing_all_changes_nothing(route: Route, done: list[Action]) -> None:
    with Opened(route, done) as opened:
        session = opened.session
        if session.walk.signed is not None:
            session.reopen("so")
        while session.redo():
            pass
        before, last = known(session.walk), session.walk.can_undo
        undone = 0
        while session.undo():
            undone += 1
        assert session.walk.counts == Counts(open=len(session.walk.sequence))
        assert session.walk.vanished == {}
        assert session.walk.can_undo is None
        redone = 0
        while session.redo():
            redone += 1
        assert redone == undone
        assert known(session.walk) == before
        assert session.walk.can_undo == last


@relaxed
@given(routes, st.data())
def test_answering_what_is_offered_visits_every_check_once(route: Route, data: Any) -> None:
    walk = Walk(route, route.stations)
    at = data.draw(st.sampled_from(walk.sequence))
    n = 0
    # Some checks are set aside on the way, each at most twice; then all is answered.
    patience = {c: data.draw(st.integers(0, 2)) for c in walk.sequence}
    visited = []
    now = datetime(2026, 3, 4, tzinfo=UTC)
    while at is not None:
        n += 1
        assert n <= 4 * len(walk.sequence)
        if patience[at] > 0 and walk.next_after(at) is not None:
            patience[at] -= 1
            walk.apply(Event(n, now, Kind.SET_ASIDE, {"check": at}, n))
        else:
            visited.append(at)
            walk.apply(Event(n, now, Kind.ANSWERED, {"check": at, "result": "pass"}, n))
        at = walk.next_after(at)
    assert sorted(visited) == sorted(walk.sequence)
    assert walk.open_ids() == ()


@relaxed
@given(routes, st.lists(answers, min_size=1, max_size=6), st.data())
def test_verify_finds_any_change_of_one_field(route: Route, done: list[Action], data: Any) -> None:
    with Opened(route, done) as opened:
        session = opened.session
        session.close()
        stored = json.loads(session.path.read_bytes())
        key = data.draw(st.sampled_from(sorted(stored["events"])))
        doc = stored["events"][key]
        field = data.draw(st.sampled_from([*sorted(doc), *sorted(doc["data"]), "extra"]))
        place = doc["data"] if field in doc["data"] else doc
        changed = data.draw(
            st.one_of(st.integers(1, 50), st.text(max_size=8), st.booleans(), st.none(), results)
        )
        changed = changed.value if isinstance(changed, Result) else changed
        if field in place and json.dumps(place[field]) == json.dumps(changed):
            return
        place[field] = changed
        session.path.write_text(json.dumps(stored))
        assert opened.store.verify(session.id) != ()


@relaxed
@given(routes, st.lists(actions, max_size=8), st.data())
def test_recovery_of_a_cut_file_keeps_every_whole_event(
    route: Route, done: list[Action], data: Any
) -> None:
    with Opened(route, done) as opened:
        opened.session.close()
        path = opened.session.path
        payload = path.read_bytes()
        docs = json.loads(payload)["events"].values()
        ends = []
        place = 0
        for doc in docs:
            text = json.dumps(doc, ensure_ascii=False, separators=(",", ":")).encode()
            place = payload.index(text, place) + len(text)
            ends.append((place, from_doc(doc)))
        at = data.draw(st.integers(0, len(payload) - 1))
        whole = [event for end, event in ends if end <= at]
        assert scan(payload[:at]).events == whole
        if whole:
            path.write_bytes(payload[:at])
            recovery = opened.store.recover(opened.session.id)
            assert recovery.kept == len(whole)
            assert bool(recovery.missing) == (len(whole) < len(ends))
            with opened.store.open(recovery.new_id) as recovered:
                assert recovered.walk.events[:-1] == whole
            assert path.read_bytes() == payload[:at]


def test_every_cut_of_one_file_keeps_every_whole_event() -> None:
    with Opened(build([2, 2]), [("answer", "a", Result.FAIL, "", 'ü "1": {', "2")]) as opened:
        payload = opened.session.path.read_bytes()
    docs = json.loads(payload)["events"].values()
    ends = []
    for doc in docs:
        text = json.dumps(doc, ensure_ascii=False, separators=(",", ":")).encode()
        ends.append(payload.index(text) + len(text))
    assert len(ends) == 4
    for at in range(len(payload) + 1):
        kept = [event.n for event in scan(payload[:at]).events]
        assert kept == [n for n, end in enumerate(ends, 1) if end <= at]


@given(st.binary(max_size=300))
def test_scanning_never_fails_on_any_bytes(payload: bytes) -> None:
    assert scan(payload).events == []


@given(st.text())
def test_cleaned_text_can_be_kept_and_is_clean(text: str) -> None:
    kept = clean(text)
    kept.encode("utf-8")
    assert clean(kept) == kept
    assert all(c in "\n\t" or ord(c) >= 32 for c in kept)


@given(st.permutations(range(1, 7)))
def test_any_order_but_the_right_one_is_told(order: list[int]) -> None:
    walk = [
        Event(n, datetime(2026, 3, 4, tzinfo=UTC), Kind.NOTED, {"check": "a", "text": ""}, n)
        for n in order
    ]
    assert (not any("stands after" in b.problem for b in verify(walk))) == (order == sorted(order))
