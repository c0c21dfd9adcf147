"""The most to pay: plain sums, written out."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checkrun.weigh.offer import STRUCTURE_FAILED, Stake, offer, percent

money = st.floats(0, 1e9)
stakes = st.builds(Stake, st.text(max_size=5), money, st.floats(0, 1))


def test_every_line_of_a_sum_by_hand() -> None:
    found = offer(
        30_000,
        [Stake("first-body", 6000, 0.7), Stake("frame-sound", 10_000, 1)],
        3667.974,
        1500,
        percentile=80,
    )
    assert found.lines == (
        ("value as claimed", 30_000),
        ("first-body: 6 000 x 30 % doubt", -1800),
        ("frame-sound: 10 000 x 0 % doubt", 0),
        ("cost that 80 % stay below", -3667.97),
        ("margin", -1500),
    )
    assert found.most_to_pay == 23_032.03
    assert found.warning == ""


def test_nothing_is_left_of_a_car_that_costs_more_than_it_is_worth() -> None:
    found = offer(1000, [], 1700.5, 100, percentile=90, structure_failed=True)
    assert found.most_to_pay == 0
    assert found.lines[-1] == ("nothing is left: raised to zero", 800.5)
    assert found.warning == STRUCTURE_FAILED
    assert "common practice" in found.warning


@given(money, st.lists(stakes, max_size=6), money, money, st.floats(1, 99))
def test_the_lines_add_up_and_the_offer_is_never_below_zero(
    value: float, claims: list[Stake], cost: float, margin: float, percentile: float
) -> None:
    found = offer(value, claims, cost, margin, percentile=percentile)
    assert found.most_to_pay >= 0
    assert math.copysign(1, found.most_to_pay) == 1
    amounts = [amount for _, amount in found.lines]
    assert round(math.fsum(amounts), 2) == found.most_to_pay
    assert all(amount == round(amount, 2) for amount in amounts)
    wanted = value - cost - margin - sum(s.stake * (1 - s.probability) for s in claims)
    # Each line is right to half a cent.
    assert found.most_to_pay == pytest.approx(max(0, wanted), abs=0.005 * len(amounts) + 1e-6)


@given(money, money, money, st.floats(0, 1), st.floats(0, 1))
def test_more_doubt_more_cost_and_more_margin_never_raise_it(
    value: float, stake: float, more: float, one: float, other: float
) -> None:
    sure, doubtful = max(one, other), min(one, other)

    def most(probability: float, cost: float, margin: float) -> float:
        claims = [Stake("a", stake, probability)]
        return offer(value, claims, cost, margin, percentile=80).most_to_pay

    assert most(doubtful, 0, 0) <= most(sure, 0, 0) <= value + 0.005
    assert most(sure, more, 0) <= most(sure, 0, 0)
    assert most(sure, 0, more) <= most(sure, 0, 0)


@pytest.mark.parametrize(
    ("share", "text"),
    [
        *[(0, "0 %"), (1, "100 %"), (0.5, "50 %"), (0.123, "12.3 %"), (0.9994, "99.9 %")],
        *[(0.9996, "over 99.9 %"), (1 - 1e-12, "over 99.9 %"), (1e-9, "under 0.1 %")],
        *[(0.0004, "under 0.1 %"), (0.0006, "0.1 %"), (-0.09, "-9 %")],
    ],
)
def test_nothing_is_called_certain_that_is_not(share: float, text: str) -> None:
    assert percent(share) == text
