"""The weight of what a mark says: likelihood ratios in decibans and in words."""

from __future__ import annotations

import math
from decimal import Decimal

#: How often a part that is the first one is misread: its stamp then seems to disagree, its date to
#: lie outside the window. Source: common practice; a `first` given with the mark goes before it.
MISREAD = Decimal("0.01")
MISREAD_SOURCE = "one reading in 100 of a first part goes wrong: common practice"
GOOD = "weight in decibans = 10 log10 of the likelihood ratio, I. J. Good (verified)"


def decibans(ratio: float) -> float:
    """The weight of a likelihood ratio above 0. Source: I. J. Good, 10 log10 (verified)."""
    return 10 * math.log10(ratio) + 0.0


def said_weight(ratio: float) -> str:
    """A likelihood ratio as it is told: `weighs 50 to 1 for a first part (+17.0 decibans)`."""
    times = 1 / ratio if ratio < 1 else ratio
    if times < 1.005:
        return "weighs nothing either way (0 decibans)"
    side = "against" if ratio < 1 else "for"
    figure = f"{times:,.0f}" if times >= 10 else f"{times:.1f}"
    return f"weighs {figure} to 1 {side} a first part ({decibans(ratio):+.1f} decibans)"


def ratio_within(first: Decimal | None, chance: float) -> float:
    """How much likelier a first part is to agree, or to lie in the window, than another part.

    Args:
        first: P(agree | first) where the mark gives it, above 0; 1 otherwise.
        chance: P(agree | not first), 0 < chance <= 1.
    """
    return float(1 if first is None else first) / chance


def ratio_without(first: Decimal | None, chance: float) -> float:
    """How much likelier a first part is to disagree, or to lie outside, than another part.

    A first part that disagrees has been misread: 1 - P(agree | first), or `MISREAD` where that
    is not given. If every other part agrees too, disagreeing says nothing: 1.
    """
    misread = MISREAD if first is None or first == 1 else 1 - first
    return float(misread) / (1 - chance) if chance < 1 else 1.0
