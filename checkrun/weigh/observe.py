"""What a walk has seen of its claims, and what its open checks could still show."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from math import dist

from checkrun.judge.atcheck import car_of
from checkrun.judge.judgement import Car
from checkrun.judge.kinds import judge_text
from checkrun.judge.prospect import WEIGHED, outcomes
from checkrun.route.model import Check, Claim, Result, Sign
from checkrun.session.fold import CheckState, Walk
from checkrun.weigh.evidence import Belief, Observed, weigh
from checkrun.weigh.nextbest import Next, Prospect, next_best


@dataclass(frozen=True, slots=True)
class Weighed:
    """The claims of a walk as they stand.

    Attributes:
        claims: The route's claims by id.
        beliefs: How sure one may be of each.
        next: The open checks by what they would tell a minute, over all claims.
    """

    claims: Mapping[str, Claim]
    beliefs: Mapping[str, Belief]
    next: tuple[Next, ...]

    def next_of(self, claim: str) -> tuple[Next, ...]:
        """The open checks that tell of one claim."""
        return tuple(found for found in self.next if found.claim == claim)


def weighed(walk: Walk) -> Weighed:
    """The claims of a walk weighed with everything seen so far."""
    claims = {claim.id: claim for claim in walk.route.claims}
    beliefs = weigh(priors(walk), observed(walk))
    return Weighed(claims, beliefs, next_best(beliefs, prospects(walk), _way(walk)))


def priors(walk: Walk) -> dict[str, float]:
    """How likely each claim is before looking: what the person said, else what the route says."""
    return {
        claim.id: _share(walk.priors.get(claim.id, ""), float(claim.before))
        for claim in walk.route.claims
    }


def observed(walk: Walk) -> list[Observed]:
    """The signs seen so far, in walking order. What was not examined is none."""
    found: list[Observed] = []
    car = _car(walk)
    for check in _with_signs(walk):
        state = walk.state(check.id)
        if state.answer is None or state.answer.result is Result.NOT_EXAMINED:
            continue
        result = state.answer.result
        computed = _computed(check, state, car)
        for sign in _signs(walk, check):
            ratio = _ratio(sign, result) if computed is None else computed
            if ratio is not None:
                found.append(Observed(sign.claim, check.id, result.value, ratio, sign.cause))
    return found


def prospects(walk: Walk) -> Iterator[Prospect]:
    """The signs that checks without a result could still show, in walking order."""
    car = _car(walk)
    for check in _with_signs(walk):
        if walk.state(check.id).answer is not None:
            continue
        computed = _could_read(check, car)
        for sign in _signs(walk, check):
            rows = computed or _rows(sign)
            if rows:
                yield Prospect(sign.claim, check.id, float(check.minutes), rows, sign.cause)


def _with_signs(walk: Walk) -> Iterator[Check]:
    checks = walk.route.checks
    return (checks[name] for name in walk.sequence if checks[name].signs)


def _signs(walk: Walk, check: Check) -> list[Sign]:
    """The signs of a check that speak of a claim of this car."""
    known = {claim.id for claim in walk.route.claims}
    return [sign for sign in check.signs if sign.claim in known]


def _computed(check: Check, state: CheckState, car: Car) -> float | None:
    """The likelihood ratio that a reading itself gives; None where there is none.

    The person has the last word: a reading that was judged otherwise than recorded is not weighed.
    """
    reading = check.reading
    if reading is None or reading.kind not in WEIGHED or not state.reading:
        return None
    assert state.answer is not None
    judged = judge_text(reading.kind, reading.spec, state.reading, car)
    if judged.outcome.value != state.answer.result.value:
        return None
    weight = judged.values.get("weight_decibans")
    return None if weight is None else float(10 ** (float(weight) / 10))


def _could_read(check: Check, car: Car) -> tuple[tuple[float, float], ...] | None:
    reading = check.reading
    if reading is None or reading.kind not in WEIGHED:
        return None
    return outcomes({"kind": reading.kind, **reading.spec}, car)


def _car(walk: Walk) -> Car:
    return car_of(walk, walk.began_at.date())


def _ratio(sign: Sign, result: Result) -> float | None:
    row = {
        Result.PASS: sign.on_pass,
        Result.CONCERN: sign.on_concern,
        Result.FAIL: sign.on_fail,
    }[result]
    return None if row is None else float(row[0] / row[1])


def _rows(sign: Sign) -> tuple[tuple[float, float], ...]:
    """The rows of a sign, each column summing to 1 also where an older program let it be less."""
    rows = [row for row in (sign.on_pass, sign.on_concern, sign.on_fail) if row is not None]
    true, false = sum(row[0] for row in rows), sum(row[1] for row in rows)
    return tuple((float(row[0] / true), float(row[1] / false)) for row in rows)


def _share(said: str, default: float) -> float:
    try:
        share = float(said)
    except ValueError:
        return default
    return share if 0 < share < 1 else default


def _way(walk: Walk) -> Callable[[str], float]:
    """How far it is to a check from where one stands, metres as the crow flies."""
    route = walk.route
    station = route.station_of.get(walk.at)

    def distance(check: str) -> float:
        there = route.station_of[check].place
        if station is None:
            return 0.0
        here = station.place
        return dist((here.x, here.y), (there.x, there.y))

    return distance
