"""The fold: where a person stands, what counts, and what undo takes back."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from checkrun.route.model import Result, Route
from checkrun.session.events import Event, Kind
from checkrun.session.fold import Answer, CheckState, Counts, Walk

START = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)
BuildRoute = Callable[..., Route]


class Told:
    """A walk that is told events without any store."""

    def __init__(self, route: Route) -> None:
        self.walk = Walk(route, route.stations)
        self.n = 0
        self.say((Kind.BEGAN, {"year": 1965, "facts": {"serial": "PL6"}}))

    def say(self, *entries: tuple[Kind, dict[str, Any]]) -> None:
        group = self.n + 1
        for kind, data in entries:
            self.n += 1
            at = START + timedelta(seconds=self.n)
            self.walk.apply(Event(self.n, at, kind, data, group))

    def answer(self, *checks: str, result: str = "pass", why: str = "") -> None:
        for check in checks:
            self.say((Kind.ANSWERED, {"check": check, "result": result, "why": why}))

    def aside(self, *checks: str) -> None:
        for check in checks:
            self.say((Kind.SET_ASIDE, {"check": check}))

    def undo(self) -> None:
        self.say((Kind.UNDONE, {"group": self.walk.can_undo}))

    def redo(self) -> None:
        self.say((Kind.REDONE, {"group": self.walk.can_redo}))


@pytest.fixture
def told(build: BuildRoute) -> Told:
    return Told(build("abc de f"))


def test_a_walk_begins_at_the_first_check(told: Told) -> None:
    walk = told.walk
    assert walk.sequence == ("a", "b", "c", "d", "e", "f")
    assert walk.index == {"a": 0, "b": 1, "c": 2, "d": 3, "e": 4, "f": 5}
    assert walk.at == "a"
    assert (walk.year, walk.facts) == (1965, {"serial": "PL6"})
    assert walk.began_at == START + timedelta(seconds=1)
    assert walk.counts == Counts(open=6)
    assert walk.open_ids() == walk.sequence
    assert walk.state("a") == CheckState()
    assert walk.car_state == {
        "car": "down",
        "wheels": "on",
        "bonnet": "shut",
        "boot": "shut",
        "engine": "cold",
    }
    assert (walk.can_undo, walk.can_redo, walk.signed) == (None, None, None)


def test_an_answer_moves_on_and_counts(told: Told) -> None:
    told.answer("a", result="fail", why="rust")
    walk = told.walk
    assert walk.at == "b"
    assert walk.state("a").answer == Answer(Result.FAIL, "rust", START + timedelta(seconds=2))
    assert walk.counts == Counts(fail=1, open=5)
    assert walk.station_counts("station-a") == Counts(fail=1, open=2)
    assert walk.station_counts("station-d") == Counts(open=2)
    told.answer("a", result="concern")
    assert walk.counts == Counts(concern=1, open=5)
    assert walk.counts.answered == 1
    assert walk.counts.total == 6


def test_a_reading_and_a_note_do_not_move(told: Told) -> None:
    told.say((Kind.MEASURED, {"check": "c", "text": "0", "unit": "mm"}))
    told.say((Kind.NOTED, {"check": "d", "text": "see photo"}))
    assert told.walk.at == "a"
    assert told.walk.state("c") == CheckState(reading="0", reading_unit="mm")
    assert told.walk.state("d") == CheckState(note="see photo")


def test_moved_goes_to_any_check_of_the_route(told: Told) -> None:
    told.say((Kind.MOVED, {"check": "e"}))
    assert told.walk.at == "e"
    told.say((Kind.MOVED, {"check": "nowhere"}))
    assert told.walk.at == "e"


def test_what_was_set_aside_comes_back_before_the_station_is_left(told: Told) -> None:
    told.aside("a")
    assert told.walk.at == "b"
    told.answer("b")
    assert told.walk.at == "c"
    told.answer("c")
    assert told.walk.at == "a"  # brought back
    told.aside("a")
    assert told.walk.at == "d"  # set aside twice: on to the next station
    told.answer("d", "e", "f")
    assert told.walk.at == "a"  # the end round
    told.aside("a")
    assert told.walk.at == "a"
    assert told.walk.next_after("a") is None


def test_what_was_stepped_over_comes_back_before_the_station_is_left(told: Told) -> None:
    told.say((Kind.MOVED, {"check": "b"}))
    told.answer("b", "c")
    assert told.walk.at == "a"


def test_the_next_station_is_the_next_with_something_fresh(told: Told) -> None:
    told.answer("d")
    told.say((Kind.SET_ASIDE, {"check": "e"}))
    told.answer("a", "b", "c")
    assert told.walk.at == "f"


def test_a_station_passed_by_waits_for_the_end_round(told: Told) -> None:
    told.answer("d", "e")
    assert told.walk.at == "f"  # not back to a
    told.answer("f")
    assert told.walk.at == "a"
    told.answer("c")
    assert told.walk.at == "a"


def test_the_end_round_goes_on_from_here(told: Told) -> None:
    told.aside("a", "a", "d", "d", "f", "f")
    told.answer("b", "c", "e")
    assert told.walk.open_ids() == ("a", "d", "f")
    # f was set aside at the last station, with nothing fresh ahead: the others' turn comes first.
    assert [told.walk.next_after(c) for c in "adf"] == ["d", "a", "a"]
    assert told.walk.next_after("b") == "a"  # this station's first
    assert told.walk.next_after("e") == "d"


def test_nothing_open_means_nowhere_to_go(told: Told) -> None:
    told.answer(*"abcdef")
    assert told.walk.at == "f"
    assert all(told.walk.next_after(c) is None for c in "abcdef")
    assert told.walk.next_after("unknown") is None


def test_an_answer_ends_being_set_aside(told: Told) -> None:
    told.aside("a", "a")
    assert told.walk.state("a").aside == 2
    told.answer("a")
    assert told.walk.state("a").aside == 0


def test_undo_takes_back_a_whole_action_and_returns_to_it(told: Told) -> None:
    told.answer("a")
    told.say(
        (Kind.MEASURED, {"check": "b", "text": "3", "unit": "mm"}),
        (Kind.NOTED, {"check": "b", "text": "tight"}),
        (Kind.ANSWERED, {"check": "b", "result": "concern"}),
    )
    assert told.walk.at == "c"
    told.undo()
    assert told.walk.at == "b"
    assert told.walk.state("b") == CheckState()
    assert told.walk.counts == Counts(pass_=1, open=5)
    told.redo()
    assert told.walk.at == "b"
    assert told.walk.state("b").note == "tight"
    assert told.walk.counts == Counts(pass_=1, concern=1, open=4)
    assert told.walk.can_redo is None


def test_undo_brings_back_what_stood_before(told: Told) -> None:
    told.answer("a", result="fail", why="first")
    told.answer("a", result="pass")
    told.undo()
    assert told.walk.state("a").answer == Answer(Result.FAIL, "first", START + timedelta(seconds=2))
    told.undo()
    assert told.walk.state("a").answer is None


def test_undo_of_a_whole_station_is_one_step(told: Told) -> None:
    told.say(
        *(
            (Kind.ANSWERED, {"check": c, "result": "not-examined", "why": "no lift"})
            for c in ("d", "e")
        )
    )
    assert told.walk.at == "f"
    assert told.walk.counts == Counts(not_examined=2, open=4)
    told.undo()
    assert told.walk.at == "d"
    assert told.walk.counts == Counts(open=6)
    assert told.walk.can_undo is None


def test_a_new_entry_ends_redo_but_moving_does_not(told: Told) -> None:
    told.answer("a", "b")
    told.undo()
    told.say((Kind.MOVED, {"check": "f"}))
    told.say((Kind.STATE_CONFIRMED, {"part": "car", "value": "raised"}))
    assert told.walk.can_redo is not None
    told.say((Kind.NOTED, {"check": "c", "text": "x"}))
    assert told.walk.can_redo is None
    told.undo()
    told.undo()
    assert told.walk.counts == Counts(open=6)


def test_undo_never_takes_back_a_confirmed_state(told: Told) -> None:
    told.answer("a")
    told.say((Kind.STATE_CONFIRMED, {"part": "car", "value": "raised", "caution": "Stands."}))
    told.undo()
    assert told.walk.car_state["car"] == "raised"
    assert told.walk.can_undo is None


def test_undoing_what_is_not_there_changes_nothing(told: Told) -> None:
    told.answer("a")
    told.say((Kind.UNDONE, {"group": 99}))
    told.say((Kind.REDONE, {"group": 2}))
    assert told.walk.counts == Counts(pass_=1, open=5)
    assert told.walk.can_undo == 2


def test_last_answered_is_latest_first_without_the_undone(told: Told) -> None:
    told.answer("a", "b", "c", "a", "d")
    assert told.walk.last_answered() == ("d", "a", "c")
    assert told.walk.last_answered(9) == ("d", "a", "c", "b")
    told.undo()
    assert told.walk.last_answered(1) == ("a",)


def test_signing_and_reopening(told: Told) -> None:
    told.say((Kind.SIGNED, {"name": "Ada"}))
    assert told.walk.signed == ("Ada", START + timedelta(seconds=2))
    told.say((Kind.REOPENED, {"why": "forgot the spare"}))
    assert told.walk.signed is None
    assert told.walk.reopened == 1


def test_answers_to_checks_no_longer_in_the_route_are_kept(told: Told, build: BuildRoute) -> None:
    told.answer("a", "b", "d", result="fail")
    told.say((Kind.NOTED, {"check": "e", "text": "odd"}))
    told.aside("c")
    smaller = build("bg f")
    told.walk.take_route(smaller, smaller.stations)
    walk = told.walk
    assert walk.sequence == ("b", "g", "f")
    assert walk.counts == Counts(fail=1, open=2)
    assert set(walk.vanished) == {"a", "d", "e"}
    assert walk.vanished["e"].note == "odd"
    assert walk.at in walk.index
    again = build("abc de f")
    walk.take_route(again, again.stations)
    assert walk.counts == Counts(fail=3, open=3)
    assert walk.vanished == {}


def test_a_route_without_checks_can_be_walked(build: BuildRoute) -> None:
    walk = Told(build("")).walk
    assert (walk.at, walk.sequence, walk.counts) == ("", (), Counts())


def took(walk: Walk, checks: tuple[str, ...], first_n: int) -> float:
    """Seconds per applied answer."""
    events = [
        Event(first_n + k, START, Kind.ANSWERED, {"check": c, "result": "pass"}, first_n + k)
        for k, c in enumerate(checks)
    ]
    start = time.perf_counter()
    for event in events:
        walk.apply(event)
    return (time.perf_counter() - start) / len(events)


def test_an_answer_is_folded_in_50_microseconds_whatever_the_size_of_the_route() -> None:
    from checkrun.route.model import Check, Outline, Place, Station, Years

    def big(stations: int) -> Route:
        return Route(
            "big",
            "Big",
            Years(1960, 1960),
            Outline(4, 2, 2, 1),
            stations=tuple(
                Station(
                    f"s{s}",
                    "S",
                    Place(0, 0, 0),
                    checks=tuple(Check(f"{s}-{c}", "?") for c in range(10)),
                )
                for s in range(stations)
            ),
        )

    small_route, large_route = big(30), big(1000)
    small = min(
        took(Walk(small_route, small_route.stations), tuple(small_route.checks), 1)
        for _ in range(5)
    )
    large = min(
        took(Walk(large_route, large_route.stations), tuple(large_route.checks)[:300], 1)
        for _ in range(5)
    )
    assert small <= 50e-6
    assert large <= 50e-6
