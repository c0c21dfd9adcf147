"""Means, medians and the modified z-score, in exact numbers as long as they can be."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

#: Upper quartile of the standard normal, as in the modified z-score of Iglewicz and Hoaglin
#: (reference pack O1, verified; the handbook section 1.3.5.17 itself from memory).
QUARTILE = 0.6745
#: Beyond this a value is a possible outlier (reference pack O2, verified).
OUTLIER = 3.5
#: The score falls back on the mean absolute deviation if more than half the values are equal
#: (Iglewicz and Hoaglin, from memory): 1.253314 times it estimates the standard deviation.
MEAN_DEVIATION = 1.253314


def mean(values: Sequence[Decimal]) -> Decimal:
    """The mean of at least one value."""
    return sum(values, Decimal(0)) / len(values)


def median(values: Sequence[Decimal]) -> Decimal:
    """The middle value, or the mean of the two in the middle, of at least one."""
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def mad(values: Sequence[Decimal]) -> Decimal:
    """The median of the absolute deviations from the median."""
    middle = median(values)
    return median([abs(value - middle) for value in values])


def modified_z(values: Sequence[Decimal]) -> list[float]:
    """The modified z-score of each value; 0 for all if they do not spread at all."""
    middle = median(values)
    spread = mad(values)
    if spread:
        return [QUARTILE * float((value - middle) / spread) for value in values]
    average = mean([abs(value - middle) for value in values])
    if not average:
        return [0.0] * len(values)
    return [float((value - middle) / average) / MEAN_DEVIATION for value in values]
