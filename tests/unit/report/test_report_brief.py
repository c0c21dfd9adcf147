"""The brief before a walk: how much, how long, what to bring, what can hurt."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from checkrun.report.brief import brief
from checkrun.route.model import Outline, Route, Years
from checkrun.session.stops import CAUTIONS


def test_counts_and_minutes_are_those_of_all_checks(plover: Route) -> None:
    told = brief(plover)
    assert (told.checks, told.stations) == (5, 4)
    # 0.5 + 1.5 + 2 + 3 + 0.1, added by hand.
    assert told.minutes == Decimal("7.1")
    assert told.safety == ("Level ground, wheels chocked.",)


def test_the_tool_most_checks_need_comes_first_then_by_name(plover: Route) -> None:
    assert brief(plover).tools == ("torch", "gauge", "blunt probe", "mirror")


def test_stops_come_in_walking_order_each_with_its_caution(plover: Route) -> None:
    stops = [(stop.part, stop.value) for stop in brief(plover).stops]
    # Opening the bonnet on the way is no stop: nothing of it can hurt.
    assert stops == [
        ("car", "raised"),
        ("wheels", "off"),
        ("wheels", "on"),
        ("car", "down"),
        ("engine", "running"),
    ]
    assert [stop.caution for stop in brief(plover).stops] == [CAUTIONS[stop] for stop in stops]


def test_a_state_that_lasts_over_several_stations_is_one_stop(plover: Route) -> None:
    under = plover.stations[2]
    twice = replace(plover, stations=(under, replace(under, id="under-again"), plover.stations[0]))
    assert [(stop.part, stop.value) for stop in brief(twice).stops] == [
        ("car", "raised"),
        ("wheels", "off"),
    ]


def test_a_route_without_checks_is_brief() -> None:
    told = brief(Route("bare", "Bare", Years(1966, 1966), Outline(4.0, 1.6, 2.4, 0.8)))
    assert (told.checks, told.stations, told.minutes) == (0, 0, Decimal(0))
    assert (told.tools, told.stops, told.safety) == ((), (), ())
