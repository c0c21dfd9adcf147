"""The pace: time at the car with the breaks left out, and the usual time of what is open."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from checkrun.report.pace import Pace
from checkrun.route.model import Route
from checkrun.route.order import walk_order
from checkrun.session.events import Kind


@pytest.mark.parametrize(
    ("gap", "counted"),
    [
        (timedelta(0), timedelta(0)),
        (timedelta(seconds=1), timedelta(seconds=1)),
        (timedelta(minutes=10), timedelta(minutes=10)),
        (timedelta(minutes=10, microseconds=1), timedelta(0)),
        (timedelta(days=3), timedelta(0)),
        # A clock that was set back takes nothing off.
        (timedelta(minutes=-5), timedelta(0)),
    ],
)
def test_gaps_up_to_ten_minutes_count_and_longer_ones_are_breaks(
    told: Any, gap: timedelta, counted: timedelta
) -> None:
    pace = Pace(told.walk)
    told.say(Kind.NOTED, check="idle", text="ticks", after=gap)
    assert pace.spent() == counted
    told.say(Kind.NOTED, check="idle", text="stopped", after=timedelta(seconds=30))
    assert pace.spent() == counted + timedelta(seconds=30)


def test_the_time_before_the_first_entry_does_not_count(told: Any) -> None:
    assert Pace(told.walk).spent() == timedelta(0)


def test_to_go_is_the_usual_time_of_the_open_checks(told: Any) -> None:
    pace = Pace(told.walk)
    assert pace.minutes_to_go() == pytest.approx(7.1)
    told.answer("frame-kink", "fail")
    assert pace.minutes_to_go() == pytest.approx(4.1)
    told.answer("frame-kink", "pass")
    told.say(Kind.SET_ASIDE, check="sill-left")
    assert pace.minutes_to_go() == pytest.approx(4.1)
    told.say(Kind.UNDONE, group=3)
    assert pace.minutes_to_go() == pytest.approx(4.1)
    told.say(Kind.UNDONE, group=2)
    assert pace.minutes_to_go() == pytest.approx(7.1)
    told.say(Kind.REDONE, group=2)
    assert pace.minutes_to_go() == pytest.approx(4.1)


def test_when_all_is_answered_nothing_is_to_go(told: Any) -> None:
    pace = Pace(told.walk)
    for check in told.walk.sequence:
        told.answer(check, "pass")
    assert pace.minutes_to_go() == 0


def test_another_route_is_counted_anew(told: Any, plover: Route) -> None:
    pace = Pace(told.walk)
    told.answer("lamp-left", "pass")
    told.answer("frame-kink", "pass")
    assert pace.minutes_to_go() == pytest.approx(3.6)
    shorter = replace(plover, stations=plover.stations[:2])
    told.say(Kind.ROUTE_TAKEN, route_sha="")
    told.walk.take_route(shorter, walk_order(shorter))
    assert pace.minutes_to_go() == pytest.approx(3.5)
    told.answer("frame-kink", "fail")
    assert pace.minutes_to_go() == pytest.approx(3.5)


def test_a_walk_already_under_way_is_counted_as_one_followed_from_the_start(told: Any) -> None:
    early = Pace(told.walk)
    told.answer("lamp-left", "pass")
    early.spent()
    told.say(Kind.MOVED, check="idle", after=timedelta(hours=1))
    told.answer("idle", "concern")
    late = Pace(told.walk)
    assert (late.spent(), late.minutes_to_go()) == (early.spent(), early.minutes_to_go())
    assert late.spent() == timedelta(seconds=40)
