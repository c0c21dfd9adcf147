"""What a walk's findings cost to put right, and so the most to pay."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from checkrun.route.model import CHANCE, Check, Group, Result
from checkrun.session.fold import Walk
from checkrun.session.valuing import OwnCost, Range, Terms, figures, own_of, terms_of
from checkrun.weigh import cost
from checkrun.weigh.cost import Item, Moments, moments
from checkrun.weigh.evidence import Belief
from checkrun.weigh.offer import STRUCTURE_FAILED, Offer, Stake, offer
from checkrun.weigh.simulate import Spread, simulate

#: Every session draws the same stream, so that one record always gives one answer.
SEED = 1
DRAWS = 20_000
_FOUND = (Result.FAIL, Result.CONCERN)


@dataclass(frozen=True, slots=True)
class Line:
    """One check that may have to be put right.

    Attributes:
        result: The check's result; None while it is open.
        hours: Low, likely and high.
        parts: Low, likely and high.
        chance: How likely it has to be put right.
        own: What of it the person said.
        mean: What it adds to the mean, in money; 0 if the seller puts it right.
        share: Its share of the variance of the sum.
    """

    check: Check
    result: Result | None
    hours: Range
    parts: Range
    chance: float
    own: OwnCost
    mean: float = 0.0
    share: float = 0.0

    @property
    def unpriced(self) -> bool:
        """Whether neither the route nor the person says what it costs."""
        return self.check.cost is None and self.own.hours is None and self.own.parts is None


@dataclass(frozen=True)
class Bill:
    """The costs of a walk.

    Attributes:
        terms: What is reckoned with.
        lines: What the buyer may have to pay for: findings before what was not looked at, what
            drives the spread most first.
        seller: What the seller puts right.
        unpriced: Findings that neither the route nor the person gives a cost.
        moments: The sum, exactly.
        stakes: What hangs on each claim, in money; empty without a price.
        structure_failed: Whether a check of the structure failed.
    """

    terms: Terms
    lines: tuple[Line, ...]
    seller: tuple[Line, ...]
    unpriced: tuple[Line, ...]
    moments: Moments
    stakes: tuple[Stake, ...]
    structure_failed: bool

    @property
    def groups(self) -> tuple[tuple[Group, float], ...]:
        """The mean of each group, in money, in the order in which findings are ranked."""
        means: dict[Group, float] = {}
        for line in self.lines:
            means[line.check.group] = means.get(line.check.group, 0.0) + line.mean
        return tuple((group, means[group]) for group in Group if group in means)

    @property
    def value(self) -> Decimal | None:
        """What the car is worth as claimed: what the person said, else the price asked."""
        return self.terms.asking if self.terms.value is None else self.terms.value

    @property
    def warning(self) -> str:
        """What must be said before any sum; mostly empty."""
        return STRUCTURE_FAILED if self.structure_failed else ""

    @cached_property
    def spread(self) -> Spread:
        """The percentiles, by simulation; it takes a moment, so it is done once and when asked."""
        return simulate(_items(self.lines), reckoned(self.terms))

    @cached_property
    def offer(self) -> Offer | None:
        """The most to pay; None while no price is known."""
        terms, value = self.terms, self.value
        if value is None:
            return None
        return offer(
            float(value),
            self.stakes,
            self.spread.at,
            float(terms.margin),
            percentile=float(terms.percentile),
            structure_failed=self.structure_failed,
        )


def bill(walk: Walk, beliefs: Mapping[str, Belief]) -> Bill:
    """The costs of a walk as it stands.

    A fail is certain to need putting right; a concern as likely as the route says, or the person;
    what was not examined, or not yet, as often as the route says such cars have the fault.
    """
    terms = terms_of(walk.terms, walk.facts)
    lines: list[Line] = []
    unpriced: list[Line] = []
    structure_failed = False
    for check_id in walk.sequence:
        check, state = walk.route.checks[check_id], walk.state(check_id)
        result = None if state.answer is None else state.answer.result
        if result is Result.FAIL and check.group is Group.STRUCTURE:
            structure_failed = True
        own = own_of(state.own)
        chance = _chance(check, result, own)
        # What a person takes to be no trouble stays in sight, so that it can be said otherwise.
        if result is Result.PASS or not (chance or own.chance is not None):
            continue
        hours, parts = figures(check.cost, own)
        line = Line(check, result, hours, parts, chance, own)
        if own.seller or not line.unpriced:
            lines.append(line)
        elif result in _FOUND:
            unpriced.append(line)
    payer = [line for line in lines if not line.own.seller]
    found = moments(_items(payer), reckoned(terms))
    by_id = {driver.id: driver for driver in found.drivers}
    place = {driver.id: at for at, driver in enumerate(found.drivers)}
    payer.sort(key=lambda line: (line.result not in _FOUND, place[line.check.id]))
    return Bill(
        terms=terms,
        lines=tuple(_told(line, by_id[line.check.id]) for line in payer),
        seller=tuple(line for line in lines if line.own.seller),
        unpriced=tuple(unpriced),
        moments=found,
        stakes=_stakes(walk, terms, beliefs),
        structure_failed=structure_failed,
    )


def _chance(check: Check, result: Result | None, own: OwnCost) -> float:
    """How likely a check has to be put right."""
    if own.chance is not None:
        return float(own.chance)
    if result is Result.FAIL:
        return 1.0
    if result is Result.CONCERN:
        return float(CHANCE if check.cost is None else check.cost.chance)
    rate = None if check.cost is None else check.cost.base_rate
    return 0.0 if rate is None else float(rate)


def _told(line: Line, driver: cost.Driver) -> Line:
    return Line(
        line.check,
        line.result,
        line.hours,
        line.parts,
        line.chance,
        line.own,
        driver.mean,
        driver.share,
    )


def _items(lines: list[Line] | tuple[Line, ...]) -> list[Item]:
    return [
        Item(
            line.check.id,
            _floats(line.hours),
            _floats(line.parts),
            line.chance,
            "" if line.check.cost is None else line.check.cost.together,
        )
        for line in sorted(lines, key=lambda line: line.check.id)
    ]


def _floats(range_: Range) -> tuple[float, float, float]:
    low, likely, high = range_
    return float(low), float(likely), float(high)


def reckoned(terms: Terms) -> cost.Terms:
    """The terms of a session as the sums take them."""
    return cost.Terms(
        float(terms.rate),
        float(terms.correlation),
        SEED,
        DRAWS,
        float(terms.percentile),
    )


def _stakes(walk: Walk, terms: Terms, beliefs: Mapping[str, Belief]) -> tuple[Stake, ...]:
    value = terms.asking if terms.value is None else terms.value
    if value is None:
        return ()
    return tuple(
        Stake(claim.id, float(value * claim.matters), beliefs[claim.id].after, claim.name)
        for claim in walk.route.claims
    )
