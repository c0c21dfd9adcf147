"""The bill as rows: the items in columns, one item, and all the sums."""

from __future__ import annotations

from decimal import Decimal

import pytest
from unit.report.walks import Book, begin, build

from checkrun.report.billsheet import cost_lines, item_rows, sum_rows
from checkrun.report.glyphs import ASCII, UNICODE, Glyphs
from checkrun.report.sheet import Row
from checkrun.route.model import Check, Cost, Group, Place, Station
from checkrun.session.events import Kind
from checkrun.weigh.bill import Bill, Line, bill
from checkrun.weigh.observe import weighed
from checkrun.weigh.offer import STRUCTURE_FAILED


def money(*figures: str) -> tuple[Decimal, Decimal, Decimal]:
    low, likely, high = (Decimal(figure) for figure in figures)
    return low, likely, high


#: 5 hours in the mean, 400 at 80 an hour; 30 of parts.
COST = Cost(money("2", "4", "12"), money("0", "30", "60"), base_rate=Decimal("0.1"))
RAIL = Check("rail", "The rail [mm]", cost=COST, group=Group.STRUCTURE)
LIP = Check("lip", "The lip", cost=COST, group=Group.MECHANICAL)
BARE = Check("bare", "Nobody knows")


def walk(*checks: Check) -> Book:
    return begin(build([Station("all", "All", Place(0, 0, 0), checks=checks or (RAIL, LIP, BARE))]))


def billed(book: Book) -> Bill:
    return bill(book.walk, weighed(book.walk).beliefs)


def say(book: Book, **terms: str) -> None:
    for name, value in terms.items():
        book.write(Kind.TERM, name=name, value=value)


def own(book: Book, name: str, **figures: str) -> None:
    for figure, value in figures.items():
        book.write(Kind.PRICED, check=name, name=figure, value=value)


def item(book: Book, name: str) -> list[Row]:
    found = billed(book)
    lines: dict[str, Line] = {
        line.check.id: line for line in (*found.lines, *found.seller, *found.unpriced)
    }
    return list(item_rows(lines[name], found.terms))


def sums(book: Book, glyphs: Glyphs = UNICODE, width: int = 60) -> list[Row]:
    return list(sum_rows(billed(book), glyphs, width))


def texts(rows: list[Row]) -> str:
    return "\n".join(row.text for row in rows)


# -- the columns -------------------------------------------------------------------------------


def test_items_stand_in_columns_below_their_heads() -> None:
    dear = Cost(money("0", "0", "0"), money("10000", "12000", "50000"))
    book = walk(RAIL, LIP, Check("dear", "Dear", cost=dear), BARE)
    book.answer("dear", "fail")
    book.answer("rail", "concern")
    book.answer("lip", "fail")
    book.answer("bare", "fail")
    own(book, "lip", seller="yes")
    found = billed(book)
    head, lines = cost_lines([*found.lines, *found.seller, *found.unpriced])
    assert head == "  mean chance spread"
    assert lines == [
        "18 000  100 %  100 %  ",
        "   215   50 %    0 %  ",
        "     0 seller         ",
        "     ?  100 %         ",
    ]
    assert len({len(line) for line in lines}) == 1


def test_without_an_item_there_are_the_heads_only() -> None:
    assert cost_lines([]) == ("mean chance spread", [])


# -- one item ----------------------------------------------------------------------------------


def test_an_item_tells_what_it_is_reckoned_with_and_whose_figures_those_are() -> None:
    book = walk(RAIL)
    book.answer("rail", "fail")
    assert item(book, "rail") == [
        Row("", "The rail [mm]", "ask"),
        Row("result", "fail; major, structure"),
        Row("hours", "2 4 12 (low, likely, high; the route's)"),
        Row("parts", "0 30 60 (low, likely, high; the route's)"),
        Row("chance", "100 % that it has to be put right (by its result)"),
        Row("adds", "430 of the mean, 100 % of the spread"),
        Row("rate", "80 an hour", "quiet"),
    ]
    own(book, "rail", hours="1.5 1.5 1.5", chance="0.25")
    told = {row.label: row.text for row in item(book, "rail")}
    assert told["hours"] == "1.5 1.5 1.5 (low, likely, high; yours)"
    assert told["parts"].endswith("the route's)")
    assert told["chance"] == "25 % that it has to be put right (yours)"


def test_what_is_open_or_was_not_examined_says_so_and_why_it_costs_all_the_same() -> None:
    book = walk()
    told = {row.label: row.text for row in item(book, "rail")}
    assert told["result"] == "open, not looked at yet; major, structure"
    assert told["chance"] == "10 % that it has to be put right (as often as such cars have it)"
    book.answer("rail", "not-examined", why="no lift")
    told = {row.label: row.text for row in item(book, "rail")}
    assert told["result"] == "not examined; major, structure"
    assert told["chance"].endswith("(as often as such cars have it)")


def test_what_the_seller_puts_right_is_said_to_be_in_no_sum() -> None:
    book = walk()
    book.answer("rail", "fail")
    own(book, "rail", seller="yes")
    assert Row("seller", "puts this right; it is not in the sums", "aside") in item(book, "rail")


def test_an_item_without_any_cost_asks_for_one() -> None:
    book = walk()
    book.answer("bare", "fail")
    rows = item(book, "bare")
    assert Row("hours", "0 0 0 (low, likely, high; nobody said)") in rows
    assert Row("adds", "nothing, until hours or parts are entered", "concern") in rows


def test_shared_labour_is_told() -> None:
    shared = Cost(COST.hours, COST.parts, together="front-off")
    book = walk(Check("rail", "Rail", cost=shared))
    book.answer("rail", "fail")
    told = {row.label: row.text for row in item(book, "rail")}
    assert told["together"] == "labour once for all: front off"


# -- the sums ----------------------------------------------------------------------------------


def test_without_a_price_that_is_said_and_the_costs_are_there() -> None:
    book = walk(RAIL)
    book.answer("rail", "fail")
    rows = sums(book)
    at = rows.index(Row("", "The most to pay", "title"))
    assert rows[at + 1] == Row("", "No price is known yet.", "quiet")
    assert Row("", "What it costs", "title") in rows
    assert "mean" in texts(rows)
    assert " 430" in texts(rows)


def test_the_warning_of_a_failed_structure_stands_above_everything() -> None:
    book = walk(RAIL)
    book.answer("rail", "fail")
    for price in ("", "40000"):
        say(book, asking=price)
        rows = sums(book)
        assert rows[0] == Row("▲", STRUCTURE_FAILED, "caution")
        assert texts(rows).count("The structure failed") == 1
    assert sums(book, ASCII)[0].label == "!!"
    book.answer("rail", "concern")
    assert "structure failed" not in texts(sums(book))


def test_the_most_to_pay_stands_line_by_line_and_last_what_is_left() -> None:
    book = walk(RAIL)
    book.answer("rail", "concern")
    say(book, asking="40000", margin="1500")
    found = billed(book)
    assert found.offer is not None
    told = texts(sums(book))
    for label, _ in found.offer.lines:
        assert label in told
    assert "40 000.00" in told
    assert "-1 500.00" in told
    assert f"{found.offer.most_to_pay:,.2f}".replace(",", " ") in told


def test_every_group_has_its_mean_with_room_before_it() -> None:
    book = walk()
    book.answer("rail", "fail")
    book.answer("lip", "fail")
    rows = sums(book)
    at = rows.index(Row("", "By group, mean", "title"))
    assert rows[at + 1].text.split() == ["structure", "430"]
    assert rows[at + 2].text.split() == ["mechanical", "430"]


def test_what_the_seller_does_and_what_nobody_priced_are_told_at_the_end() -> None:
    book = walk()
    for check in ("rail", "lip", "bare"):
        book.answer(check, "fail")
    assert "The seller puts right" not in texts(sums(book))
    own(book, "rail", seller="yes")
    rows = sums(book)
    at = rows.index(Row("", "The seller puts right", "title"))
    assert rows[at + 1].text == "  The rail [mm]"
    at = rows.index(Row("", "Without any cost: enter your own", "title"))
    assert rows[at + 1] == Row("", "  Nobody knows", "concern")


def test_what_it_is_reckoned_with_is_told_whether_said_or_not() -> None:
    book = walk()
    say(book, rate="85.5", currency="EUR", percentile="90")
    rows = sums(book)
    told = [row.text for row in rows[rows.index(Row("", "Reckoned with", "title")) + 1 :]]
    assert told == [
        "  asking not said: the price asked",
        "  value not said: what it is worth if all is as said; the price asked if left out",
        "  rate 85.5: what an hour of work costs",
        "  currency EUR: the sign or code of the currency",
        "  margin 0: what must be left over",
        "  percentile 90: how many of 100 such cars must cost less than is taken off, 50 to 99",
        "  correlation 0.2: how far the costs go together, 0 to 1",
    ]


@pytest.mark.parametrize("width", [40, 60, 100])
@pytest.mark.parametrize("glyphs", [UNICODE, ASCII], ids=["unicode", "ascii"])
def test_no_column_is_wider_than_there_is_room(width: int, glyphs: Glyphs) -> None:
    """Only sentences may be longer; they are wrapped where they are shown."""
    book = walk()
    for check in ("rail", "lip"):
        book.answer(check, "fail")
    say(book, asking="40000")
    rows = sums(book, glyphs, width)
    columns = [row.text for row in rows if row.text.startswith("  ") and ": " not in row.text]
    assert len(columns) > 10
    assert max(map(len, columns)) <= width
    if glyphs is ASCII:
        assert all(row.label.isascii() and row.text.isascii() for row in rows)


def test_a_walk_with_nothing_to_bill_has_sums_of_nothing() -> None:
    rows = sums(walk(BARE))
    assert "What it costs" in texts(rows)
    assert "By group, mean" not in texts(rows)
