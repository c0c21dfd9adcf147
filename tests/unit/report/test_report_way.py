"""A route as a walk: the planner's order and figures, the stops of the walk, words for both."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from checkrun import locations
from checkrun.report.glyphs import UNICODE
from checkrun.report.limitwords import limit_rows
from checkrun.report.plan import Mark
from checkrun.report.way import cost_words, order_words, place_words, way
from checkrun.report.waysheet import list_rows, told_rows
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Check, Only, Order, Outline, Place, Reading, Route, Station, Years
from checkrun.route.order import walk_order
from checkrun.route.planner import plan


@pytest.fixture(scope="module")
def plover() -> Route:
    return Catalog([Folder(locations.shipped("checklists"), "shipped")]).load("plover")


def small(**more: object) -> Route:
    def station(name: str, x: float, *checks: Check, **needs: str) -> Station:
        return Station(name, name.title(), Place(x, -1.0, 0.6), tuple(needs.items()), checks=checks)

    check = Check("gap", "Gap", "Measure it.", minutes=Decimal(2))
    given = {
        "order": Order.AS_WRITTEN,
        "stations": (
            station("tail", 3.2, check, boot="open"),
            station("nose", -0.6, Check("lip", "Lip", minutes=Decimal(1)), bonnet="open"),
            station("under", 1.4, Check("rail", "Rail", minutes=Decimal(3)), car="raised"),
        ),
        **more,
    }
    return Route("small", "Small", Years(1960, 1969), Outline(3.9, 1.6, 2.4, 0.7), **given)  # type: ignore[arg-type]


def test_the_order_is_that_of_the_walk_and_the_cost_that_of_the_planner(plover: Route) -> None:
    walked = way(plover)
    assert walked.stations == walk_order(plover)
    assert walked.cost == plan(plover).cost
    assert walked.minutes == sum(check.minutes for check in plover.checks.values())


def test_minutes_before_a_station_are_those_of_all_stations_before_it() -> None:
    walked = way(small())
    assert [(halt.station.id, halt.before) for halt in walked.halts] == [
        ("tail", 0),
        ("nose", 2),
        ("under", 3),
    ]
    assert walked.minutes == 6


def test_what_is_done_to_the_car_stands_before_its_station_and_it_comes_down_at_the_end() -> None:
    walked = way(small())
    assert [[change.do for change in halt.changes] for halt in walked.halts] == [
        ["Open the boot"],
        ["Open the bonnet and prop it"],
        ["Shut the bonnet", "Shut the boot", "Raise the car"],
    ]
    assert [change.do for change in walked.last] == ["Let the car down"]


def test_an_order_as_written_is_told_as_such_with_what_it_costs_more() -> None:
    walked = way(small())
    longer = (walked.found.written.seconds - walked.found.cost.seconds) / 60
    assert longer > 0
    assert walked.cost == walked.found.written
    assert order_words(walked) == f"as written, {longer:.1f} min over the planned order"


def test_a_proven_order_says_so_and_one_that_is_not_says_how_far_off_it_may_be() -> None:
    walked = way(small(order=Order.BY_POSITION))
    assert order_words(walked) == "proven: no order takes less"
    loose = replace(walked.found, lower_bound=walked.cost.seconds / 1.25)
    assert order_words(replace(walked, found=loose)) == "at most 25.0% over the best order"


def test_a_route_too_long_to_plan_says_so() -> None:
    stations = tuple(
        Station(f"s{n}", "S", Place(n / 50, 1.0, 0.5), checks=(Check(f"c{n}", "Look"),))
        for n in range(121)
    )
    walked = way(small(order=Order.BY_POSITION, stations=stations))
    assert order_words(walked) == "by position, not planned"
    assert cost_words(walked, roomy=False).endswith("; not planned")


def test_the_words_tell_place_minutes_metres_and_lift_moves() -> None:
    walked = way(small())
    assert place_words(walked, 1, roomy=True) == "station 2/3, 2 of 6 minutes in"
    assert place_words(walked, 1, roomy=False) == "2/3, 2/6 min"
    metres, minutes = f"{walked.cost.metres:.0f}", f"{walked.cost.seconds / 60:.0f}"
    assert walked.cost.lift_moves == 2
    assert cost_words(walked, roomy=True).startswith(
        f"{metres} m on foot, 2 lift moves, {minutes} minutes on the way; as written"
    )
    assert cost_words(walked, roomy=False) == f"{metres} m, 2 lift moves, +{minutes}; as written"


def test_a_route_without_a_check_for_a_year_is_no_way_at_all() -> None:
    walked = way(small(stations=()))
    assert place_words(walked, 0, roomy=False) == "0/0, 0/0 min"
    assert list_rows(walked, 0, "", lambda s: Mark.OPEN, UNICODE) == ([], 0)
    (row,) = told_rows(walked, 0, "", UNICODE)
    assert row.text == "Nothing is looked at on a car of this year."


def test_the_list_opens_the_present_station_and_shows_the_changes_between() -> None:
    walked = way(small())
    rows, marked = list_rows(walked, 1, "lip", lambda station: Mark.OPEN, UNICODE)
    texts = ["".join(text for text, _ in row).strip() for row in rows]
    assert texts == [
        "─ Open the boot",
        "○  1 Tail  1",
        "─ Open the bonnet and prop it",
        "○  2 Nose  1",
        "Lip",
        "─ Shut the bonnet",
        "─ Shut the boot",
        "─ Raise the car",
        "○  3 Under  1",
        "─ Let the car down",
    ]
    assert texts[marked] == "Lip"
    assert [role for text, role in rows[texts.index("─ Raise the car")]] == ["caution"]
    assert [role for text, role in rows[0]] == ["quiet"]


def test_a_check_is_told_with_its_texts_limits_and_the_cars_it_is_for() -> None:
    reading = Reading("measure", "mm", {"pass": {"at-most": "10"}, "fail": {"above": "20"}})
    check = Check(
        "gap",
        "Gap",
        "Measure it.",
        "Even.",
        "Off.",
        "Wide.",
        reading=reading,
        only=Only(Years(64, 66)),
    )
    station = Station(
        "nose", "Nose", Place(0, 0, 0), only=Only(facts=(("lift", "yes"),)), checks=(check,)
    )
    rows = list(told_rows(way(small(stations=(station,))), 0, "gap", UNICODE))
    told = [(row.label, row.text) for row in rows]
    assert told[0] == ("", "1. Nose")
    for row in (
        ("how", "Measure it."),
        ("✓ pass", "Even."),
        ("! concern", "Off."),
        ("✗ fail", "Wide."),
        ("limits", "passes up to 10 mm; fails over 20 mm"),
        ("only", "lift: yes; model years 64-66"),
    ):
        assert row in told


# Limits


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        (
            Reading("measure", "mm", {"pass": {"at-least": "3", "at-most": "5"}}),
            "passes from 3 mm; passes up to 5 mm",
        ),
        (Reading("measure", "mm", {"limit": "6"}), "limit 6 mm"),
        (Reading("measure", "", {"pass": {"at-most": "3/32 in"}}), "passes up to 3/32 in"),
        (
            Reading("gaps", "mm", {"side-difference": "1.5", "taper": "2"}),
            "sides may differ by 1.5 mm; taper 2 mm",
        ),
        (
            Reading("wall", "mm", {"gauge": "13", "limit-percent": "25"}),
            "limit, percent 25; gauge 13",
        ),
        (
            Reading("timed", "psi", {"seconds": "60", "at-most-per-minute": "2"}),
            "a minute at most 2 psi; seconds 60",
        ),
    ],
)
def test_limits_are_told_as_the_route_gives_them(reading: Reading, words: str) -> None:
    assert [(row.label, row.text) for row in limit_rows(reading, small())] == [("limits", words)]


def test_a_published_limit_is_told_with_its_section() -> None:
    from checkrun import tables

    reading = Reading("tread", "mm", {"limit": "us-in-use/tread-depth"})
    (row,) = limit_rows(reading, small())
    limit = tables.limit("us-in-use/tread-depth")
    assert row.text == f"limit {limit.written} ({limit.section})"
    unknown = Reading("tread", "mm", {"limit": "us-in-use/none"})
    assert [row.text for row in limit_rows(unknown, small())] == ["limit us-in-use/none"]


def test_choices_are_told_by_their_result() -> None:
    spec = {"choices": {"dry": "pass", "oil": "concern", "petrol": "fail", "fluid": "fail"}}
    rows = list(limit_rows(Reading("signs-seen", spec=spec), small()))
    assert [row.text for row in rows] == ["dry: pass", "oil: concern", "petrol, fluid: fail"]


def test_every_shipped_reading_that_is_judged_by_a_limit_is_told_one(plover: Route) -> None:
    for check in plover.checks.values():
        if check.reading is not None and check.reading.kind in ("measure", "lash", "gaps", "wall"):
            assert any(row.label == "limits" for row in limit_rows(check.reading, plover)), check.id
