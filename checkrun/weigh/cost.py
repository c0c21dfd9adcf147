"""What putting things right costs: the exact mean and standard deviation, and what drives them.

The sum has two amounts for each item, its labour (hours at the rate) and its parts. Each is a
beta-PERT.

- An item occurs with its chance, independently of the others.
- The amounts of every two of them have the same Pearson correlation, since one rough car is rough
  everywhere.
- Items of one `together` group share their labour: the group's items stand in order of their mean
  labour, largest first, and the labour of one counts if it occurs and none before it does.

Plain Python without numpy, in operations that come out alike on every machine.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from checkrun.weigh import pert
from checkrun.weigh.pert import Range


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to put right.

    Attributes:
        id: Unlike that of every other item.
        hours: Hours of work: low, likely and high.
        parts: Parts, in money: low, likely and high.
        chance: How likely it has to be put right, 0 to 1.
        together: The group it shares its labour with; empty for none.
    """

    id: str
    hours: Range
    parts: Range
    chance: float = 1.0
    together: str = ""


@dataclass(frozen=True, slots=True)
class Terms:
    """What a sum is reckoned with.

    Attributes:
        rate: What an hour of work costs, in the currency of the parts.
        correlation: Of every two amounts, 0 to 1.
        seed: Of the simulation, 0 to 2^32 - 1.
        draws: How often it draws the sum.
        percentile: Which percentile of the sum is taken for the offer, above 0 and below 100.
    """

    rate: float
    correlation: float = 0.2
    seed: int = 1
    draws: int = 20_000
    percentile: float = 80.0


@dataclass(frozen=True, slots=True)
class Driver:
    """What one item has to do with the sum.

    Attributes:
        id: The item's.
        mean: What it adds to the mean, in money.
        share: Its share of the variance, cov(item, sum) / var(sum); below 0 where it steadies the
            sum, as labour may that counts only when a larger one does not.
    """

    id: str
    mean: float
    share: float


@dataclass(frozen=True, slots=True)
class Moments:
    """The sum, exactly.

    Attributes:
        mean: In money.
        sd: The standard deviation, in money.
        drivers: The items by their share, largest first. The shares sum to 1, or are all 0 where
            the sum can't vary.
    """

    mean: float
    sd: float
    drivers: tuple[Driver, ...]


@dataclass(frozen=True, slots=True)
class Amount:
    """One amount of the sum: the labour or the parts of an item.

    Attributes:
        range: In money.
        counts: How likely it counts.
        mean: In money, given that it counts.
        sd: In money, given that it counts.
    """

    range: Range
    counts: float
    mean: float
    sd: float


@dataclass(frozen=True, slots=True)
class Sum:
    """The amounts and how their occurrences hang together.

    Attributes:
        amounts: The labour of item k at 2 k, its parts at 2 k + 1.
        queues: The items of each group in which more than one may occur, by number, in the order
            in which their labour counts. An item without a group is a queue of its own.
        ties: Two amounts whose occurrences are not independent, and the covariance of these.
    """

    amounts: tuple[Amount, ...]
    queues: tuple[tuple[int, ...], ...]
    ties: tuple[tuple[int, int, float], ...]

    def pairs(self, values: Sequence[float]) -> float:
        """The sum over every two different amounts of P(both count) value value, both ways round.

        Args:
            values: One for each amount.
        """
        weighted = [
            amount.counts * value for amount, value in zip(self.amounts, values, strict=True)
        ]
        whole = math.fsum(weighted)
        tied = math.fsum(tie * values[one] * values[two] for one, two, tie in self.ties)
        return whole * whole - math.fsum(value * value for value in weighted) + 2 * tied


def moments(items: Sequence[Item], terms: Terms) -> Moments:
    """The mean, the standard deviation and the drivers of the sum.

    With B whether an amount X counts, cov(B X, B' X') is
    E[B B'] (E[X] E[X'] + r sd sd') - E[B] E[B'] E[X] E[X'], and var(B X) is
    E[B] sd^2 + E[B] (1 - E[B]) E[X]^2.
    """
    whole = sum_of(items, terms.rate)
    amounts, r = whole.amounts, terms.correlation
    spread = [amount.counts * amount.sd for amount in amounts]
    all_spread = math.fsum(spread)
    # The covariance of each amount with the sum, as terms to add up.
    with_sum = [
        [
            amount.counts * amount.sd * amount.sd,
            amount.counts * (1 - amount.counts) * amount.mean * amount.mean,
            r * own * (all_spread - own),
        ]
        for amount, own in zip(amounts, spread, strict=True)
    ]
    for at, other, tie in whole.ties:
        one, two = amounts[at], amounts[other]
        both = tie * (one.mean * two.mean + r * one.sd * two.sd)
        with_sum[at].append(both)
        with_sum[other].append(both)
    shared = [math.fsum([*with_sum[2 * at], *with_sum[2 * at + 1]]) for at in range(len(items))]
    means = [
        math.fsum(amount.counts * amount.mean for amount in amounts[2 * at : 2 * at + 2])
        for at in range(len(items))
    ]
    variance = max(0.0, math.fsum(shared))
    drivers = [
        Driver(item.id, mean, share / variance if variance > 0 else 0.0)
        for item, mean, share in zip(items, means, shared, strict=True)
    ]
    drivers.sort(key=lambda driver: (-driver.share, -driver.mean))
    return Moments(math.fsum(means), math.sqrt(variance), tuple(drivers))


def sum_of(items: Sequence[Item], rate: float) -> Sum:
    """The amounts of some items and how their occurrences hang together."""
    ranges = [_in_money(item.hours, rate) for item in items]
    queues = _queues(items, ranges)
    counts = [0.0] * len(items)
    ties: list[tuple[int, int, float]] = []
    for queue in queues:
        free = 1.0
        for place, at in enumerate(queue):
            counts[at] = free * items[at].chance
            free *= 1 - items[at].chance
            ties.append((2 * at, 2 * at + 1, counts[at] * (1 - items[at].chance)))
            # Never the labour of both, nor this one's where an earlier item occurs.
            for before in queue[:place]:
                ties.append((2 * before, 2 * at, -counts[before] * counts[at]))
                ties.append((2 * before + 1, 2 * at, -items[before].chance * counts[at]))
    amounts: list[Amount] = []
    for item, labour, labour_counts in zip(items, ranges, counts, strict=True):
        amounts.append(_amount(labour, labour_counts))
        amounts.append(_amount(item.parts, item.chance))
    return Sum(tuple(amounts), queues, tuple(tie for tie in ties if tie[2]))


def _in_money(hours: Range, rate: float) -> Range:
    low, likely, high = hours
    return low * rate, likely * rate, high * rate


def _amount(range_: Range, counts: float) -> Amount:
    return Amount(range_, counts, pert.mean(range_), math.sqrt(pert.variance(range_)))


def _queues(items: Sequence[Item], labour: Sequence[Range]) -> tuple[tuple[int, ...], ...]:
    groups: dict[str, list[int]] = {}
    alone: list[tuple[int, ...]] = []
    for at, item in enumerate(items):
        if item.together:
            groups.setdefault(item.together, []).append(at)
        else:
            alone.append((at,))
    # By name where two cost the same, so that the order of the items makes no difference.
    for group in groups.values():
        group.sort(key=lambda at: (-pert.mean(labour[at]), items[at].id))
    return (*alone, *(tuple(group) for group in groups.values()))
