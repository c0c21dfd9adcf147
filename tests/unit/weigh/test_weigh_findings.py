"""The order of findings.

Source of the classes and of their order: the three deficiency classes of Directive 2014/45/EU, as
the DVSA's "Categorisation of vehicle defects" words them; that the worst fault decides is Article
7(3) of the Directive (from memory). The order within a class is our own (common practice).
"""

from __future__ import annotations

from decimal import Decimal
from itertools import permutations

import pytest
from unit.report.walks import Book, begin, build

from checkrun.route.model import Check, Cost, Group, Place, Severity, Station
from checkrun.session.events import Kind
from checkrun.weigh.findings import (
    Finding,
    findings,
    likely_cost,
    not_examined,
    overruled,
    with_unit,
)


def cost(hours: int, parts: int) -> Cost:
    least, most = Decimal(0), Decimal(9999)
    return Cost((least, Decimal(hours), most), (least, Decimal(parts), most))


#: Name, class, group, result, cost: in the order in which they must be told, sorted by hand.
BY_HAND = (
    ("rail", Severity.DANGEROUS, Group.STRUCTURE, "concern", None),
    ("hose", Severity.DANGEROUS, Group.SAFETY, "fail", cost(1, 20)),
    ("lamp", Severity.DANGEROUS, Group.SAFETY, "concern", cost(40, 900)),
    ("sill", Severity.MAJOR, Group.STRUCTURE, "concern", cost(1, 0)),
    ("belt", Severity.MAJOR, Group.SAFETY, "fail", cost(0, 30)),
    ("stamp", Severity.MAJOR, Group.IDENTITY, "fail", None),
    ("gap", Severity.MAJOR, Group.BODY, "fail", cost(30, 2500)),
    # 10 hours and 100 parts count for more than 1 hour and 800 parts: 900 against 880.
    ("gearbox", Severity.MAJOR, Group.MECHANICAL, "fail", cost(10, 100)),
    ("clutch", Severity.MAJOR, Group.MECHANICAL, "fail", cost(1, 800)),
    ("pump", Severity.MAJOR, Group.MECHANICAL, "fail", None),
    ("fan", Severity.MAJOR, Group.MECHANICAL, "fail", None),
    ("engine", Severity.MAJOR, Group.MECHANICAL, "concern", cost(80, 9000)),
    ("crack", Severity.MINOR, Group.STRUCTURE, "fail", cost(90, 9000)),
    ("seat", Severity.MINOR, Group.TRIM, "concern", cost(2, 50)),
)


def walked(names: list[str]) -> Book:
    """A walk over these checks in this order, each with its result; the first passes."""
    rows = {row[0]: row for row in BY_HAND}
    checks = tuple(
        Check(name, name, severity=rows[name][1], group=rows[name][2], cost=rows[name][4])
        for name in names
    )
    passed = Check("good", "good", severity=Severity.DANGEROUS, group=Group.STRUCTURE)
    book = begin(build([Station("all", "All", Place(0, 0, 0), checks=(passed, *checks))]))
    book.answer("good", "pass")
    for name in names:
        book.answer(name, rows[name][3])
    return book


def ids(found: tuple[Finding, ...]) -> list[str]:
    return [one.check.id for one in found]


def test_findings_stand_as_sorted_by_hand_whatever_the_walking_order() -> None:
    names = [row[0] for row in BY_HAND]
    for order in (names, names[::-1], sorted(names)):
        # Two that are alike in everything stand as they were walked.
        expected = [*names]
        if order.index("fan") < order.index("pump"):
            place = expected.index("pump")
            expected[place : place + 2] = ["fan", "pump"]
        assert ids(findings(walked(order).walk)) == expected


@pytest.mark.parametrize("order", permutations(["hose", "seat", "gap"]))
def test_a_lesser_class_never_stands_above_a_worse_one(order: tuple[str, ...]) -> None:
    """However costly it is: after the Directive a car takes the class of its worst fault."""
    assert ids(findings(walked([*order]).walk)) == ["hose", "gap", "seat"]


def test_each_says_which_rule_put_it_where_it_stands() -> None:
    found = {one.check.id: one.why_here for one in findings(walked([r[0] for r in BY_HAND]).walk)}
    assert found["rail"] == "first: the worst class here is dangerous, and structure leads in it"
    assert found["hose"] == "dangerous like the one above, but safety comes after structure"
    assert found["lamp"] == (
        "dangerous and safety like the one above, but a concern comes after a fail"
    )
    assert found["sill"] == "major comes after dangerous; structure leads in it"
    assert found["clutch"] == (
        "major and mechanical like the one above, but it is likely to cost less to put right"
    )
    assert found["fan"] == "major and mechanical like the one above; it comes later on the walk"
    assert found["crack"] == "minor comes after major; structure leads in it"


def test_a_pass_is_no_finding_and_what_was_not_examined_is_ranked_apart() -> None:
    book = walked(["seat", "hose", "gap"])
    for check in ("seat", "hose"):
        book.answer(check, "not-examined", why="no time")
    assert ids(findings(book.walk)) == ["gap"]
    left = not_examined(book.walk)
    assert ids(left) == ["hose", "seat"]
    assert [one.why for one in left] == ["no time", "no time"]
    assert left[0].why_here.startswith("first: the worst class here is dangerous")


def test_what_was_undone_is_no_finding() -> None:
    book = walked(["gap"])
    book.write(Kind.UNDONE, group=len(book.walk.events))
    assert findings(book.walk) == ()


# -- a place given by hand ---------------------------------------------------------------------


def put(book: Book, check: str, before: str, why: str = "the buyer asked") -> None:
    book.write(Kind.RANKED, check=check, before=before, why=why)


def test_a_person_may_put_a_finding_before_another_with_a_reason() -> None:
    book = walked(["hose", "belt", "gap", "seat"])
    assert ids(findings(book.walk)) == ["hose", "belt", "gap", "seat"]
    put(book, "seat", "belt", "the seat cover is a works one")
    found = findings(book.walk)
    assert ids(found) == ["hose", "seat", "belt", "gap"]
    assert found[1].why_here == "put here by hand: the seat cover is a works one"


def test_what_stands_below_one_put_there_by_hand_names_what_it_is_compared_with() -> None:
    """`the one above` would be the one that was put there, and no rule speaks of that."""
    book = walked(["hose", "belt", "gap", "seat"])
    put(book, "seat", "belt")
    found = {one.check.id: one.why_here for one in findings(book.walk)}
    assert found["hose"] == "first of those that the rules place: dangerous, and safety leads in it"
    assert found["belt"] == "major comes after dangerous; safety leads in it"
    assert found["gap"] == "major like the one above, but body comes after safety"
    put(book, "seat", "gap")
    found = {one.check.id: one.why_here for one in findings(book.walk)}
    assert found["belt"] == "major comes after dangerous; safety leads in it"
    assert found["gap"] == "major like `belt`, but body comes after safety"


def test_a_worst_one_put_below_by_hand_is_still_the_worst_class_there_is() -> None:
    book = walked(["hose", "belt", "gap"])
    put(book, "hose", "")
    found = findings(book.walk)
    assert ids(found) == ["belt", "gap", "hose"]
    assert found[0].why_here == "first of those that the rules place: major, and safety leads in it"


def test_of_several_moves_the_last_is_done_last() -> None:
    book = walked(["hose", "belt", "gap", "seat"])
    put(book, "seat", "hose")
    put(book, "gap", "hose")
    assert ids(findings(book.walk)) == ["seat", "gap", "hose", "belt"]
    put(book, "seat", "hose")  # said again, so it is moved after the gap
    assert ids(findings(book.walk)) == ["gap", "seat", "hose", "belt"]
    put(book, "hose", "gap")
    assert ids(findings(book.walk)) == ["hose", "gap", "seat", "belt"]


def test_one_put_before_one_that_moves_on_stays_where_it_was_put() -> None:
    book = walked(["hose", "belt", "gap", "seat"])
    put(book, "seat", "belt")
    put(book, "belt", "")
    assert ids(findings(book.walk)) == ["hose", "seat", "gap", "belt"]


def test_the_end_of_the_list_is_a_place_too() -> None:
    book = walked(["hose", "belt", "gap", "seat"])
    put(book, "hose", "")
    put(book, "belt", "")
    assert ids(findings(book.walk)) == ["gap", "seat", "hose", "belt"]


def test_where_what_it_was_put_before_is_no_finding_any_more_the_rules_hold_again() -> None:
    book = walked(["hose", "belt", "gap", "seat"])
    put(book, "seat", "hose")
    book.answer("hose", "pass")
    found = findings(book.walk)
    assert ids(found) == ["belt", "gap", "seat"]
    assert "by hand" not in " ".join(one.why_here for one in found)
    book.answer("hose", "fail")
    assert ids(findings(book.walk)) == ["seat", "hose", "belt", "gap"]


def test_one_given_back_to_the_rules_stands_where_they_put_it() -> None:
    book = walked(["hose", "belt", "gap", "seat"])
    before = findings(book.walk)
    put(book, "seat", "hose")
    put(book, "hose", "")
    put(book, "seat", "seat", "")
    put(book, "hose", "hose", "")
    assert findings(book.walk) == before


def test_a_move_is_undone_like_any_entry() -> None:
    book = walked(["hose", "belt", "gap"])
    put(book, "gap", "hose")
    put(book, "gap", "belt")
    book.write(Kind.UNDONE, group=len(book.walk.events))
    assert ids(findings(book.walk)) == ["gap", "hose", "belt"]


def test_the_class_of_one_put_elsewhere_stays_what_it_is() -> None:
    book = walked(["hose", "seat"])
    put(book, "seat", "hose")
    assert [one.check.severity for one in findings(book.walk)] == [
        Severity.MINOR,
        Severity.DANGEROUS,
    ]


def test_a_place_among_the_findings_is_none_where_the_other_is_not_listed() -> None:
    """Put before a finding, then not examined: its own list knows nothing of that finding."""
    book = walked(["hose", "gap", "seat"])
    put(book, "seat", "hose")
    for check in ("seat", "gap"):
        book.answer(check, "not-examined", why="no time")
    assert ids(not_examined(book.walk)) == ["gap", "seat"]
    assert overruled(book.walk) == ()


# -- what it costs -----------------------------------------------------------------------------


def test_an_hour_counts_as_eighty_of_the_parts_currency() -> None:
    check = Check("a", "a", cost=cost(3, 25))
    assert likely_cost(check) == 265
    assert likely_cost(Check("a", "a")) == 0


def test_at_another_rate_for_an_hour_another_one_may_cost_more() -> None:
    """10 hours and 100 against 1 hour and 800: 900 to 880 at 80, 800 to 870 at 70."""
    book = walked(["gearbox", "clutch"])
    assert ids(findings(book.walk)) == ["gearbox", "clutch"]
    book.write(Kind.TERM, name="rate", value="70")
    found = findings(book.walk)
    assert ids(found) == ["clutch", "gearbox"]
    assert found[1].why_here.endswith("but it is likely to cost less to put right")


def test_ones_own_figures_rank_before_those_of_the_route() -> None:
    book = walked(["gearbox", "clutch", "pump"])
    book.write(Kind.PRICED, check="pump", name="parts", value="900 950 2000")
    assert ids(findings(book.walk)) == ["pump", "gearbox", "clutch"]
    book.write(Kind.PRICED, check="gearbox", name="hours", value="1 1 1")
    assert ids(findings(book.walk)) == ["pump", "clutch", "gearbox"]


@pytest.mark.parametrize(
    ("reading", "unit", "shown"),
    [
        ("3,5", "mm", "3,5 mm"),
        ("3/32 in", "mm", "3/32 in"),
        ('0.094"', "mm", '0.094"'),
        ("45°", "deg", "45°"),
        ("12 %", "mm", "12 %"),
        ("0", "mm", "0 mm"),
        ("", "mm", ""),
        ("7", "", "7"),
    ],
)
def test_a_reading_gets_its_unit_unless_one_was_written(
    reading: str, unit: str, shown: str
) -> None:
    assert with_unit(reading, unit) == shown
