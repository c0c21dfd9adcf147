"""Three-point ranges against the closed form, scipy's beta and the reference pack.

Nothing outside is called a PERT, so each of its parts is held against something: the mean and the
shapes against the reference pack (C1, C2), the variance and the quantiles against scipy's beta with
those shapes, the bounds against scipy's triangular distribution.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from checkrun.weigh import pert
from checkrun.weigh.cost import Item, Terms
from checkrun.weigh.simulate import draw

P1 = (100.0, 150.0, 300.0)
figures = st.floats(0, 1e9)
ranges = st.tuples(figures, figures, figures).map(lambda three: (*sorted(three),))
RANGES = [
    P1,
    (0.0, 5.0, 10.0),
    (0.0, 0.0, 6.0),
    (0.0, 6.0, 6.0),
    (3.0, 3.5, 47.0),
    (1e-3, 8e5, 1e6),
]


def beta(range_: tuple[float, float, float]) -> object:
    """scipy's distribution, from the reference pack's formula (C2)."""
    low, likely, high = range_
    alpha = 1 + 4 * (likely - low) / (high - low)
    return stats.beta(alpha, 1 + 4 * (high - likely) / (high - low), loc=low, scale=high - low)


def test_the_first_worked_example_of_the_reference_pack() -> None:
    # P1, computed there.
    assert pert.mean(P1) == pytest.approx(166.667, abs=5e-4)
    assert pert.shapes(P1) == (2, 4)
    assert pert.variance(P1) == pytest.approx(1269.84, abs=5e-3)
    drawn = np.interp([-1.2815516, 0, 1.2815516], pert.scores(), pert.quantiles([2])[0])
    assert 100 + 200 * drawn == pytest.approx([122.45, 162.76, 216.78], abs=5e-3)


@pytest.mark.parametrize("range_", RANGES)
def test_mean_variance_and_shapes_are_those_of_the_beta(
    range_: tuple[float, float, float],
) -> None:
    low, likely, high = range_
    mean, variance = beta(range_).stats("mv")  # type: ignore[attr-defined]
    assert pert.mean(range_) == pytest.approx(mean, rel=1e-12)
    assert pert.mean(range_) == pytest.approx((low + 4 * likely + high) / 6, rel=1e-12)
    assert pert.variance(range_) == pytest.approx(variance, rel=1e-11)
    closed = (pert.mean(range_) - low) * (high - pert.mean(range_)) / 7
    assert pert.variance(range_) == pytest.approx(closed, rel=1e-11)
    assert sum(pert.shapes(range_)) == 6


def test_the_rule_of_thumb_is_met_only_near_the_ends() -> None:
    # C3: ((high - low) / 6)^2 is the variance of this beta where likely is (2 -+ sqrt 2) / 4 along.
    for likely in ((2 - math.sqrt(2)) / 4, (2 + math.sqrt(2)) / 4):
        assert pert.variance((0, likely, 1)) == pytest.approx(1 / 36, rel=1e-12)
    assert pert.variance((0, 0.5, 1)) == pytest.approx(1 / 28, rel=1e-12)
    assert pert.variance((0, 0, 1)) == pytest.approx(5 / 252, rel=1e-12)


@pytest.mark.parametrize("value", [0.0, 0.1, 1 / 3, 80.0, 123456.789, 1e9])
def test_a_range_without_width_is_a_plain_number(value: float) -> None:
    range_ = (value, value, value)
    assert (pert.mean(range_), pert.variance(range_)) == (value, 0)
    assert pert.shapes(range_) == (3, 3)


@given(ranges)
def test_any_range_has_a_mean_inside_and_a_variance_that_is_none_below_zero(
    range_: tuple[float, float, float],
) -> None:
    low, _, high = range_
    assert low <= pert.mean(range_) * (1 + 1e-15)
    assert pert.mean(range_) <= high * (1 + 1e-15)
    assert 0 <= pert.variance(range_) <= (high - low) ** 2 / 28 * (1 + 1e-12)
    assert all(1 <= shape <= 5 for shape in pert.shapes(range_))


@given(ranges.filter(lambda range_: range_[2] - range_[0] > 1e-6 * range_[2]))
def test_it_stays_within_the_triangle_on_the_same_three_points(
    range_: tuple[float, float, float],
) -> None:
    """It gives the likely value more weight: narrower, and the mean nearer to it."""
    low, likely, high = range_
    triangle = stats.triang((likely - low) / (high - low), loc=low, scale=high - low)
    mean, variance = triangle.stats("mv")
    assert pert.variance(range_) <= variance * (1 + 1e-9)
    assert abs(pert.mean(range_) - likely) <= abs(mean - likely) + 1e-9 * high


def test_the_second_worked_example_is_the_triangle_that_bounds_the_first() -> None:
    # P2, computed: mean 183.333, variance 1805.56, 10/50/90 % 131.62 / 177.53 / 245.23.
    assert abs(pert.mean(P1) - 150) < 183.333 - 150
    assert pert.variance(P1) < 1805.56
    wide = 245.23 - 131.62
    table = pert.quantiles([2])[0]
    low, high = 200 * np.interp([-1.2815516, 1.2815516], pert.scores(), table)
    assert high - low < wide


def test_with_likely_at_an_end_the_density_falls_like_the_fourth_power_to_the_other() -> None:
    # The limits of the shapes: 1 and 5 has 1 - (1 - x)^5 below x, so the median in closed form.
    at_low, at_high = pert.quantiles([1, 5])[:, len(pert.scores()) // 2]
    assert at_low == pytest.approx(1 - 0.5**0.2, abs=1e-7)
    assert at_high == pytest.approx(0.5**0.2, abs=1e-7)


@pytest.mark.parametrize("alpha", [1, 1 + 1e-9, 1.003, 1.5, 2, 2.71, 3, 4.4, 4.9999, 5])
def test_the_table_of_quantiles_is_scipys(alpha: float) -> None:
    scores, (table,) = pert.scores(), pert.quantiles([alpha])
    wanted = np.where(
        scores < 0,
        stats.beta.ppf(stats.norm.cdf(scores), alpha, 6 - alpha),
        stats.beta.isf(stats.norm.sf(scores), alpha, 6 - alpha),
    )
    assert np.abs(table - wanted).max() < 1e-6
    assert (np.diff(table) > 0).all()
    # Between two columns, where a straight line is taken.
    middle = (scores[1:] + scores[:-1]) / 2
    wanted = stats.beta.ppf(stats.norm.cdf(middle), alpha, 6 - alpha)
    assert np.abs((table[1:] + table[:-1]) / 2 - wanted).max() < 2e-5


@pytest.mark.parametrize("range_", RANGES)
@pytest.mark.parametrize("correlation", [0, 0.6])
def test_a_hundred_thousand_draws_follow_the_beta(
    range_: tuple[float, float, float], correlation: float
) -> None:
    # Beside it something too small to be seen, so that there is something to go together with.
    items = [Item("one", (0, 0, 0), range_), Item("two", (0, 0, 0), (0, 1e-12, 3e-12))]
    totals, _ = draw(items, Terms(80, correlation, seed=5, draws=100_000))
    assert stats.kstest(totals, beta(range_).cdf).pvalue > 0.01  # type: ignore[attr-defined]
    low, likely, high = range_
    triangle = stats.triang((likely - low) / (high - low), loc=low, scale=high - low)
    assert stats.kstest(totals, triangle.cdf).pvalue < 1e-6  # the test can tell them apart
