"""The most to pay, as lines that add up.

The value as claimed, less what is at stake in each claim times its doubt, less the cost at the
chosen percentile, less the margin; never below zero. Every amount is rounded to cents first, so the
lines sum to the result exactly.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

#: Common practice, not a standard.
STRUCTURE_FAILED = (
    "The structure failed a check. Frame and body decide, and the engine is the cheap part (common "
    "practice): let a workshop that is licensed for it look at the structure before any money "
    "moves."
)


@dataclass(frozen=True, slots=True)
class Stake:
    """What hangs on a claim.

    Attributes:
        id: The claim's.
        name: A few words for it; the id if left out.
        stake: What the car is worth less if the claim is not true, in money.
        probability: How likely the claim is true, 0 to 1.
    """

    id: str
    stake: float
    probability: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Offer:
    """The most to pay.

    Attributes:
        most_to_pay: In money, never below zero.
        lines: What each amount is, and the amount in money; they sum to `most_to_pay`.
        warning: What must be said before it; mostly empty.
    """

    most_to_pay: float
    lines: tuple[tuple[str, float], ...]
    warning: str = ""


def offer(
    value: float,
    stakes: Iterable[Stake],
    cost: float,
    margin: float,
    *,
    percentile: float,
    structure_failed: bool = False,
) -> Offer:
    """The most to pay for a car.

    Args:
        value: What it is worth if it is all it is said to be, in money.
        stakes: What hangs on each claim.
        cost: What putting right costs at that percentile, in money.
        margin: What must be left over, in money.
        percentile: Of the cost, above 0 and below 100; for the label.
        structure_failed: Whether a check of the structure failed.
    """
    amounts = [
        ("value as claimed", value),
        *((_doubted(stake), -_doubt(stake)) for stake in stakes),
        (f"cost that {percentile:g} % stay below", -cost),
        ("margin", -margin),
    ]
    # Adding 0.0 makes a plain zero of a negative one.
    lines = [(label, round(amount, 2) + 0.0) for label, amount in amounts]
    left = round(math.fsum(amount for _, amount in lines), 2) + 0.0
    if left < 0:
        lines.append(("nothing is left: raised to zero", -left))
    warning = STRUCTURE_FAILED if structure_failed else ""
    return Offer(max(0.0, left), tuple(lines), warning)


def _doubted(stake: Stake) -> str:
    """What is at stake and how much of it is in doubt, so that the amount can be told."""
    at_stake = f"{round(stake.stake):,}".replace(",", " ")
    return f"{stake.name or stake.id}: {at_stake} x {percent(1 - stake.probability)} doubt"


def _doubt(stake: Stake) -> float:
    return stake.stake * (1 - stake.probability)


def percent(share: float) -> str:
    """A share as per cent; never quite none or all unless it is."""
    if 0 < share < 0.0005:
        return "under 0.1 %"
    if 0.9995 <= share < 1:
        return "over 99.9 %"
    return f"{round(share * 100, 1):g} %"
