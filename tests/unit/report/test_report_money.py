"""The money in rows: what a person reads of it, at every width and in plain characters."""

from __future__ import annotations

from dataclasses import replace

import pytest

from checkrun.report.glyphs import ASCII, UNICODE, Glyphs
from checkrun.report.money import amount, cost_rows, driver_rows, histogram_rows, offer_rows, rows
from checkrun.weigh.cost import Driver, Item, Moments, Terms, moments
from checkrun.weigh.offer import STRUCTURE_FAILED, Offer, Stake, offer
from checkrun.weigh.simulate import BINS, Spread, simulate

TERMS = Terms(80, draws=2000)
ITEMS = [
    Item("nose", (6, 14, 40), (0, 300, 2500)),
    Item("tyres", (1, 1.5, 2), (300, 420, 600), chance=0.5),
]
SPREAD = Spread(
    p50=1000,
    p80=1250,
    p90=1499.5,
    at=1250,
    standard_error=3.456,
    histogram=(0, 1, 2, 4, 8, 16, 32, 64, 48, 24, 12, 6, 3, 1, *[0] * 9, 1),
    low=500,
    high=2900,
    correlation=0.2,
)
COST = Moments(1234.4, 210.6, (Driver("nose", 1000.4, 0.75), Driver("tyres", 234, 0.25)))


def test_the_figures_as_they_are_read() -> None:
    assert cost_rows(COST, SPREAD, TERMS, 72) == [
        "What it costs",
        "  mean             1 234",
        "  half stay below  1 000",
        "  80 % stay below  1 250",
        "  90 % stay below  1 500",
        "  standard deviation 211; by 2 000 draws, so the 80 % figure has a",
        "  standard error of 3",
    ]
    assert "  95 % stay below  1 250" in cost_rows(COST, SPREAD, replace(TERMS, percentile=95), 72)


def test_a_correlation_that_cannot_be_reached_is_told() -> None:
    told = " ".join(" ".join(cost_rows(COST, SPREAD, replace(TERMS, correlation=1), 72)).split())
    assert "a correlation of 0.20 only" in told
    assert "correlation" not in " ".join(cost_rows(COST, SPREAD, TERMS, 72))


def test_the_histogram_stands_on_its_rule_with_its_marks() -> None:
    assert histogram_rows(SPREAD, ASCII, 30) == [
        "         #",
        "         ##",
        "        :##",
        "       .####",
        "   ...:######:..         .",
        "  ------------------------",
        "       5 8 9",
        "  500                2 900",
    ]
    assert histogram_rows(SPREAD, UNICODE, 30)[4] == "   ▁▂▃▅██████▄▂▁         ▁"
    wide = histogram_rows(SPREAD, ASCII, 80)
    assert wide[0] == " " * 23 + "###"
    assert wide[5] == f"  {'-' * 72}"


def test_the_marks_stand_where_the_percentiles_are() -> None:
    marks = histogram_rows(SPREAD, ASCII, 30)[6][2:]
    for sign, value in (("5", SPREAD.p50), ("8", SPREAD.p80), ("9", SPREAD.p90)):
        step = (SPREAD.high - SPREAD.low) / BINS
        at = marks.index(sign)
        assert SPREAD.low + at * step <= value < SPREAD.low + (at + 1) * step


def test_what_cannot_vary_has_no_histogram() -> None:
    assert histogram_rows(simulate([], TERMS), UNICODE, 72) == []


def test_the_drivers_with_their_share_and_the_rest_summed_up() -> None:
    assert driver_rows(COST.drivers, ASCII, 72) == [
        "What drives it   mean   share",
        "  nose          1 000    75 %  ########",
        "  tyres           234    25 %  ##",
    ]
    assert driver_rows((), ASCII, 72) == []
    many = tuple(Driver(f"item-{at}", 10, 0.05) for at in range(20))
    found = driver_rows(many, ASCII, 72)
    assert len(found) == 1 + 12 + 1
    assert found[-1].split() == ["8", "more", "80", "40", "%", "####"]
    # One more is shown by its name.
    assert driver_rows(many[:13], ASCII, 72)[-1].split()[0] == "item-12"


def test_the_offer_with_its_warning_above_it() -> None:
    most = offer(3000, [Stake("frame", 800, 0.25)], 1250, 100.5, percentile=80)
    told = [
        "The most to pay",
        "  value as claimed            3 000.00",
        "  frame: 800 x 75 % doubt      -600.00",
        "  cost that 80 % stay below  -1 250.00",
        "  margin                       -100.50",
        "  ------------------------------------",
        "  most to pay                 1 049.50",
    ]
    assert offer_rows(most, ASCII, 72) == told
    warned = offer_rows(replace(most, warning=STRUCTURE_FAILED), ASCII, 72)
    assert warned[-len(told) :] == told
    above = warned[: -len(told)]
    assert " ".join(line.strip() for line in above) == f"!! {STRUCTURE_FAILED}"


@pytest.mark.parametrize("width", [0, 40, 58, 60, 72, 100, 160])
@pytest.mark.parametrize("glyphs", [ASCII, UNICODE])
def test_no_row_is_wider_than_it_may_be(glyphs: Glyphs, width: int) -> None:
    items = [
        *ITEMS,
        Item("a-name-that-goes-on-and-on-for-a-hundred-characters" * 2, *[(1, 2, 9)] * 2),
    ]
    cost, spread = moments(items, TERMS), simulate(items, TERMS)
    claim = Stake("a-claim-that-goes-on-and-on-for-long" * 2, 500, 0.5)
    most = offer(9e8, [claim], spread.at, 0, percentile=80, structure_failed=True)
    found = rows(cost, spread, TERMS, most, glyphs, width)
    assert max(map(len, found)) <= max(40, width)
    assert found[0] == "What it costs"
    assert found[-1].split()[:3] == ["most", "to", "pay"]
    if glyphs is ASCII:
        assert "".join(found).isascii()


def test_without_an_offer_a_warning_is_told_all_the_same() -> None:
    cost, spread = moments(ITEMS, TERMS), simulate(ITEMS, TERMS)
    plain = rows(cost, spread, TERMS, None, ASCII)
    warned = rows(cost, spread, TERMS, None, ASCII, warning="Look at the frame.")
    assert warned == [*plain, "", "  !! Look at the frame."]
    assert "The most to pay" not in plain
    none = Offer(0, (("value as claimed", 0.0),))
    assert rows(Moments(0, 0, ()), simulate([], TERMS), TERMS, none, ASCII)[-1].endswith("0.00")


@pytest.mark.parametrize(
    ("value", "text", "cents"),
    [
        *[(0, "0", "0.00"), (-0.001, "0", "0.00"), (999.5, "1 000", "999.50")],
        *[(1234567.891, "1 234 568", "1 234 567.89"), (-1234.5, "-1 234", "-1 234.50")],
    ],
)
def test_amounts_have_a_blank_between_thousands(value: float, text: str, cents: str) -> None:
    assert amount(value) == text
    assert amount(value, cents=True) == cents
