"""How sure one may be of a claim after its signs: Bayes in log-odds.

Posterior odds are prior odds times the likelihood ratio of each sign, so weights in decibans add
(reference pack, evidence scale, E7 to E9). Signs of one claim that share a cause are not
independent; of each such group only the strongest in size counts (of equals the first), since the
others may say the same once more. A check that was not examined gives no sign and adds nothing.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from checkrun.judge.weight import decibans
from checkrun.weigh.scale import verbal_of

#: Natural log-odds in one deciban.
NATURAL = math.log(10) / 10
#: Log-odds whose odds a float can just hold.
_MOST = math.log(sys.float_info.max)
#: Weights this near to one another, in decibans, are equal: 3 to 1 for and against are of one size.
_EQUAL = 1e-9


@dataclass(frozen=True, slots=True)
class Observed:
    """One sign of one claim, seen.

    Attributes:
        claim: Id of the claim.
        check: Id of the check it was seen at.
        result: What was seen there, as it is told.
        ratio: P(result | claim true) over P(result | claim false), above 0 and finite.
        cause: Signs of a claim with the same cause are not independent; empty if it stands alone.
    """

    claim: str
    check: str
    result: str
    ratio: float
    cause: str = ""


class Sign(NamedTuple):
    """One sign as weighed.

    Attributes:
        decibans: 10 log10 of the ratio, above 0 for the claim; of the sign alone, counted or not.
        counted: False where a stronger sign of the same cause stands for it.
    """

    check: str
    result: str
    cause: str
    ratio: float
    decibans: float
    counted: bool


@dataclass(frozen=True, slots=True)
class Belief:
    """How sure one may be of a claim.

    Attributes:
        before: Probability before looking, as given.
        after: Probability with all the counted signs.
        odds: The same as odds for the claim; at most the largest float.
        decibans: Weight of the counted signs together, apart from the probability before.
        verbal: That weight in words.
        halved: Probability if every weight were half of what it is.
        doubled: Probability if every weight were twice what it is.
        signs: All signs in the order given, counted or not.
    """

    claim: str
    before: float
    after: float
    odds: float
    decibans: float
    verbal: str
    halved: float
    doubled: float
    signs: tuple[Sign, ...]


def weigh(before: Mapping[str, float], observed: Iterable[Observed]) -> dict[str, Belief]:
    """Weigh what was seen for every claim.

    Args:
        before: By claim the probability that it is true, before looking; above 0 and below 1.
        observed: The signs that were seen, of any of these claims.

    Returns:
        A belief for every claim, in the order of `before`.

    Raises:
        ValueError: A probability not inside (0, 1), a ratio not above 0 and finite, or a sign of a
            claim that is not among those in `before`.
    """
    seen: dict[str, list[Observed]] = {claim: [] for claim in before}
    for sign in observed:
        if sign.claim not in seen:
            raise ValueError(f"a sign at `{sign.check}` is of an unknown claim, `{sign.claim}`")
        seen[sign.claim].append(sign)
    return {claim: _belief(claim, chance, seen[claim]) for claim, chance in before.items()}


def log_odds(probability: float) -> float:
    """The natural logarithm of the odds of a probability inside (0, 1)."""
    return math.log(probability) - math.log1p(-probability)


def from_log_odds(value: float) -> float:
    """The probability of natural log-odds; safe for any finite value."""
    if value >= 0:
        return 1 / (1 + math.exp(-value))
    odds = math.exp(value)
    return odds / (1 + odds)


def standing(belief: Belief) -> float:
    """The natural log-odds of a belief; they tell apart what `after` rounds to 1."""
    return log_odds(belief.before) + belief.decibans * NATURAL


def stronger(weight: float, other: float) -> bool:
    """Whether a weight in decibans is larger in size than another."""
    return abs(weight) > abs(other) + _EQUAL


def _belief(claim: str, before: float, observed: list[Observed]) -> Belief:
    if not 0 < before < 1:
        raise ValueError(f"`{claim}` is {before} before looking; it must be inside (0, 1)")
    weights = [_weight(sign) for sign in observed]
    counted = _counted(observed, weights)
    weight = math.fsum(weights[at] for at in counted)
    start, moved = log_odds(before), weight * NATURAL
    return Belief(
        claim=claim,
        before=before,
        after=from_log_odds(start + moved),
        odds=math.exp(min(start + moved, _MOST)),
        decibans=weight,
        verbal=verbal_of(weight),
        halved=from_log_odds(start + moved / 2),
        doubled=from_log_odds(start + moved * 2),
        signs=tuple(
            Sign(sign.check, sign.result, sign.cause, sign.ratio, weights[at], at in counted)
            for at, sign in enumerate(observed)
        ),
    )


def _weight(sign: Observed) -> float:
    if not 0 < sign.ratio < math.inf:
        raise ValueError(
            f"the sign at `{sign.check}` has a ratio of {sign.ratio}; it must be above 0 and finite"
        )
    return decibans(sign.ratio)


def _counted(observed: list[Observed], weights: list[float]) -> set[int]:
    """The places of the signs that count: those that stand alone, and the strongest of a cause."""
    counted: set[int] = set()
    strongest: dict[str, int] = {}
    for at, sign in enumerate(observed):
        if not sign.cause:
            counted.add(at)
        elif sign.cause not in strongest or stronger(weights[at], weights[strongest[sign.cause]]):
            strongest[sign.cause] = at
    return counted.union(strongest.values())
