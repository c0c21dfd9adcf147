"""The percentiles of what it costs, by a simulation that gives the same answer everywhere.

The amounts go together by a one-factor Gaussian copula: each has the normal score
sqrt(c) Z + sqrt(1 - c) e, with one Z for the whole draw and an e of its own, and takes the quantile
of its beta-PERT at that score. Every two scores have the correlation c; it is chosen so that the
covariances of the amounts add up to those of the exact moments. Two amounts of different shape
can't be quite as closely tied as a correlation of 1 asks for: c = 1 is then as near as it comes.

The draws come from numpy's `RandomState`, whose stream is frozen. Each item has a stream of its
own, made of the seed and its id, so it draws the same when others come, go or change place. What
comes out is rounded to ten digits, far above what machines may differ in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from checkrun.weigh import pert
from checkrun.weigh.cost import Item, Sum, Terms, sum_of

if TYPE_CHECKING:
    from numpy import float64
    from numpy.random import RandomState
    from numpy.typing import NDArray

    Floats = NDArray[float64]

#: Bars of the histogram.
BINS = 24
#: How far the series of the covariance goes; the next term is below 1e-6 of the first.
_ORDERS = 12


@dataclass(frozen=True, slots=True)
class Spread:
    """What the draws came to, in money.

    Attributes:
        p50: The median.
        p80: The cost that eight of ten such cars stay below.
        p90: The cost that nine of ten stay below.
        at: The cost at the percentile of the terms.
        standard_error: Of `at`, for the draws are only so many.
        histogram: How many draws fall in each of `BINS` equal steps from `low` to `high`.
        low: The least draw.
        high: The largest draw.
        correlation: What the amounts really have, on the average of their covariances; less than
            was asked for only near 1, and 0 where no two amounts can go together.
    """

    p50: float
    p80: float
    p90: float
    at: float
    standard_error: float
    histogram: tuple[int, ...]
    low: float
    high: float
    correlation: float


def simulate(items: Sequence[Item], terms: Terms) -> Spread:
    """The percentiles of the sum.

    Raises:
        ValueError: If there is not one draw, or the seed is none.
    """
    import numpy as np

    totals, correlation = draw(items, terms)
    totals.sort()
    low, high = float(totals[0]), float(totals[-1])
    if high > low:
        bins = ((totals - low) * (BINS / (high - low))).astype(int)
        counts = np.bincount(np.minimum(bins, BINS - 1), minlength=BINS)
    else:
        counts = np.bincount([0], [terms.draws], BINS).astype(int)
    share = terms.percentile / 100
    # The order statistics one standard deviation of the rank to either side.
    ranks = math.sqrt(terms.draws * share * (1 - share)) / terms.draws
    error = (_at(totals, share + ranks) - _at(totals, share - ranks)) / 2
    return Spread(
        p50=_steady(_at(totals, 0.5)),
        p80=_steady(_at(totals, 0.8)),
        p90=_steady(_at(totals, 0.9)),
        at=_steady(_at(totals, share)),
        standard_error=_steady(error),
        histogram=tuple(counts.tolist()),
        low=_steady(low),
        high=_steady(high),
        correlation=_steady(correlation),
    )


def draw(items: Sequence[Item], terms: Terms) -> tuple[Floats, float]:
    """The sums as drawn, in the order drawn, and the correlation they really have.

    Raises:
        ValueError: If there is not one draw, or the seed is none.
    """
    import numpy as np

    if terms.draws < 1:
        raise ValueError(f"{terms.draws} draws tell nothing")
    whole = sum_of(items, terms.rate)
    wide = [at for at, amount in enumerate(whole.amounts) if amount.sd > 0]
    tables = dict(
        zip(
            wide,
            pert.quantiles([pert.shapes(whole.amounts[at].range)[0] for at in wide]),
            strict=True,
        )
    )
    tie, correlation = _tie(whole, tables, terms.correlation)
    # An item's stream has the bytes of its id behind the seed, and 256 is no byte.
    common = np.random.RandomState([terms.seed, 256]).standard_normal(terms.draws)
    # Scores are kept as columns of the table from here on.
    common *= math.sqrt(tie) * pert.STEPS
    common += pert.REACH * pert.STEPS
    own = math.sqrt(1 - tie) * pert.STEPS
    totals = np.zeros(terms.draws)

    def drawn(at: int, stream: RandomState) -> Any:
        low, _, high = whole.amounts[at].range
        if at not in tables:
            return low
        values = _drawn(tables[at], common, own, stream)
        values *= high - low
        values += low
        return values

    for queue in whole.queues:
        free: Any = True
        for at in queue:
            item = items[at]
            stream = np.random.RandomState([terms.seed, *item.id.encode("utf-8", "surrogatepass")])
            occurs: Any = True
            if item.chance < 1:
                occurs = stream.random_sample(terms.draws) < item.chance
            totals += drawn(2 * at + 1, stream) * occurs
            # Last, so that what is drawn for this item does not hang on the others of its group.
            if whole.amounts[2 * at].counts > 0:
                totals += drawn(2 * at, stream) * (free & occurs)
            free = free & np.logical_not(occurs)
    return totals, correlation


def _drawn(table: Floats, common: Floats, own: float, stream: RandomState) -> Floats:
    """Draws of one amount on [0, 1]: the table read at each draw's column, straight between two."""
    import numpy as np

    columns = stream.standard_normal(len(common))
    columns *= own
    columns += common
    np.clip(columns, 0, len(table) - 1, out=columns)
    whole = columns.astype(np.intp)
    columns -= whole
    steps = np.append(np.diff(table), 0.0)
    columns *= steps[whole]
    columns += table[whole]
    return columns


def _tie(whole: Sum, tables: dict[int, Floats], wanted: float) -> tuple[float, float]:
    """The correlation of the scores that gives the amounts the wanted one, and what it gives.

    A table is a series of Hermite polynomials of the score, and the covariance of two amounts is
    the sum over the orders of their two coefficients times the tie to the power of the order.
    """
    import numpy as np

    asked = whole.pairs([amount.sd for amount in whole.amounts])
    all_spread = math.fsum(amount.counts * amount.sd for amount in whole.amounts)
    # Where no two can go together, what is left here is rounding.
    if not wanted or asked <= 1e-9 * all_spread * all_spread:
        return 0.0, 0.0
    scores = pert.scores()
    weights = np.exp(-scores * scores / 2) / (math.sqrt(2 * math.pi) * pert.STEPS)
    polynomials = [weights, scores * weights]
    for order in range(2, _ORDERS + 1):
        after = scores * polynomials[-1] - math.sqrt(order - 1) * polynomials[-2]
        polynomials.append(after / math.sqrt(order))
    # A row of coefficients for each order, a column for each table; no BLAS, whose threads may sum
    # in any order.
    rows = np.array([*tables.values()])
    coefficients = np.einsum("on,tn->ot", np.array(polynomials[1:]), rows).tolist()
    given: list[float] = []
    for of_order in coefficients:
        values = [0.0] * len(whole.amounts)
        for at, coefficient in zip(tables, of_order, strict=True):
            low, _, high = whole.amounts[at].range
            values[at] = (high - low) * coefficient
        given.append(whole.pairs(values))

    def reached(tie: float) -> float:
        return math.fsum(value * tie**order for order, value in enumerate(given, start=1)) / asked

    least, most = 0.0, 1.0
    if reached(most) <= wanted:
        return 1.0, reached(most)
    for _ in range(60):
        middle = (least + most) / 2
        least, most = (middle, most) if reached(middle) < wanted else (least, middle)
    return most, wanted


def _at(ordered: Floats, share: float) -> float:
    """The quantile: between two order statistics in a straight line."""
    place = min(1.0, max(0.0, share)) * (len(ordered) - 1)
    below = min(int(place), len(ordered) - 1)
    above = min(below + 1, len(ordered) - 1)
    low, high = float(ordered[below]), float(ordered[above])
    return low + (high - low) * (place - below)


def _steady(value: float) -> float:
    """Ten digits, which do not hang on how a machine rounds or adds."""
    return float(f"{value:.10g}")
