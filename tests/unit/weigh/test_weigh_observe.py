"""What a walk has seen of its claims, and what its open checks could still show.

The likelihoods here are made up; what is checked is which of them is taken for what was entered.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from unit.report.walks import Book, begin, build

from checkrun.judge.kinds import judge_text
from checkrun.route.model import (
    Check,
    Claim,
    Mark,
    MarkField,
    Only,
    Place,
    Reading,
    Route,
    Sign,
    Station,
    Years,
)
from checkrun.route.tailor import as_walked
from checkrun.session.events import Kind
from checkrun.weigh.observe import observed, priors, prospects, weighed

#: How likely pass, concern and fail are if a claim is true and if it is false.
ROWS = (
    (Decimal("0.8"), Decimal("0.2")),
    (Decimal("0.15"), Decimal("0.3")),
    (Decimal("0.05"), Decimal("0.5")),
)
NOSE, GEARBOX = "nose-first", "gearbox-first"
CLAIMS = (
    Claim(NOSE, "The nose is the first one", Decimal("0.6"), Decimal("0.25")),
    Claim(GEARBOX, "The gearbox is the first one", Decimal("0.5"), Decimal("0.05")),
)
STAMP = Mark(
    "gearbox-stamp",
    "Gearbox stamp",
    fields=(MarkField("serial", digits=5),),
    agrees_with=(("serial", "serial.last 5"),),
    restamped=Decimal("0.02"),
)


def sign(claim: str = NOSE, cause: str = "", rows: Sequence[Any] = ROWS) -> Sign:
    return Sign(claim, cause, *rows)


def bare(claim: str = GEARBOX) -> Sign:
    """A sign without likelihoods, weighed by what was read."""
    return Sign(claim)


def look(name: str, *signs: Sign, reading: Reading | None = None, minutes: str = "1") -> Check:
    return Check(name, name.capitalize(), reading=reading, minutes=Decimal(minutes), signs=signs)


def stamped(*signs: Sign, minutes: str = "1") -> Check:
    reading = Reading("stamp", spec={"mark": "gearbox-stamp"})
    return look("stamp", *signs, reading=reading, minutes=minutes)


def route(*checks: Check, stations: Sequence[Station] = ()) -> Route:
    all_at_once = [Station("all", "All", Place(0, 0, 0), checks=checks)]
    return replace(build([*stations] or all_at_once), claims=CLAIMS, marks=(STAMP,))


def walk(*checks: Check, serial: str = "LK2-00417") -> Book:
    book = begin(route(*checks))
    book.write(
        Kind.BEGAN, route="lark", route_sha="", year=1962, facts={"serial": serial}, program=""
    )
    return book


def read(book: Book, text: str, result: str, check: str = "stamp") -> None:
    book.write(Kind.MEASURED, check=check, text=text, unit="")
    book.answer(check, result)


def stamp_ratio(text: str, serial: str = "LK2-00417") -> float:
    """The likelihood ratio that the judge tells of a reading of the stamp."""
    from datetime import date

    from checkrun.judge.judgement import Car

    car = Car(1962, {"serial": serial}, {STAMP.id: STAMP}, date(2026, 3, 14))
    values = judge_text("stamp", {"mark": "gearbox-stamp"}, text, car).values
    return float(10 ** (values["weight_decibans"] / 10))


# -- what was seen -----------------------------------------------------------------------------


@pytest.mark.parametrize(("result", "row"), zip(["pass", "concern", "fail"], ROWS, strict=True))
def test_a_result_gives_the_ratio_of_its_row(result: str, row: tuple[Decimal, Decimal]) -> None:
    book = walk(look("lip", sign()))
    book.answer("lip", result)
    (seen,) = observed(book.walk)
    assert (seen.claim, seen.check, seen.result) == (NOSE, "lip", result)
    assert seen.ratio == pytest.approx(float(row[0]) / float(row[1]))


def test_an_open_check_and_one_that_was_not_examined_add_nothing() -> None:
    book = walk(look("lip", sign()), look("step", sign()), stamped(bare()))
    before = weighed(book.walk).beliefs[NOSE]
    assert (before.after, before.decibans, before.signs) == (0.6, 0.0, ())
    book.answer("lip", "not-examined", why="no light")
    read(book, "00417", "not-examined")
    assert observed(book.walk) == []
    assert weighed(book.walk).beliefs[NOSE] == before


def test_a_result_without_a_row_is_no_sign() -> None:
    """A sign may tell of a pass and a fail only."""
    book = walk(look("lip", Sign(NOSE, "", ROWS[0], None, ROWS[2])))
    book.answer("lip", "concern")
    assert observed(book.walk) == []
    book.answer("lip", "fail")
    assert len(observed(book.walk)) == 1


def test_an_answer_taken_back_is_no_sign_any_more() -> None:
    book = walk(look("lip", sign()))
    book.answer("lip", "fail")
    book.write(Kind.UNDONE, group=len(book.walk.events))
    assert observed(book.walk) == []


def test_the_posterior_is_that_of_bayes_worked_out_by_hand() -> None:
    """Odds 0.6 : 0.4 = 1.5, times 0.8 / 0.2 = 4, times 0.05 / 0.5 = 0.1: 0.6 to 1, so 0.375."""
    book = walk(look("lip", sign()), look("step", sign()))
    book.answer("lip", "pass")
    book.answer("step", "fail")
    belief = weighed(book.walk).beliefs[NOSE]
    assert belief.odds == pytest.approx(0.6)
    assert belief.after == pytest.approx(0.375)
    assert belief.decibans == pytest.approx(10 * math.log10(0.4))


# -- signs that are computed from a reading ----------------------------------------------------


@pytest.mark.parametrize(
    ("text", "result"), [("00417", "pass"), ("004??", "concern"), ("00471", "fail")]
)
def test_a_stamp_weighs_what_the_judge_says_of_it(text: str, result: str) -> None:
    book = walk(stamped(bare()))
    read(book, text, result)
    (seen,) = observed(book.walk)
    assert seen.ratio == pytest.approx(stamp_ratio(text))
    # 1 / (0.02 + 0.98 / 10^5) by hand where all of it was read and agrees.
    if text == "00417":
        assert seen.ratio == pytest.approx(1 / (0.02 + 0.98e-5))


def test_rows_stand_in_where_nothing_was_read() -> None:
    book = walk(stamped(sign(GEARBOX)))
    book.answer("stamp", "fail")
    (seen,) = observed(book.walk)
    assert seen.ratio == pytest.approx(0.1)
    read(book, "00471", "fail")
    (seen,) = observed(book.walk)
    assert seen.ratio == pytest.approx(stamp_ratio("00471"))


def test_without_rows_and_without_a_reading_there_is_no_sign() -> None:
    book = walk(stamped(bare()))
    book.answer("stamp", "pass")
    assert observed(book.walk) == []


@pytest.mark.parametrize("result", ["concern", "fail"])
def test_another_result_than_the_judgement_is_not_weighed_by_the_reading(result: str) -> None:
    """The person has the last word: the rows count for what they said, or nothing does."""
    book = walk(stamped(sign(GEARBOX)))
    read(book, "00417", result)
    (seen,) = observed(book.walk)
    assert seen.ratio == pytest.approx({"concern": 0.5, "fail": 0.1}[result])
    book = walk(stamped(bare()))
    read(book, "00417", result)
    assert observed(book.walk) == []


@pytest.mark.parametrize("text", ["?????", "no stamp to be seen", "[red]", "\x00"])
def test_what_can_not_be_read_weighs_as_the_person_says(text: str) -> None:
    book = walk(stamped(sign(GEARBOX)))
    read(book, text, "concern")
    (seen,) = observed(book.walk)
    assert seen.ratio == pytest.approx(0.5)


def test_a_reading_of_another_kind_is_weighed_by_its_rows() -> None:
    book = walk(look("lip", sign(), reading=Reading("measure", "mm")))
    read(book, "3", "pass", "lip")
    (seen,) = observed(book.walk)
    assert seen.ratio == pytest.approx(4)


def test_each_claim_of_a_check_has_its_own_rows() -> None:
    other = ((Decimal("0.5"), Decimal("0.25")), *ROWS[1:])
    book = walk(look("lip", sign(NOSE), sign(GEARBOX, rows=other)))
    book.answer("lip", "pass")
    assert {seen.claim: seen.ratio for seen in observed(book.walk)} == {
        NOSE: pytest.approx(4),
        GEARBOX: pytest.approx(2),
    }


# -- priors, causes, and what does not belong to this car --------------------------------------


def test_ones_own_prior_takes_the_place_of_the_routes() -> None:
    book = walk(look("lip", sign()))
    assert priors(book.walk) == {NOSE: 0.6, GEARBOX: 0.5}
    book.write(Kind.BELIEVED, claim=NOSE, value="0.3")
    assert priors(book.walk) == {NOSE: 0.3, GEARBOX: 0.5}
    book.answer("lip", "pass")
    belief = weighed(book.walk).beliefs[NOSE]
    # Odds 3 : 7 times 4: 12 to 7.
    assert (belief.before, belief.after) == (0.3, pytest.approx(12 / 19))
    book.write(Kind.BELIEVED, claim=NOSE, value="")
    assert priors(book.walk)[NOSE] == 0.6


@pytest.mark.parametrize(
    "said", ["1", "0", "-1", "many", "nan", "1e-400", "0.99999999999999999999"]
)
def test_a_prior_in_the_file_that_is_none_counts_as_not_said(said: str) -> None:
    book = walk(look("lip", sign()))
    book.write(Kind.BELIEVED, claim=NOSE, value=said)
    assert priors(book.walk)[NOSE] == 0.6
    assert 0 < weighed(book.walk).beliefs[NOSE].after < 1


def test_of_signs_with_one_cause_only_the_strongest_counts() -> None:
    weak = ((Decimal("0.6"), Decimal("0.4")), (Decimal("0.4"), Decimal("0.6")), None)
    book = walk(
        look("lip", sign(cause="paint")),
        look("step", sign(cause="paint", rows=weak)),
        look("strip", sign()),
    )
    for check in ("lip", "step", "strip"):
        book.answer(check, "pass")
    belief = weighed(book.walk).beliefs[NOSE]
    assert [(s.check, s.cause, s.counted) for s in belief.signs] == [
        ("lip", "paint", True),
        ("step", "paint", False),
        ("strip", "", True),
    ]
    assert belief.decibans == pytest.approx(20 * math.log10(4))


def test_a_claim_that_is_of_other_cars_goes_with_its_signs() -> None:
    """`only` cuts it when the walk begins; a later year has it."""
    later = replace(CLAIMS[0], only=Only(years=Years(1963, 1964)))
    whole = replace(route(look("lip", sign(), sign(GEARBOX))), claims=(later, CLAIMS[1]))
    for year, left in ((1962, {GEARBOX}), (1963, {NOSE, GEARBOX})):
        book = begin(as_walked(whole, year, {}))
        assert {p.claim for p in prospects(book.walk)} == left
        book.answer("lip", "pass")
        found = weighed(book.walk)
        assert set(found.claims) == set(found.beliefs) == left
        assert {seen.claim for seen in observed(book.walk)} == left


def test_a_sign_of_a_claim_that_is_not_there_is_left_alone() -> None:
    """A copy of a route may have been cut by an older program, which kept such signs."""
    book = walk(look("lip", sign("gone"), sign()))
    assert [p.claim for p in prospects(book.walk)] == [NOSE]
    book.answer("lip", "pass")
    assert [seen.claim for seen in observed(book.walk)] == [NOSE]
    assert set(weighed(book.walk).beliefs) == {NOSE, GEARBOX}


# -- what to look at next ----------------------------------------------------------------------


def test_only_open_checks_are_told_as_next() -> None:
    book = walk(look("lip", sign()), look("step", sign()), stamped(bare()), look("bare"))
    assert {found.check for found in weighed(book.walk).next} == {"lip", "step", "stamp"}
    book.answer("lip", "pass")
    book.answer("step", "not-examined", why="no time")
    assert {found.check for found in weighed(book.walk).next} == {"stamp"}
    book.write(Kind.UNDONE, group=len(book.walk.events))
    assert {found.check for found in weighed(book.walk).next} == {"step", "stamp"}


def test_a_stamp_could_show_what_its_mark_says_and_its_rows_where_the_car_is_not_known() -> None:
    (known,) = prospects(walk(stamped(sign(GEARBOX))).walk)
    other = 0.02 + 0.98e-5
    assert known.outcomes == (
        (pytest.approx(0.99), pytest.approx(other)),
        (pytest.approx(0.01), pytest.approx(1 - other)),
    )
    (unknown,) = prospects(walk(stamped(sign(GEARBOX)), serial="").walk)
    assert unknown.outcomes == tuple((float(t), float(f)) for t, f in ROWS)
    assert list(prospects(walk(stamped(bare()), serial="").walk)) == []


def test_what_tells_most_a_minute_comes_first() -> None:
    book = walk(look("slow", sign(), minutes="10"), look("quick", sign(), minutes="0.5"))
    found = weighed(book.walk).next_of(NOSE)
    assert [one.check for one in found] == ["quick", "slow"]
    assert found[0].bits == pytest.approx(found[1].bits)
    assert found[0].bits_per_minute == pytest.approx(20 * found[1].bits_per_minute)


def test_rows_that_do_not_sum_to_1_are_no_fault() -> None:
    """A copy of a route that an older program let pass is opened by this one as well."""
    only_a_pass = Sign(NOSE, "", ROWS[0])
    too_much = tuple((row[0] * 2, row[1] / 3) for row in ROWS)
    book = walk(look("lip", only_a_pass), look("step", sign(rows=too_much)), look("strip", sign()))
    bits = {found.check: found.bits for found in weighed(book.walk).next_of(NOSE)}
    assert bits["lip"] == 0
    assert bits["step"] == pytest.approx(bits["strip"])


def test_next_of_a_claim_tells_that_claims_checks_only() -> None:
    book = walk(look("lip", sign()), stamped(bare()))
    found = weighed(book.walk)
    assert [one.check for one in found.next_of(NOSE)] == ["lip"]
    assert [one.check for one in found.next_of(GEARBOX)] == ["stamp"]
    assert found.next_of("nowhere") == ()


@pytest.mark.parametrize(("at", "first"), [("here", "near"), ("there", "far")])
def test_of_checks_that_tell_the_same_the_nearest_comes_first(at: str, first: str) -> None:
    stations = (
        Station("a", "A", Place(0.0, -1.0, 0.5), checks=(look("near", sign()), look("here"))),
        Station("b", "B", Place(3.0, 1.0, 0.5), checks=(look("far", sign()), look("there"))),
    )
    book = begin(route(stations=stations))
    book.write(Kind.MOVED, check=at)
    assert book.walk.at == at
    found = weighed(book.walk).next_of(NOSE)
    assert found[0].check == first
    assert found[0].bits == found[1].bits


def test_a_route_without_claims_or_without_checks_is_weighed_to_nothing() -> None:
    for book in (begin(build([])), begin(replace(route(look("lip")), claims=()))):
        found = weighed(book.walk)
        assert (found.claims, found.beliefs, found.next) == ({}, {}, ())
