"""The exact sum, against published worked examples and rules that hold for any sum.

The published examples (reference pack P3 to P6) are reckoned with the older variance
((high - low) / 6)^2. Their sums are followed here with ranges of the same mean and that very
standard deviation, so what is tested is the rule for adding up, not the variance of one range.
`tests/property/test_price_properties.py` holds the rest against enumeration.
"""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

import pytest
from scipy import stats

from checkrun.weigh import pert
from checkrun.weigh.cost import Item, Moments, Terms, moments

NONE = (0.0, 0.0, 0.0)
#: Where on its range likely has to be for both variances to be the same (C3), and then the mean.
LIKELY = (2 - math.sqrt(2)) / 4
MEAN = (4 * LIKELY + 1) / 6

P3 = [(5, 8, 17), (3, 5, 7), (4, 6, 8), (3, 4, 5)]
P4 = [
    *[(5, 5, 7), (5, 5, 5), (1, 10, 17), (4, 4, 6)],
    *[(2, 7, 10), (6, 10, 13), (2, 2, 3), (7, 7, 12)],
]
P6 = [(100, 150, 300), (400, 600, 1400), (50, 80, 110)]


def like(mean: float, sd: float) -> tuple[float, float, float]:
    """A range of that mean and standard deviation."""
    low = mean - 6 * sd * MEAN
    return (low, low + 6 * sd * LIKELY, low + 6 * sd)


def classic(range_: tuple[float, float, float]) -> tuple[float, float, float]:
    """A range of the same mean whose standard deviation is (high - low) / 6."""
    low, likely, high = range_
    return like((low + 4 * likely + high) / 6, (high - low) / 6)


def summed(ranges: list[tuple[float, float, float]], correlation: float = 0) -> Moments:
    items = [Item(f"job-{at}", NONE, range_) for at, range_ in enumerate(ranges)]
    return moments(items, Terms(80, correlation))


def below(target: float, found: Moments) -> float:
    """With the sum taken as normal (C7)."""
    return NormalDist(found.mean, found.sd).cdf(target)


def test_the_published_path_of_four() -> None:
    # P3, flylib.com/books/en/3.287.1.117/1: expected 24, P(x <= 28) = 0.9633; variance 5.000.
    assert summed(P3).mean == pytest.approx(24, abs=1e-12)
    found = summed([classic(range_) for range_ in P3])
    assert found.mean == pytest.approx(24, abs=1e-12)
    assert found.sd**2 == pytest.approx(5.000, abs=5e-4)
    assert below(28, found) == pytest.approx(0.9633, abs=2e-4)


def test_the_published_path_of_eight() -> None:
    # P4, studyzin.com and wizedu.com 717873: 50.83, sd 3.346; P(x <= 55) recomputed 0.8935.
    assert summed(P4).mean == pytest.approx(50.8333, abs=5e-5)
    found = summed([classic(range_) for range_ in P4])
    assert found.sd == pytest.approx(3.346, abs=5e-4)
    assert below(55, found) == pytest.approx(0.8935, abs=5e-5)
    # Its third range is 7.11 of the variance of 11.19.
    assert found.drivers[0].id == "job-2"
    assert found.drivers[0].share == pytest.approx(7.1111 / 11.1944, abs=1e-4)


def test_the_published_path_given_as_means_and_deviations() -> None:
    # P5, curioustab.com 64878: means 3, 8, 6; sd 1, 2, 2; target 20: mean 17, sd 3, P 0.8413.
    found = summed([like(3, 1), like(8, 2), like(6, 2)])
    assert (found.mean, found.sd) == pytest.approx((17, 3), abs=1e-12)
    assert below(20, found) == pytest.approx(0.8413, abs=5e-5)


@pytest.mark.parametrize(
    ("correlation", "sd", "ninety"),
    [(0, 170.261, 1164.87), (0.3, 183.091, 1181.31), (1, 210.000, 1215.79)],
)
def test_correlated_jobs_of_the_reference_pack(
    correlation: float, sd: float, ninety: float
) -> None:
    # P6, computed there with the older variance; C8.
    found = summed([classic(range_) for range_ in P6], correlation)
    assert found.mean == pytest.approx(946.667, abs=5e-4)
    assert found.sd == pytest.approx(sd, abs=5e-4)
    assert NormalDist(found.mean, found.sd).inv_cdf(0.9) == pytest.approx(ninety, abs=5e-3)


@pytest.mark.parametrize("correlation", [0, 0.2, 0.3, 1])
def test_with_the_variance_of_the_beta_the_same_jobs_are_wider(correlation: float) -> None:
    # C8 again, the single deviations from scipy.
    sds = []
    for low, likely, high in P6:
        alpha = 1 + 4 * (likely - low) / (high - low)
        sds.append(float(stats.beta.std(alpha, 6 - alpha, scale=high - low)))
    pairs = sum(sds[i] * sds[j] for i in range(3) for j in range(i))
    wanted = math.sqrt(sum(sd * sd for sd in sds) + 2 * correlation * pairs)
    assert summed(P6, correlation).sd == pytest.approx(wanted, rel=1e-12)
    assert summed(P6, correlation).mean == pytest.approx(946.6667, abs=5e-5)


def test_labour_is_hours_at_the_rate_and_goes_together_with_the_parts() -> None:
    hours, parts = (2.0, 3.0, 7.0), (10.0, 90.0, 100.0)
    found = moments([Item("a", hours, parts)], Terms(50, 0.4))
    labour = math.sqrt(pert.variance((100, 150, 350)))
    other = math.sqrt(pert.variance(parts))
    assert found.mean == pytest.approx(50 * 3.5 + 470 / 6, rel=1e-12)
    wanted = labour**2 + other**2 + 2 * 0.4 * labour * other
    assert found.sd**2 == pytest.approx(wanted, rel=1e-12)


def test_an_item_that_may_occur_by_hand() -> None:
    # B X with B at 0.5 and X fixed at 100: mean 50, variance 0.25 x 100^2.
    found = moments([Item("a", NONE, (100, 100, 100), chance=0.5)], Terms(80))
    assert (found.mean, found.sd) == (50, 50)


def test_of_items_that_share_labour_only_the_larger_counts() -> None:
    big = Item("big", (10, 10, 10), (1, 1, 1), together="front")
    small = Item("small", (4, 4, 4), (2, 2, 2), together="front")
    for items in ([big, small], [small, big]):
        assert moments(items, Terms(100)).mean == 1000 + 3
    apart = [big, replace(small, together="rear")]
    assert moments(apart, Terms(100)).mean == 1400 + 3
    # The larger occurs every other time: then its labour, else that of the smaller.
    found = moments([replace(big, chance=0.5), small], Terms(100))
    assert found.mean == 0.5 * 1000 + 0.5 * 400 + 0.5 + 2
    assert found.sd == pytest.approx(0.5 * (1001 - 400), rel=1e-12)


def test_what_steadies_the_sum_has_a_share_below_zero_and_the_shares_still_sum_to_one() -> None:
    big = Item("big", (10, 10, 10), NONE, chance=0.5, together="front")
    small = Item("small", (9, 9, 9), NONE, together="front")
    found = moments([big, small], Terms(100))
    shares = {driver.id: driver.share for driver in found.drivers}
    # 1000 or 900 at even odds: sd 50. cov(small, sum) = 0.5 x 900 x 900 - 450 x 950 = -22500.
    assert found.sd == pytest.approx(50, rel=1e-12)
    assert shares == pytest.approx({"big": 10, "small": -9}, rel=1e-9)
    assert sum(shares.values()) == pytest.approx(1, abs=1e-12)
    assert [driver.id for driver in found.drivers] == ["big", "small"]


def test_no_items_and_items_that_cannot_vary_cost_what_they_cost() -> None:
    assert moments([], Terms(80)) == Moments(0, 0, ())
    found = moments([Item("a", (2, 2, 2), (5, 5, 5)), Item("b", (1, 1, 1), NONE)], Terms(80, 1))
    assert (found.mean, found.sd) == (245, 0)
    assert [(d.id, d.mean, d.share) for d in found.drivers] == [("a", 165, 0), ("b", 80, 0)]


def test_a_chance_of_nothing_adds_nothing() -> None:
    rest = Item("a", (1, 2, 5), (5, 6, 9), together="g")
    never = Item("b", (9, 9, 90), (5, 5, 50), chance=0, together="g")
    alone, both = moments([rest], Terms(80)), moments([rest, never], Terms(80))
    assert (both.mean, both.sd) == (alone.mean, alone.sd)
    assert both.drivers[1:] == (replace(both.drivers[1], mean=0, share=0),)
