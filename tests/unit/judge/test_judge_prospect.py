"""What a stamp or date code could show, against what it weighs once read and against draws."""

from __future__ import annotations

import math
import random
from datetime import date, timedelta
from typing import Any

import pytest

from checkrun import locations
from checkrun.judge.judgement import Car, Outcome
from checkrun.judge.kinds import judge_text
from checkrun.judge.prospect import outcomes
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Route

PARTS = 100_000
BUILT = date(1966, 2, 17)
FACTS = {
    "serial": "PL6-02417",
    "engine-number": "E-A09-RH",
    "body-number": "C14-401T",
    "build-date": BUILT.isoformat(),
}
#: A share of first parts is misread, and a reading that is not there yet must leave room for it;
#: one that agrees is known not to be misread. So a prospect is this much lighter, in decibans.
ROOM = -10 * math.log10(0.99)
MONTHS = "ABCDEFGHJKLM"


@pytest.fixture(scope="module")
def route() -> Route:
    return Catalog([Folder(locations.shipped("checklists"), "shipped")]).for_year("plover", 1966)


def car(route: Route, year: int | None = 1966, **facts: str) -> Car:
    return Car(year, {**FACTS, **facts}, {mark.id: mark for mark in route.marks})


def fields(route: Route, check: str, **more: Any) -> dict[str, Any]:
    reading = route.checks[check].reading
    assert reading is not None
    return {"kind": reading.kind, **reading.spec, **more}


def weight(given: dict[str, Any], car: Car, read: str) -> tuple[Outcome, float]:
    spec = {name: value for name, value in given.items() if name != "kind"}
    judged = judge_text(given["kind"], spec, read, car)
    return judged.outcome, judged.values["weight_decibans"]


def decibans(row: tuple[float, float]) -> float:
    return 10 * math.log10(row[0] / row[1])


# -- against the weight of the same reading once it is there -----------------------------------


@pytest.mark.parametrize(
    ("check", "agrees", "differs"),
    [
        ("engine-number", "E-A09-RH", "E-B09-RH"),
        ("gearbox-stamp", "602417", "602418"),
        ("tank-plate", "417", "471"),
        ("rail-serial-right", "PL6-02417", "PL6-12417"),
        ("serial-plate", "PL6-02417", "PL5-02417"),
        ("body-tag", "C14-401T", "C14-401S"),
        ("block-date", "K2265", "K2264"),
        ("axle-date", "CAL22", "CAF22"),
        ("seat-backs", "0366", "0364"),
    ],
)
def test_a_shipped_mark_promises_what_it_weighs_once_read(
    route: Route, check: str, agrees: str, differs: str
) -> None:
    given, plover = fields(route, check), car(route)
    found = outcomes(given, plover)
    assert found is not None
    outcome, told = weight(given, plover, agrees)
    assert outcome is Outcome.PASS
    assert decibans(found[0]) == pytest.approx(told - ROOM, abs=1e-9)
    outcome, told = weight(given, plover, differs)
    assert outcome is Outcome.FAIL
    assert decibans(found[1]) == pytest.approx(told, abs=1e-9)
    assert [math.fsum(column) for column in zip(*found, strict=True)] == pytest.approx([1, 1])


@pytest.mark.parametrize(
    ("check", "agrees", "differs"),
    [("gearbox-stamp", "602417", "602418"), ("block-date", "K2265", "K2264")],
)
def test_where_the_route_says_how_often_a_first_part_agrees_both_are_alike(
    route: Route, check: str, agrees: str, differs: str
) -> None:
    given, plover = fields(route, check, first="0.9"), car(route)
    found = outcomes(given, plover)
    assert found is not None
    assert found[0][0] == 0.9
    for row, read in zip(found, (agrees, differs), strict=True):
        assert decibans(row) == pytest.approx(weight(given, plover, read)[1], abs=1e-9)


@pytest.mark.parametrize(
    ("known", "read"),
    [({"engine-number": "E-A??-RH"}, "E-A09-RH"), ({"engine-number": "E-A"}, "E-A09-RH")],
)
def test_what_is_not_known_of_the_car_can_not_agree_either(
    route: Route, known: dict[str, str], read: str
) -> None:
    given, plover = fields(route, "engine-number"), car(route, **known)
    found = outcomes(given, plover)
    assert found is not None
    assert decibans(found[0]) == pytest.approx(weight(given, plover, read)[1] - ROOM, abs=1e-9)
    whole = outcomes(given, car(route))
    assert whole is not None
    assert found[0][1] > whole[0][1]


@pytest.mark.parametrize("built", ["1966-02-17", "1966-02", "1966", ""])
def test_a_build_date_that_is_known_less_well_makes_a_date_say_less(
    route: Route, built: str
) -> None:
    given, plover = fields(route, "block-date"), car(route, **{"build-date": built})
    found = outcomes(given, plover)
    assert found is not None
    assert decibans(found[0]) == pytest.approx(weight(given, plover, "A1566")[1] - ROOM, abs=1e-9)


@pytest.mark.parametrize(
    ("year", "read"),
    [
        ({"name": "year", "digits": 1}, "A156"),
        ({"name": "year", "digits": 2}, "A1566"),
        ({"name": "year", "digits": 4}, "A151966"),
        ({"name": "year", "letters": 1, "values": {"R": "1965", "S": "1966"}}, "A15S"),
        ({"name": "year", "digits": 1, "values": {"5": "1965", "6": "1966"}}, "A156"),
        ({"name": "year", "letters": 1, "values": {"R": "5", "S": "6"}}, "A15S"),
        (None, "A15"),
    ],
)
def test_a_code_that_comes_back_promises_less(
    route: Route, year: dict[str, Any] | None, read: str
) -> None:
    """A span of 20 years: a one-figure year comes back in it, one without a year every year."""
    month = {"name": "month", "letters": 1, "values": dict(zip(MONTHS, range(1, 13), strict=True))}
    parts = [month, {"name": "day", "digits": 2}, *([] if year is None else [year])]
    given = {"kind": "date-code", "mark": {"fields": parts}, "window-days": 180, "span": 7300}
    found = outcomes(given, car(route))
    assert found is not None
    assert decibans(found[0]) == pytest.approx(weight(given, car(route), read)[1] - ROOM, abs=1e-9)


def test_a_date_weighs_the_same_whether_or_not_parts_with_its_mark_are_restamped(
    route: Route,
) -> None:
    """A date that is stamped on purpose is no matter of chance; the judge leaves it out too."""
    mark = {"fields": [{"name": "week", "digits": 2}, {"name": "year", "digits": 2}]}
    given = {"kind": "date-code", "mark": mark, "window-days": 180, "span": 1095}
    restamped = {**given, "mark": {**mark, "restamped": "0.2"}}
    assert outcomes(restamped, car(route)) == outcomes(given, car(route)) is not None
    assert weight(restamped, car(route), "0366") == weight(given, car(route), "0366")


# -- against draws -----------------------------------------------------------------------------


def within(seen: int, share: float) -> bool:
    """Whether a count of `PARTS` is within four standard errors of a share.

    The standard error of a share s of 10^5 draws is sqrt(s (1 - s) / 10^5), at most 0.0016.
    """
    return abs(seen / PARTS - share) <= 4 * math.sqrt(share * (1 - share) / PARTS)


@pytest.mark.parametrize(
    ("check", "restamped", "wanted", "draw_one"),
    [
        ("gearbox-stamp", 0.02, "602417", lambda d: f"{d.randrange(10**6):06d}"),
        ("tank-plate", 0.05, "417", lambda d: f"{d.randrange(1000):03d}"),
        (
            "engine-number",
            0.15,
            "E-A09-RH",
            lambda d: f"E-{d.choice(MONTHS)}{d.randint(1, 31):02d}-{d.choice(['RS', 'RH', 'RX'])}",
        ),
    ],
)
def test_random_parts_agree_as_often_as_is_promised(
    route: Route, check: str, restamped: float, wanted: str, draw_one: Any
) -> None:
    """Outside check: 10^5 parts of other cars, some restamped; 10^5 first ones, some misread."""
    found = outcomes(fields(route, check), car(route))
    assert found is not None
    draw = random.Random(f"others of {check}")
    others = sum(draw.random() < restamped or draw_one(draw) == wanted for _ in range(PARTS))
    first = sum(draw.random() >= 0.01 for _ in range(PARTS))
    assert within(others, found[0][1])
    assert within(first, found[0][0])
    assert within(PARTS - others, found[1][1])


@pytest.mark.parametrize(
    ("check", "window", "span", "with_year"),
    [
        ("block-date", 180, 1095, True),
        ("seat-backs", 180, 1095, True),
        ("axle-date", 140, 2190, False),
    ],
)
def test_random_dates_lie_in_the_window_as_often_as_is_promised(
    route: Route, check: str, window: int, span: int, with_year: bool
) -> None:
    """Outside check: 10^5 parts made on any day of the production that has the window in it.

    Without a year on it a part of any year fits that was made in the right days of the year.
    """
    found = outcomes(fields(route, check), car(route))
    assert found is not None
    draw = random.Random(f"days of {check}")
    begun = BUILT - timedelta(days=span * 2 // 3)
    inside = 0
    for _ in range(PARTS):
        made = begun + timedelta(days=draw.randrange(span))
        # Counted in days after the window opens, a year at a time where the year is not told.
        since = (made - (BUILT - timedelta(days=window))).days
        inside += 0 <= (since if with_year else since % 365.25) < window
    assert within(inside, found[0][1])


def test_a_day_drawn_lies_in_the_window_where_the_judge_passes_it(route: Route) -> None:
    """What the draws above count is what a reading of that date is judged."""
    draw, given, plover = random.Random(22), fields(route, "block-date"), car(route)
    for _ in range(300):
        made = BUILT + timedelta(days=draw.randint(-500, 300))
        outcome, _ = weight(given, plover, f"{MONTHS[made.month - 1]}{made:%d%y}")
        assert (outcome is Outcome.PASS) is (0 <= (BUILT - made).days <= 180)


# -- where nothing can be told -----------------------------------------------------------------


@pytest.mark.parametrize("check", ["gearbox-stamp", "engine-number", "tank-plate", "body-tag"])
def test_a_stamp_promises_nothing_while_nothing_is_known_to_agree_with(
    route: Route, check: str
) -> None:
    unknown = Car(None, {}, {mark.id: mark for mark in route.marks})
    assert outcomes(fields(route, check), unknown) is None


@pytest.mark.parametrize("check", ["block-date", "axle-date"])
def test_a_date_promises_nothing_of_a_car_without_any_year(route: Route, check: str) -> None:
    unknown = Car(None, {}, {mark.id: mark for mark in route.marks})
    assert outcomes(fields(route, check), unknown) is None


@pytest.mark.parametrize(
    "spoilt",
    [
        {"mark": "nowhere"},
        {"mark": None},
        {"window-days": None},
        {"span": None},
        {"span": "0"},
        {"span": "²"},
        {"window-days": "1" * 5000},
        {"window-days": "1095"},
        {"window-days": "1100"},
        {"built": "some day"},
        {"mark": {"fields": [{"name": "ratio", "letters": 2}]}},
        {"mark": {"fields": [{"name": "month", "digits": 2}, {"name": "year", "letters": 1}]}},
    ],
    ids=str,
)
def test_a_date_that_can_not_be_weighed_promises_nothing(
    route: Route, spoilt: dict[str, Any]
) -> None:
    given = fields(route, "block-date")
    assert outcomes(given, car(route)) is not None
    assert outcomes({**given, **spoilt}, car(route)) is None


def test_a_build_date_that_is_none_promises_nothing(route: Route) -> None:
    given = fields(route, "block-date")
    assert outcomes(given, car(route, **{"build-date": "last spring"})) is None


@pytest.mark.parametrize(
    "mark",
    [
        # Nothing on the car to agree with; all others agree as well; a field too short for it.
        {"fields": [{"name": "serial", "digits": 5}]},
        {"fields": [{"name": "serial", "digits": 3}], "agrees-with": {"serial": "serial.last 5"}},
        {
            "fields": [{"name": "serial", "digits": 5}],
            "agrees-with": {"serial": "serial.last 5"},
            "restamped": 1,
        },
        {
            "fields": [{"name": "serial", "digits": 5, "values": {"02417": "the only one"}}],
            "agrees-with": {"serial": "serial.last 5"},
        },
        {"fields": [{"text": "PL"}]},
    ],
)
def test_a_stamp_that_tells_no_car_from_another_promises_nothing(
    route: Route, mark: dict[str, Any]
) -> None:
    assert outcomes({"kind": "stamp", "mark": mark}, car(route)) is None


def test_a_stamp_of_very_many_characters_is_no_fault(route: Route) -> None:
    """26^800 is no float any more."""
    runs = [{"name": f"run{n}", "letters": 20} for n in range(40)]
    mark = {"fields": runs, "agrees-with": {run["name"]: "long" for run in runs}}
    found = outcomes({"kind": "stamp", "mark": mark}, car(route, long="X" * 20))
    assert found is not None
    assert found[0][1] > 0
    assert found[1] == (pytest.approx(0.01), 1.0)
