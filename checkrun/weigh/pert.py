"""Three-point ranges: a low, a most likely and a high value as a beta-PERT.

On [low, high] it is the beta distribution with alpha = 1 + 4 (likely - low) / (high - low) and
alpha + beta = 6; its mean is (low + 4 likely + high) / 6 (reference pack C1, C2). The variance used
everywhere here is that of this very distribution, (mean - low) (high - mean) / 7, and not the
older rule of thumb ((high - low) / 6)^2, which it meets only where likely lies near 15 % or 85 % of
the way (reference pack C3).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray

#: Low, likely and high.
Range = tuple[float, float, float]

#: The table of quantiles goes from -7 to 7 standard normal scores, 32 steps to the score. Beyond it
#: is one draw in 10^11; between two rows the straight line is off by 2e-5 of the range at most.
REACH, STEPS = 7, 32
_CELLS = 256


def mean(range_: Range) -> float:
    """The mean of low <= likely <= high, in their unit."""
    low, likely, high = range_
    return low + (4 * (likely - low) + (high - low)) / 6


def variance(range_: Range) -> float:
    """The variance, in their unit squared; 0 where low and high are the same."""
    low, likely, high = range_
    up, width = likely - low, high - low
    # (mean - low)(high - mean) / 7 multiplied out: rounding can't make it negative.
    return (4 * up + width) * (4 * (width - up) + width) / 252


def shapes(range_: Range) -> tuple[float, float]:
    """Alpha and beta; 3 and 3 for a range without width, whose shape does not matter."""
    low, likely, high = range_
    if high <= low:
        return 3.0, 3.0
    alpha = 1 + 4 * min(1.0, (likely - low) / (high - low))
    return alpha, 6 - alpha


def scores() -> NDArray[float64]:
    """The standard normal scores at which the table has its columns, evenly spaced."""
    import numpy as np

    return np.arange(-REACH * STEPS, REACH * STEPS + 1) / STEPS


def quantiles(alphas: Sequence[float]) -> NDArray[float64]:
    """Standard normal score -> quantile on [0, 1] of the beta with alpha and 6 - alpha.

    Args:
        alphas: Each from 1 to 5.

    Returns:
        A row for each alpha, a column for each of `scores()`; rising along each row.

    Source: no table; the density is integrated numerically, right to 1e-6 (tests hold it against
    `scipy.stats.beta.ppf`).
    """
    import numpy as np

    lower = _lower_half(np.array(alphas, dtype=float))
    # The upper half of one is the lower half of its mirror image.
    upper = _lower_half(6 - np.array(alphas, dtype=float))
    logits = np.concatenate([lower, -upper[:, -2::-1]], axis=1)
    found: NDArray[float64] = 1 / (1 + np.exp(-logits))
    return found


def _lower_half(alpha: Any) -> Any:
    """The logits of the quantiles for the scores from -REACH to 0.

    In the logit y the density is exp(alpha y) / (1 + exp(y))^6 / B: smooth, with a tail that is
    known, so that few cells do. They are summed by the trapezoid rule with its correction for the
    slopes at both ends, and the sum is inverted by a cubic with the right slopes.
    """
    import numpy as np

    wanted = np.array(
        [math.erfc(n / STEPS / math.sqrt(2)) / 2 for n in range(REACH * STEPS, -1, -1)]
    )
    log_beta = np.array([math.lgamma(a) + math.lgamma(6 - a) - math.lgamma(6) for a in alpha])
    # From below the lowest quantile to above the median, which lies near alpha : beta.
    first = (math.log(wanted[0]) + log_beta + np.log(alpha)) / alpha - 1
    last = np.log(alpha / (6 - alpha)) + 0.5
    width = ((last - first) / _CELLS)[:, None]
    y = first[:, None] + width * np.arange(_CELLS + 1)
    odds = np.exp(y)
    density = np.exp(alpha[:, None] * y - 6 * np.log1p(odds) - log_beta[:, None])
    slope = density * (alpha[:, None] - 6 * odds / (1 + odds))
    cells = width / 2 * (density[:, 1:] + density[:, :-1])
    cells -= width * width / 12 * (slope[:, 1:] - slope[:, :-1])
    tail = density[:, :1] / alpha[:, None]
    below = np.concatenate([tail, tail + np.cumsum(cells, axis=1)], axis=1)
    found = np.empty((len(alpha), len(wanted)))
    for row, sums in enumerate(below):
        at = np.clip(np.searchsorted(sums, wanted) - 1, 0, _CELLS - 1)
        rise = sums[at + 1] - sums[at]
        part = (wanted - sums[at]) / rise
        step = width[row, 0]
        slope_in, slope_out = rise / density[row, at] / step, rise / density[row, at + 1] / step
        rest = 1 - part
        found[row] = y[row, at] + step * part * (
            part * (3 - 2 * part) + rest * (rest * slope_in - part * slope_out)
        )
    return found
