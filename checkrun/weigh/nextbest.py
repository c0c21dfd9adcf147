"""What to look at next: the expected information of each open check, in bits per minute.

What a check is expected to tell of a claim is the mean, over its possible results, of the relative
entropy of what would be believed after it to what is believed now (D. V. Lindley 1956, "On a
measure of the information provided by an experiment"; reference pack, evidence scale, E12). For a
sign that stands alone this is the mutual information of claim and result: entropy now less mean
entropy after.

Where the sign shares its cause with one that counts already, only a stronger result moves the
belief, and only by what it is stronger; a weaker one tells nothing. There the relative entropy can
still not be negative, as a difference of entropies could, and a result that would throw a firm
belief into doubt tells much, as it must.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from checkrun.judge.weight import decibans
from checkrun.weigh.evidence import NATURAL, Belief, from_log_odds, standing, stronger

#: How far the probabilities of all results may be from 1 together, for the rounding of each.
ROUNDING = 0.005 + 1e-9

_BIT = math.log(2)
#: Bits per minute that differ by no more than this are equal.
_EQUAL = 1e-12


@dataclass(frozen=True, slots=True)
class Prospect:
    """A sign that an open check could show.

    Attributes:
        minutes: What looking takes, above 0.
        outcomes: For each possible result P(result | claim true) and P(result | claim false), all
            above 0; each of the two sums to 1, but for `ROUNDING`.
        cause: As with `Observed`.
    """

    claim: str
    check: str
    minutes: float
    outcomes: tuple[tuple[float, float], ...]
    cause: str = ""


class Next(NamedTuple):
    """What one open check is expected to tell of one claim."""

    check: str
    claim: str
    bits: float
    minutes: float
    bits_per_minute: float


def next_best(
    beliefs: Mapping[str, Belief],
    prospects: Iterable[Prospect],
    distance: Callable[[str], float] | None = None,
) -> tuple[Next, ...]:
    """The open checks, for each claim that they speak of, what tells most per minute first.

    Args:
        beliefs: What is believed now, by claim.
        prospects: The signs of the open checks.
        distance: How far it is to walk to a check, to settle ties; then the order given does.

    Raises:
        ValueError: A check that takes no time, a probability that can't be, or an unknown claim.
    """
    states: dict[str, _State] = {}
    rows: list[Next] = []
    for prospect in prospects:
        claim, check, minutes = prospect.claim, prospect.check, prospect.minutes
        state = states.get(claim)
        if state is None:
            if claim not in beliefs:
                raise ValueError(f"a sign at `{check}` is of an unknown claim, `{claim}`")
            state = states[claim] = _State(beliefs[claim])
        if not 0 < minutes < math.inf:
            raise ValueError(f"`{check}` takes {minutes} minutes; more than 0 are needed")
        bits = _bits(state, prospect)
        rows.append(Next(check, claim, bits, minutes, bits / minutes))
    return tuple(_ordered(rows, distance))


class _State:
    """What the expected information needs to know of a belief, worked out once a claim.

    The probabilities that the claim is true and false are kept both: one less the other would be
    lost where it is very small.
    """

    __slots__ = ("counted", "false", "now", "true")

    def __init__(self, belief: Belief) -> None:
        self.now = standing(belief)
        self.true, self.false = from_log_odds(self.now), from_log_odds(-self.now)
        self.counted = {
            sign.cause: sign.decibans for sign in belief.signs if sign.counted and sign.cause
        }


def _bits(state: _State, prospect: Prospect) -> float:
    all_true = all_false = 0.0
    for true, false in prospect.outcomes:
        if true <= 0 or false <= 0:
            raise ValueError(f"`{prospect.check}` has a probability that is not above 0")
        all_true += true
        all_false += false
    if not (abs(all_true - 1) <= ROUNDING and abs(all_false - 1) <= ROUNDING):
        raise ValueError(f"the probabilities at `{prospect.check}` do not sum to 1")
    there = state.counted.get(prospect.cause) if prospect.cause else None
    if there is None:
        told = _alone(state, prospect.outcomes, all_true, all_false)
    else:
        told = _beside(state, prospect.outcomes, all_true, all_false, there)
    return max(0.0, told / _BIT)


def _alone(
    state: _State, outcomes: Sequence[tuple[float, float]], all_true: float, all_false: float
) -> float:
    """The mutual information of claim and result, in nats."""
    log = math.log
    share_true, share_false = state.true / all_true, state.false / all_false
    # What dividing every probability by its sum takes off is the same for all of them.
    told = -state.true * log(all_true) - state.false * log(all_false)
    for true, false in outcomes:
        both_true, both_false = share_true * true, share_false * false
        if both_true + both_false > 0:  # what is too rare for a float tells nothing
            chance = log(both_true + both_false)
            told += both_true * (log(true) - chance) + both_false * (log(false) - chance)
    return told


def _beside(
    state: _State,
    outcomes: Sequence[tuple[float, float]],
    all_true: float,
    all_false: float,
    there: float,
) -> float:
    """The mean relative entropy, in nats, beside a sign of that many decibans that counts now."""
    share_true, share_false = state.true / all_true, state.false / all_false
    told = 0.0
    for true, false in outcomes:
        weight = decibans(true) - decibans(false)
        if stronger(weight, there):
            after = state.now + (weight - there) * NATURAL
            chance = share_true * true + share_false * false
            told += chance * _relative_entropy(after, state.now)
    return told


def _relative_entropy(after: float, now: float) -> float:
    """Of a belief with the log-odds `after` to one with the log-odds `now`, in nats."""
    # With p the probability of log-odds x: log p = -softplus(-x), log(1 - p) = log p - x.
    return from_log_odds(-after) * (now - after) + _softplus(-now) - _softplus(-after)


def _softplus(value: float) -> float:
    """log(1 + exp(value)), for any value."""
    return max(value, 0.0) + math.log1p(math.exp(-abs(value)))


def _ordered(rows: list[Next], distance: Callable[[str], float] | None) -> list[Next]:
    """What tells most per minute first, each run of equals by the way to walk."""
    worth = [row.bits_per_minute for row in rows]
    places = sorted(range(len(rows)), key=worth.__getitem__, reverse=True)
    ordered: list[int] = []
    run: list[int] = []
    for at in places:
        if run and worth[run[0]] - worth[at] > _EQUAL:
            ordered += run if len(run) == 1 else _nearest_first(run, rows, distance)
            run = []
        run.append(at)
    ordered += _nearest_first(run, rows, distance)
    return [rows[at] for at in ordered]


def _nearest_first(
    run: list[int], rows: list[Next], distance: Callable[[str], float] | None
) -> list[int]:
    if distance is None:
        return sorted(run)
    return sorted(run, key=lambda at: (distance(rows[at].check), at))
