"""What is near and what is left, in words that fit a line of sixty."""

from __future__ import annotations

from typing import Any

import pytest
from walks import Book, begin, build

from checkrun.report.nearby import near_words, nearest_line, round_line
from checkrun.route.model import Check, Place, Station
from checkrun.route.reach import Reach
from checkrun.session.events import Kind
from checkrun.session.nearby import Near, nearest, spot
from checkrun.session.round import MOST

DOWN = {"car": "down"}
UP = {"car": "raised"}


def station(name: str, x: float, y: float, checks: str, **needs: str) -> Station:
    names = [f"{name}-{letter}" for letter in checks]
    made = tuple(Check(check, check) for check in names)
    return Station(name, name.title(), Place(x, y, 0.5), tuple(needs.items()), checks=made)


NOSE = station("nose", -0.8, 0.0, "ab", car="down", bonnet="shut")
BAY = station("bay", -0.8, 0.3, "a", car="down", bonnet="open")
LEFT = station("left", 1.2, -1.1, "a", car="down")
UNDER = station("under", 1.2, 0.0, "a", car="raised")
AXLE = station("axle", 2.2, 0.0, "a", car="raised")


def near(metres: float, seconds: float, *changes: tuple[str, str], at: Station = LEFT) -> Near:
    return Near(at.checks[0].id, at, Reach(metres, seconds, changes))


@pytest.mark.parametrize(
    ("found", "state", "line"),
    [
        (None, DOWN, "Nothing else is open; m shows the summary."),
        (near(0, 0, at=NOSE), DOWN, "Nearest: right here, car stays down."),
        (near(3.2, 3.2), UP, "Nearest: 3 m, car stays up."),
        (near(0.94, 0.94), UP, "Nearest: 0.9 m, car stays up."),
        (near(0, 30), DOWN, "Nearest: 0 m, car stays down."),
        (near(2, 122, ("car", "down")), UP, "Nothing nearer; next needs the car down: 2 min."),
        (near(2, 22, ("bonnet", "open")), UP, "Nothing nearer; next needs the bonnet open: 20 s."),
        (near(0, 1, ("boot", "shut")), DOWN, "Nothing nearer; next needs the boot shut: 5 s."),
        (
            near(2, 482, ("car", "down"), ("wheels", "on")),
            UP,
            "Nothing nearer; next needs the car down, wheels on: 8 min.",
        ),
        (
            near(2, 800, ("car", "down"), ("wheels", "on"), ("engine", "running")),
            UP,
            "Nothing nearer; next needs the car down and more: 13 min.",
        ),
        (
            near(2, 14402, ("engine", "cold")),
            DOWN,
            "Nothing nearer; next needs the engine cold: 4 h.",
        ),
        (
            near(float("inf"), float("inf")),
            DOWN,
            "Next in walking order; how far it is can't be told.",
        ),
    ],
)
def test_a_line_says_why_it_is_the_nearest(
    found: Near | None, state: dict[str, str], line: str
) -> None:
    assert nearest_line(found, "nose", state) == line
    assert len(line) < 60


def test_a_spot_names_the_distance_or_what_is_to_be_opened() -> None:
    book = begin(build((NOSE, BAY, LEFT, UNDER)))
    found = spot(book.walk, "nose-a")
    assert [near_words(each, "nose") for each in found.now] == ["here"]
    assert [near_words(each, "nose") for each in found.opened] == ["bonnet open: 50 s  Bay"]
    book.write(Kind.STATE_CONFIRMED, part="bonnet", value="open")
    found = spot(book.walk, "nose-a")
    assert [near_words(each, "nose") for each in found.now] == ["0.3 m  Bay"]
    # Here, but the bonnet must be shut for it.
    assert [near_words(each, "nose") for each in found.opened] == ["bonnet shut: 10 s"]


def test_the_nearest_with_the_car_up_is_beneath_it() -> None:
    book = begin(build((LEFT, UNDER, AXLE)))
    book.write(Kind.STATE_CONFIRMED, part="car", value="raised")
    found = nearest(book.walk, "axle-a")
    assert found is not None
    assert found.check_id == "under-a"
    assert nearest_line(found, "axle", book.walk.car_state) == "Nearest: 1.0 m, car stays up."


def left_over(*stations: Station, aside: str, up: bool = False) -> Book:
    """A walk that comes to its end: some checks set aside, the others passed but for the last."""
    book = begin(build(stations))
    if up:
        book.write(Kind.STATE_CONFIRMED, part="car", value="raised")
    for check in aside.split():
        book.write(Kind.SET_ASIDE, check=check)
    for check in book.walk.sequence:
        if check not in aside.split():
            book.answer(check, "pass")
    return book


def test_the_round_is_told_when_it_begins_and_then_no_more() -> None:
    # From under the rear axle straight to the middle, then out of the left side and down.
    book = left_over(LEFT, UNDER, AXLE, aside="left-a under-a", up=True)
    walk = book.walk
    assert walk.at == "under-a"
    way = 1.0 + 1.4  # the side's path is half the width and arm's length off
    assert round_line(walk) == f"2 set aside, planned anew from here: {way:.0f} m, car goes down."
    book.answer("under-a", "pass")
    assert walk.at == "left-a"
    assert walk.round is not None
    assert round_line(walk) == ""


def test_what_was_passed_by_was_not_set_aside() -> None:
    book = begin(build((NOSE, LEFT, BAY)))
    book.write(Kind.MOVED, check="bay-a")
    book.answer("bay-a", "pass")
    assert round_line(book.walk).startswith("3 left open, planned anew from here: ")
    assert round_line(book.walk).endswith(" m, car stays down.")


def test_one_station_needs_no_plan() -> None:
    book = left_over(NOSE, LEFT, aside="nose-a")
    assert round_line(book.walk) == "1 set aside, at one station: 4 m, car stays down."


def test_a_lift_that_moves_again_is_counted() -> None:
    last = station("last", 2.0, -1.1, "a", car="down")
    beneath = station("beneath", 1.2, 0.0, "a", car="raised", boot="shut")
    seat = Station(
        "seat",
        "Seat",
        Place(1.4, -0.4, 0.5),
        (("car", "down"),),
        after="beneath",
        checks=(Check("seat-a", "seat-a"),),
    )
    book = left_over(beneath, seat, last, aside="beneath-a seat-a")
    assert round_line(book.walk).endswith(" m, lift moves 2 times.")


def test_a_route_that_can_t_be_planned_is_walked_in_its_order() -> None:
    lost = Station("lost", "Lost", Place(float("nan"), 0, 0), checks=(Check("lost-a", "x"),))
    book = left_over(LEFT, lost, NOSE, aside="left-a lost-a")
    assert book.walk.at == "left-a"
    assert round_line(book.walk) == "2 set aside, in walking order from here."
    found = nearest(book.walk, "nose-b")
    assert found is not None
    assert found.check_id == "left-a"
    book.answer("left-a", "pass")
    found = nearest(book.walk, "left-a")
    assert found is not None
    assert nearest_line(found, "left", DOWN).startswith("Next in walking order")


def test_a_long_round_keeps_the_walking_order() -> None:
    many = [station(f"s{k}", k % 7 / 2, (-1.1, 1.1)[k % 2], "a") for k in range(MOST + 4)]
    book = left_over(*many, aside=" ".join(f"s{k}-a" for k in range(MOST + 2)))
    walk = book.walk
    assert round_line(walk) == f"{MOST + 2} set aside, in walking order from here."
    assert [walk.at, walk.next_after("s0-a")] == ["s0-a", "s1-a"]
    # One and one less, and the rest is planned.
    book.answer("s0-a", "pass")
    book.answer("s1-a", "pass")
    walked: Any = walk.round
    assert walked.planned
    written = [f"s{k}" for k in range(2, MOST + 2)]
    assert (
        [s.id for s in walked.stations]
        != written
        == sorted((s.id for s in walked.stations), key=written.index)
    )
