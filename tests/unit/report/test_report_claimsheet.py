"""A claim as rows: how sure, how firm, every sign, and where to look next."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import pytest
from unit.report.walks import Book, begin, build

from checkrun.report.claimsheet import TOLD, claim_line, claim_rows, short
from checkrun.report.glyphs import ASCII, UNICODE, Glyphs
from checkrun.report.sheet import Row
from checkrun.route.model import Check, Claim, Place, Sign, Station
from checkrun.session.events import Kind
from checkrun.weigh.observe import weighed

NOSE, TANK = "nose-first", "tank-works"
CLAIMS = (
    Claim(NOSE, "The nose is the first [one]", Decimal("0.6"), Decimal("0.25")),
    Claim(TANK, "The tank was fitted at the works", Decimal("0.5"), Decimal("0.1")),
)


def shares(true: str, false: str) -> tuple[Decimal, Decimal]:
    return Decimal(true), Decimal(false)


#: A pass weighs 4 to 1 for (6.0 decibans), a fail 10 to 1 against.
STRONG = (shares("0.8", "0.2"), shares("0.15", "0.3"), shares("0.05", "0.5"))
#: A pass weighs 1.5 to 1 for (1.8 decibans), a fail as much against.
WEAK = (shares("0.6", "0.4"), None, shares("0.4", "0.6"))


def look(
    name: str, rows: tuple[object, ...] = STRONG, cause: str = "", minutes: str = "1"
) -> Check:
    sign = Sign(NOSE, cause, *rows)  # type: ignore[arg-type]
    return Check(name, f"The {name} [mm]", minutes=Decimal(minutes), signs=(sign,))


def walk(*checks: Check) -> Book:
    route = build([Station("all", "All of it", Place(0, 0, 0), checks=checks)])
    return begin(replace(route, claims=CLAIMS))


def rows(book: Book, claim: str = NOSE, *, glyphs: Glyphs = UNICODE, width: int = 80) -> list[Row]:
    return list(claim_rows(book.walk, weighed(book.walk), claim, glyphs, width))


def by_label(found: list[Row]) -> dict[str, str]:
    return {row.label: row.text for row in found}


def test_an_unseen_claim_is_as_sure_as_before_and_says_what_to_look_at() -> None:
    book = walk(look("lip", minutes="2"))
    assert rows(book) == [
        Row("", "The nose is the first [one]", "ask"),
        Row("sure", "60.0 %, odds 1.5 to 1 for", "quiet"),
        Row("look next", "The lip [mm], 2 min", "at-next"),
        Row("before", "60.0 % before anything was looked at (of the route)"),
        Row("evidence", "+0.0 decibans, no support either way", "quiet"),
        Row("how firm", "60.0 % with half of every weight, 60.0 % with twice as much"),
        Row("at stake", "25.0 % of what it is worth", "quiet"),
        Row("", ""),
        Row("", "No sign seen yet", "title"),
        Row("", ""),
        Row("", "What would tell most if looked at next", "title"),
        # The information of a result with these likelihoods, worked out by hand: entropy of 0.6
        # is 0.971; P(pass, concern, fail) 0.56, 0.21, 0.23, and after them 6/7, 3/7 and 3/23.
        Row("1", "The lip [mm], All of it: 0.152 bits a minute (0.304 in 2 min)"),
    ]


def test_the_expected_information_in_that_row_is_that_of_entropies() -> None:
    """Outside check: the entropies by scipy."""
    from scipy.stats import entropy

    now = entropy([0.6, 0.4], base=2)
    after = [(0.56, 6 / 7), (0.21, 3 / 7), (0.23, 3 / 23)]
    told = now - sum(chance * entropy([p, 1 - p], base=2) for chance, p in after)
    assert f"({told:.3f} in 2 min)" in rows(walk(look("lip", minutes="2")))[-1].text


def test_a_claim_with_signs_says_how_sure_how_firm_and_in_which_words() -> None:
    book = walk(look("lip"), look("step"))
    book.answer("lip", "fail")
    told = by_label(rows(book))
    # Odds 1.5 times 0.1: 0.15, so 13.0 %; with the square root of it 32.2 %, with its square 1.5 %.
    assert told["sure"] == "13.0 %, odds 6.7 to 1 against"
    assert told["evidence"] == "-10.0 decibans, moderate support against"
    assert told["how firm"] == "32.2 % with half of every weight, 1.5 % with twice as much"


def test_ones_own_prior_is_told_as_ones_own() -> None:
    book = walk(look("lip"))
    book.write(Kind.BELIEVED, claim=NOSE, value="0.3")
    assert by_label(rows(book))["before"] == "30.0 % before anything was looked at (your own)"
    assert by_label(rows(book, TANK))["before"].endswith("(of the route)")


def test_signs_stand_by_weight_and_what_is_already_counted_stands_last() -> None:
    book = walk(
        look("weak", WEAK),
        look("strong", cause="paint"),
        look("again", STRONG, "paint"),
        look("against"),
    )
    for check in ("weak", "strong", "again"):
        book.answer(check, "pass")
    book.answer("against", "fail")
    found = rows(book)
    start = found.index(Row("", "Signs, the weightiest first, in decibans", "title")) + 1
    assert found[start : start + 4] == [
        Row("-10.0", "    ━━━━│         The against [mm]: fail", "fail"),
        Row("+6.0", "        │━━       The strong [mm]: pass", "pass"),
        Row("+1.8", "        │━        The weak [mm]: pass", "pass"),
        Row("+6.0", "already counted (paint): The again [mm]: pass", "quiet"),
    ]


@pytest.mark.parametrize(("glyphs", "bar"), [(UNICODE, "━━━━"), (ASCII, "####")])
def test_where_there_is_little_room_a_bar_has_one_side(glyphs: Glyphs, bar: str) -> None:
    book = walk(look("lip"))
    book.answer("lip", "fail")
    wide = next(row for row in rows(book, glyphs=glyphs, width=64) if row.label == "-10.0")
    assert wide.text == f"    {bar}{glyphs.box.down}         The lip [mm]: fail"
    slim = next(row for row in rows(book, glyphs=glyphs, width=63) if row.label == "-10.0")
    assert slim.text == f"{bar} The lip [mm]: fail"


def test_all_that_is_shown_in_ascii_is_ascii() -> None:
    book = walk(look("lip"), look("step", cause="paint"), look("next"))
    book.answer("lip", "fail")
    book.answer("step", "pass")
    for width in (20, 100):
        assert all(row.text.isascii() for row in rows(book, glyphs=ASCII, width=width))


def test_only_the_best_of_the_open_checks_are_told_and_none_that_tells_nothing() -> None:
    nothing = (shares("0.5", "0.5"), None, shares("0.5", "0.5"))
    book = walk(look("dull", nothing), *(look(f"lip{n}", minutes=str(n)) for n in range(1, 10)))
    told = [row for row in rows(book) if re.fullmatch("[0-9]+", row.label)]
    assert [row.label for row in told] == [str(n) for n in range(1, TOLD + 1)]
    assert told[0].text.startswith("The lip1 [mm]")
    book = walk(look("dull", nothing))
    assert rows(book)[-1] == Row("", "No open sign left", "title")


def test_very_little_information_is_not_told_as_none() -> None:
    slight = (shares("0.51", "0.50"), None, shares("0.49", "0.50"))
    assert (
        "under 0.001 bits a minute (under 0.001 in 1 min)" in rows(walk(look("l", slight)))[-1].text
    )


def test_a_claim_in_one_line() -> None:
    book = walk(look("lip"))
    assert claim_line(weighed(book.walk), NOSE) == (" 60 %", "quiet", CLAIMS[0].says)
    book.answer("lip", "pass")
    assert claim_line(weighed(book.walk), NOSE)[:2] == (" 86 %", "pass")
    book.answer("lip", "fail")
    assert claim_line(weighed(book.walk), NOSE)[:2] == (" 13 %", "fail")


def test_a_short_name_stands_before_what_a_claim_says() -> None:
    route = replace(walk(look("lip")).walk.route, claims=(replace(CLAIMS[0], short="nose"),))
    found = weighed(begin(route).walk)
    assert claim_line(found, NOSE)[2] == "nose: The nose is the first [one]"


def test_weak_or_no_support_is_told_without_a_colour() -> None:
    """Between 1 and 2 to 1 there is no support either way; a sign below half a deciban is grey."""
    weak = (shares("0.6", "0.4"), None, shares("0.4", "0.6"))
    slight = (shares("0.51", "0.50"), None, shares("0.49", "0.50"))
    book = walk(look("weak", weak), look("slight", slight))
    book.answer("weak", "pass")
    book.answer("slight", "pass")
    roles = {row.label: row.role for row in rows(book)}
    assert (roles["sure"], roles["evidence"]) == ("quiet", "quiet")
    assert (roles["+1.8"], roles["+0.1"]) == ("pass", "quiet")


@pytest.mark.parametrize(
    ("probability", "told"),
    [
        (0.0, "<1 %"),
        (1e-12, "<1 %"),
        (0.0099, "<1 %"),
        (0.01, "1 %"),
        (0.5, "50 %"),
        (0.99, "99 %"),
        (0.9901, ">99 %"),
        (1.0, ">99 %"),
    ],
)
def test_no_probability_is_told_as_certain(probability: float, told: str) -> None:
    assert short(probability) == told
