"""What a walk costs: which checks are priced, with whose figures, and what comes of them.

The mean of a beta-PERT is (low + 4 likely + high) / 6 (reference pack, cost ranges, C1); sums of
independent amounts add their means. The money here is worked out by hand from that.
"""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from unit.report.walks import Book, begin, build

from checkrun.cli import run
from checkrun.route.model import Check, Claim, Cost, Group, Place, Result, Sign, Station
from checkrun.session.events import Kind
from checkrun.weigh.bill import SEED, Bill, bill, reckoned
from checkrun.weigh.observe import weighed
from checkrun.weigh.offer import STRUCTURE_FAILED


def money(*figures: int) -> tuple[Decimal, Decimal, Decimal]:
    low, likely, high = (Decimal(figure) for figure in figures)
    return low, likely, high


#: By hand, at 80 an hour: (2 + 4 x 4 + 12) / 6 = 5 hours are 400; parts (0 + 4 x 30 + 60) / 6 = 30.
COST = Cost(money(2, 4, 12), money(0, 30, 60))
MEAN = 5 * 80 + 30


def check(name: str, cost: Cost | None = COST, group: Group = Group.BODY) -> Check:
    return Check(name, f"The {name}", cost=cost, group=group)


def walk(*checks: Check, facts: dict[str, str] | None = None) -> Book:
    book = begin(build([Station("all", "All", Place(0, 0, 0), checks=checks)]))
    if facts:
        book.write(Kind.BEGAN, route="lark", route_sha="", year=1962, facts=facts, program="")
    return book


def billed(book: Book) -> Bill:
    return bill(book.walk, weighed(book.walk).beliefs)


def say(book: Book, **terms: str) -> None:
    for name, value in terms.items():
        book.write(Kind.TERM, name=name, value=value)


def own(book: Book, name: str, **figures: str) -> None:
    for figure, value in figures.items():
        book.write(Kind.PRICED, check=name, name=figure, value=value)


def chances(found: Bill) -> dict[str, float]:
    return {line.check.id: line.chance for line in found.lines}


# -- what is priced, and how likely ------------------------------------------------------------


def test_a_fail_is_certain_and_costs_its_mean() -> None:
    book = walk(check("sill"))
    book.answer("sill", "fail")
    found = billed(book)
    assert chances(found) == {"sill": 1.0}
    assert found.moments.mean == pytest.approx(MEAN)
    assert found.lines[0].mean == pytest.approx(MEAN)
    assert found.lines[0].share == pytest.approx(1)


@pytest.mark.parametrize(
    ("chance", "likely"), [(None, 0.5), (Decimal("0.25"), 0.25), (Decimal(1), 1.0)]
)
def test_a_concern_has_the_chance_of_the_route_or_a_half(
    chance: Decimal | None, likely: float
) -> None:
    cost = COST if chance is None else replace(COST, chance=chance)
    book = walk(check("sill", cost))
    book.answer("sill", "concern")
    assert chances(billed(book)) == {"sill": likely}
    assert billed(book).moments.mean == pytest.approx(likely * MEAN)


def test_a_pass_costs_nothing_whatever_was_said_of_it() -> None:
    book = walk(check("sill", replace(COST, base_rate=Decimal("0.3"))))
    own(book, "sill", hours="1 1 1", chance="1", seller="yes")
    book.answer("sill", "pass")
    found = billed(book)
    assert (found.lines, found.seller, found.unpriced) == ((), (), ())
    assert (found.moments.mean, found.moments.sd) == (0, 0)


@pytest.mark.parametrize("answered", [False, True])
def test_what_was_not_looked_at_has_its_base_rate_or_no_part_in_it(answered: bool) -> None:
    book = walk(check("sill", replace(COST, base_rate=Decimal("0.1"))), check("door"))
    if answered:
        for name in ("sill", "door"):
            book.answer(name, "not-examined", why="no light")
    found = billed(book)
    assert chances(found) == {"sill": 0.1}
    assert found.lines[0].result is (Result.NOT_EXAMINED if answered else None)
    assert found.moments.mean == pytest.approx(0.1 * MEAN)


def test_of_a_fresh_walk_without_base_rates_nothing_is_billed() -> None:
    found = billed(walk(check("sill"), check("door")))
    assert (found.lines, found.groups, found.offer) == ((), (), None)
    assert (found.spread.p50, found.spread.p90, found.spread.standard_error) == (0, 0, 0)


def test_items_that_are_put_right_together_share_their_labour() -> None:
    """The larger labour counts once: 400 and 30, and of the smaller one its parts only, 30."""
    smaller = Cost(money(1, 2, 3), money(0, 30, 60), together="front")
    book = walk(check("nose", replace(COST, together="front")), check("lip", smaller))
    book.answer("nose", "fail")
    book.answer("lip", "fail")
    assert billed(book).moments.mean == pytest.approx(400 + 30 + 30)
    book.answer("nose", "pass")
    assert billed(book).moments.mean == pytest.approx(2 * 80 + 30)


def test_groups_stand_in_the_order_of_findings_with_what_they_add() -> None:
    book = walk(
        check("seat", group=Group.TRIM),
        check("rail", group=Group.STRUCTURE),
        check("rail-2", group=Group.STRUCTURE),
        check("lamp", group=Group.SAFETY),
    )
    for name in ("seat", "rail", "rail-2"):
        book.answer(name, "fail")
    assert billed(book).groups == (
        (Group.STRUCTURE, pytest.approx(2 * MEAN)),
        (Group.TRIM, pytest.approx(MEAN)),
    )


def test_findings_stand_before_what_is_open_and_what_drives_the_spread_most_first() -> None:
    wide = Cost(money(1, 5, 80), money(0, 100, 4000), base_rate=Decimal("0.5"))
    book = walk(check("small"), check("wide", wide), check("other", wide), check("third"))
    for name, result in (("small", "fail"), ("wide", "fail"), ("third", "concern")):
        book.answer(name, result)
    found = billed(book)
    assert [line.check.id for line in found.lines] == ["wide", "third", "small", "other"]
    assert found.lines[3].share > found.lines[1].share
    assert sum(line.share for line in found.lines) == pytest.approx(1)
    assert sum(line.mean for line in found.lines) == pytest.approx(found.moments.mean)


# -- one's own figures -------------------------------------------------------------------------


def test_ones_own_figures_take_the_place_of_the_routes() -> None:
    book = walk(check("sill"))
    book.answer("sill", "concern")
    own(book, "sill", hours="10 10 10")
    assert billed(book).moments.mean == pytest.approx((800 + 30) / 2)
    own(book, "sill", parts="100 100 100", chance="0.9")
    found = billed(book)
    assert found.moments.mean == pytest.approx(0.9 * 900)
    assert (found.lines[0].hours, found.lines[0].parts) == ((10, 10, 10), (100, 100, 100))
    own(book, "sill", hours="", parts="", chance="")
    assert billed(book).moments.mean == pytest.approx(MEAN / 2)


def test_ones_own_rate_is_that_of_every_hour() -> None:
    book = walk(check("sill"))
    book.answer("sill", "fail")
    say(book, rate="120")
    assert billed(book).moments.mean == pytest.approx(5 * 120 + 30)
    say(book, rate="0")
    assert billed(book).moments.mean == pytest.approx(30)


def test_ones_own_chance_goes_before_that_of_any_result() -> None:
    book = walk(check("sill"), check("door"))
    own(book, "sill", chance="0.7")
    own(book, "door", chance="0.7")
    assert chances(billed(book)) == {"sill": 0.7, "door": 0.7}
    book.answer("sill", "fail")
    book.answer("door", "not-examined", why="no time")
    assert chances(billed(book)) == {"sill": 0.7, "door": 0.7}


def test_what_a_person_takes_to_be_no_trouble_stays_in_sight_at_no_cost() -> None:
    """Else it could not be said otherwise any more."""
    book = walk(check("sill"))
    book.answer("sill", "fail")
    own(book, "sill", chance="0")
    found = billed(book)
    assert chances(found) == {"sill": 0.0}
    assert (found.moments.mean, found.spread.p90) == (0, 0)


def test_what_the_seller_puts_right_is_told_apart_and_costs_nothing() -> None:
    book = walk(check("sill"), check("door"), check("gap", None))
    for name in ("sill", "door", "gap"):
        book.answer(name, "fail")
    own(book, "sill", seller="yes")
    own(book, "gap", seller="yes")
    found = billed(book)
    assert [line.check.id for line in found.lines] == ["door"]
    assert [line.check.id for line in found.seller] == ["sill", "gap"]
    assert found.unpriced == ()
    assert found.moments.mean == pytest.approx(MEAN)
    own(book, "sill", seller="")
    assert billed(book).moments.mean == pytest.approx(2 * MEAN)


def test_a_finding_that_nobody_gives_a_cost_is_told_until_somebody_does() -> None:
    book = walk(check("sill", None), check("door", None), check("open", None))
    book.answer("sill", "fail")
    book.answer("door", "concern")
    found = billed(book)
    assert [(line.check.id, line.chance) for line in found.unpriced] == [
        ("sill", 1.0),
        ("door", 0.5),
    ]
    assert (found.lines, found.moments.mean) == ((), 0)
    own(book, "sill", parts="50 50 50")
    own(book, "door", hours="0 0 0")
    found = billed(book)
    assert found.unpriced == ()
    assert found.moments.mean == pytest.approx(50)


def test_figures_in_the_file_that_are_none_count_as_not_said() -> None:
    book = walk(check("sill"))
    book.answer("sill", "concern")
    own(book, "sill", chance="7", hours="9 1 1")
    say(book, percentile="1000000", correlation="12", rate="-4")
    found = billed(book)
    assert chances(found) == {"sill": 0.5}
    assert found.moments.mean == pytest.approx(MEAN / 2)
    assert (found.terms.percentile, found.terms.correlation) == (80, Decimal("0.2"))
    assert found.spread.at > 0


# -- the most to pay ---------------------------------------------------------------------------


def staked() -> Book:
    """A car with a claim of which a pass at the nose makes 0.6 to 6/7, and a sill that costs."""
    rows = ((Decimal("0.8"), Decimal("0.2")), None, (Decimal("0.2"), Decimal("0.8")))
    claims = (Claim("nose-first", "The nose is the first", Decimal("0.6"), Decimal("0.25")),)
    nose = Check("nose", "The nose", signs=(Sign("nose-first", "", *rows),))
    parts = Cost(money(0, 0, 0), money(500, 500, 500))
    route = build([Station("all", "All", Place(0, 0, 0), checks=(nose, check("sill", parts)))])
    book = begin(replace(route, claims=claims))
    book.answer("nose", "pass")
    book.answer("sill", "fail")
    return book


def test_without_a_price_there_is_no_most_to_pay_and_nothing_at_stake() -> None:
    found = billed(staked())
    assert (found.offer, found.stakes, found.value) == (None, (), None)
    assert found.spread.at == 500


def test_the_most_to_pay_is_worked_out_by_hand() -> None:
    """40 000 less 10 000 at stake times 1/7, less 500 that the sill costs, less a margin."""
    book = staked()
    say(book, asking="40000", margin="1000")
    found = billed(book)
    assert found.offer is not None
    assert [amount for _, amount in found.offer.lines] == [40000.0, -1428.57, -500.0, -1000.0]
    assert found.offer.lines[1][0] == "nose first: 10 000 x 14.3 % doubt"
    assert found.offer.most_to_pay == 37071.43
    assert found.stakes[0].stake == 10000


def test_a_value_of_its_own_goes_before_the_price_asked_for_the_stakes_too() -> None:
    book = staked()
    say(book, asking="40000", value="32000")
    found = billed(book)
    assert found.offer is not None
    assert found.value == 32000
    assert found.offer.lines[0][1] == 32000.0
    assert found.stakes[0].stake == 8000
    say(book, value="")
    assert billed(book).value == 40000


def test_a_price_asked_at_the_intake_counts_until_another_is_said() -> None:
    book = walk(check("sill"), facts={"asking-price": "61500"})
    assert billed(book).value == 61500
    say(book, asking="58000")
    assert billed(book).value == 58000
    say(book, asking="")
    assert billed(book).value == 61500
    for answer in ("", "a lot", "61,500"):
        assert billed(walk(check("sill"), facts={"asking-price": answer})).value is None


def test_the_chosen_percentile_is_the_cost_that_is_taken_off() -> None:
    book = walk(check("sill"))
    book.answer("sill", "fail")
    say(book, asking="10000")
    usual = billed(book)
    assert usual.offer is not None
    assert usual.spread.at == usual.spread.p80
    assert usual.offer.most_to_pay == pytest.approx(10000 - usual.spread.p80, abs=0.005)
    say(book, percentile="90")
    careful = billed(book)
    assert careful.offer is not None
    assert careful.spread.at == careful.spread.p90 == usual.spread.p90
    assert "90 %" in careful.offer.lines[-2][0]
    assert careful.offer.most_to_pay < usual.offer.most_to_pay


def test_it_is_never_below_zero_and_the_lines_still_add_up() -> None:
    book = staked()
    say(book, asking="900")
    found = billed(book)
    assert found.offer is not None
    assert found.offer.most_to_pay > 0
    say(book, margin="5000")
    found = billed(book)
    assert found.offer is not None
    assert found.offer.most_to_pay == 0
    assert sum(amount for _, amount in found.offer.lines) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("group", "result", "warned"),
    [
        (Group.STRUCTURE, "fail", True),
        (Group.STRUCTURE, "concern", False),
        (Group.SAFETY, "fail", False),
    ],
)
def test_a_failed_check_of_the_structure_is_warned_of_with_and_without_a_price(
    group: Group, result: str, warned: bool
) -> None:
    book = walk(check("rail", group=group))
    book.answer("rail", result)
    found = billed(book)
    assert found.structure_failed is warned
    assert found.warning == (STRUCTURE_FAILED if warned else "")
    say(book, asking="40000")
    own(book, "rail", seller="yes")
    offer = billed(book).offer
    assert offer is not None
    assert offer.warning == (STRUCTURE_FAILED if warned else "")


# -- the same answer ---------------------------------------------------------------------------


def many(order: Sequence[str]) -> Book:
    """Three fails, three concerns and three that are open, some of them sharing labour."""
    costs = {
        name: Cost(
            money(n, 2 * n, 5 * n),
            money(10 * n, 100 * n, 900 * n),
            base_rate=Decimal("0.2"),
            together="front" if n in (2, 5) else "",
        )
        for n, name in enumerate("abcdefghi", 1)
    }
    book = walk(*(check(name, costs[name]) for name in order))
    for name in "abc":
        book.answer(name, "fail")
    for name in "def":
        book.answer(name, "concern")
    say(book, asking="50000", rate="95", percentile="90", correlation="0.4", margin="2000")
    return book


def test_the_same_session_gives_the_same_answer_whatever_its_walking_order() -> None:
    one, other = billed(many("abcdefghi")), billed(many("ihgfedcba"))
    assert one.moments == other.moments
    assert one.spread == other.spread
    assert one.offer == other.offer
    assert [line.check.id for line in one.lines] == [line.check.id for line in other.lines]


def test_it_is_what_price_prints_of_the_same_items(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    found = billed(many("abcdefghi"))
    terms = found.terms
    given: dict[str, Any] = {
        "items": [
            {
                "id": line.check.id,
                "chance": line.chance,
                "together": line.check.cost.together if line.check.cost else "",
                "hours": [float(value) for value in line.hours],
                "parts": [float(value) for value in line.parts],
            }
            for line in found.lines
        ],
        "rate": float(terms.rate),
        "correlation": float(terms.correlation),
        "seed": SEED,
        "draws": reckoned(terms).draws,
        "percentile": float(terms.percentile),
        "value": float(found.value or 0),
        "margin": float(terms.margin),
        "claims": [
            {"id": stake.id, "stake": stake.stake, "probability": stake.probability}
            for stake in found.stakes
        ],
    }
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(json.dumps(given).encode())))
    assert run(["price", "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed["mean"] == pytest.approx(found.moments.mean, abs=1e-6)
    assert printed["sd"] == pytest.approx(found.moments.sd, abs=1e-6)
    assert printed["p90"] == round(found.spread.p90, 2)
    assert printed["histogram"]["draws"] == list(found.spread.histogram)
    by_share = sorted(found.lines, key=lambda line: -line.share)
    assert [driver["id"] for driver in printed["drivers"]] == [line.check.id for line in by_share]
    assert [driver["share"] for driver in printed["drivers"]] == pytest.approx(
        [line.share for line in by_share]
    )
    assert found.offer is not None
    assert printed["most_to_pay"] == found.offer.most_to_pay
    assert [(line["label"], line["amount"]) for line in printed["lines"]] == [*found.offer.lines]


def test_without_any_check_there_is_a_bill_of_nothing() -> None:
    found = billed(begin(build([])))
    assert (found.lines, found.moments.mean, found.spread.p90, found.offer) == ((), 0, 0, None)
