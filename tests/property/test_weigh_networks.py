"""Beliefs against exact inference of pgmpy, expected information against scipy's entropy.

A network has the claim as its only parent. It holds what counts: of signs that share a cause the
strongest in size, found here in exact fractions.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import entropy

from checkrun.weigh.evidence import Belief, Observed, weigh
from checkrun.weigh.nextbest import Prospect, next_best

WITHIN = 1e-9


@dataclass(frozen=True, slots=True)
class Node:
    """A sign: P(result | true), P(result | false) by result, what was seen (None: nothing)."""

    true: tuple[Fraction, ...]
    false: tuple[Fraction, ...]
    result: int | None
    cause: str

    @property
    def ratio(self) -> Fraction:
        """Of the result that was seen."""
        assert self.result is not None
        return self.true[self.result] / self.false[self.result]

    @property
    def size(self) -> Fraction:
        """The strength of the result that was seen, either way."""
        return max(self.ratio, 1 / self.ratio)


@st.composite
def shares(draw: st.DrawFn, results: int) -> tuple[Fraction, ...]:
    parts = draw(st.lists(st.integers(1, 40), min_size=results, max_size=results))
    return tuple(Fraction(part, sum(parts)) for part in parts)


@st.composite
def nodes(draw: st.DrawFn, causes: tuple[str, ...]) -> Node:
    results = draw(st.integers(2, 3))
    return Node(
        true=draw(shares(results)),
        false=draw(shares(results)),
        result=draw(st.one_of(st.integers(0, results - 1), st.none())),
        cause=draw(st.sampled_from(causes)),
    )


befores = st.integers(1, 99).map(lambda share: share / 100)
naive = st.lists(nodes(("",)), max_size=8)
grouped = st.lists(nodes(("", "hit", "rust", "fire")), max_size=10)
proper = settings(max_examples=200, deadline=None)

Posterior = Callable[[float, list[Node]], float]


@pytest.fixture(scope="module")
def posterior() -> Posterior:
    """Exact inference on a network of these signs, by a library that warns of itself."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork

    def infer(before: float, signs: list[Node]) -> float:
        network = DiscreteBayesianNetwork()
        network.add_node("claim")
        network.add_cpds(TabularCPD("claim", 2, np.array([[1 - before], [before]])))
        for at, sign in enumerate(signs):
            network.add_edge("claim", f"sign-{at}")
            table = np.array([[*map(float, sign.false)], [*map(float, sign.true)]]).T
            cpd = TabularCPD(f"sign-{at}", len(sign.true), table, ["claim"], [2])
            network.add_cpds(cpd)
        assert network.check_model()
        seen = {f"sign-{at}": sign.result for at, sign in enumerate(signs)}
        known = {name: result for name, result in seen.items() if result is not None}
        found: Any = VariableElimination(network).query(
            ["claim"], evidence=known, show_progress=False
        )
        return float(found.values[1])

    return infer


def observed(signs: list[Node]) -> list[Observed]:
    return [
        Observed("claim", f"sign-{at}", str(sign.result), float(sign.ratio), sign.cause)
        for at, sign in enumerate(signs)
        if sign.result is not None
    ]


def believed(before: float, signs: list[Node]) -> Belief:
    return weigh({"claim": before}, observed(signs))["claim"]


def counted(signs: list[Node]) -> list[Node]:
    """The signs that count: of those seen with one cause the first of the strongest."""
    strongest: dict[str, Node] = {}
    for sign in signs:
        if sign.result is not None and sign.cause:
            best = strongest.get(sign.cause)
            if best is None or sign.size > best.size:
                strongest[sign.cause] = sign
    return [
        sign
        for sign in signs
        if sign.result is None or not sign.cause or sign is strongest[sign.cause]
    ]


@proper
@given(before=befores, signs=naive)
def test_naive_networks(posterior: Posterior, before: float, signs: list[Node]) -> None:
    assert abs(believed(before, signs).after - posterior(before, signs)) < WITHIN


@proper
@given(before=befores, signs=grouped)
def test_grouped_networks(posterior: Posterior, before: float, signs: list[Node]) -> None:
    belief = believed(before, signs)
    assert abs(belief.after - posterior(before, counted(signs))) < WITHIN
    kept = {id(sign) for sign in counted(signs)}
    seen = [sign for sign in signs if sign.result is not None]
    assert [sign.counted for sign in belief.signs] == [id(sign) in kept for sign in seen]


@settings(deadline=None)
@given(before=befores, signs=grouped, sign=nodes(("",)))
def test_expected_information_is_the_entropy_that_goes(
    before: float, signs: list[Node], sign: Node
) -> None:
    """H(now) - sum of P(result) H(after it), each entropy by scipy."""
    belief = believed(before, signs)
    prior = np.array([belief.after, 1 - belief.after])
    joint = np.array([[*map(float, sign.true)], [*map(float, sign.false)]]) * prior[:, None]
    left = sum(column.sum() * entropy(column, base=2) for column in joint.T)
    bits = bits_of(belief, sign)
    assert abs(bits - (entropy(prior, base=2) - left)) < WITHIN
    # Mutual information: relative entropy of the joint distribution to that of its margins.
    margins = joint.sum(axis=1)[:, None] * joint.sum(axis=0)[None, :]
    assert abs(bits - entropy(joint.ravel(), margins.ravel(), base=2)) < WITHIN
    # No more can be learned of a claim than is not known of it.
    assert 0 <= bits <= entropy(prior, base=2) + WITHIN


@settings(deadline=None)
@given(before=befores, signs=grouped, sign=nodes(("hit", "rust")))
def test_beside_its_cause_it_is_the_mean_entropy_of_after_to_now(
    before: float, signs: list[Node], sign: Node
) -> None:
    """What would be believed is found by weighing again with the result seen last."""
    belief = believed(before, signs)
    now = np.array([belief.after, 1 - belief.after])
    bits = 0.0
    for result, (true, false) in enumerate(zip(sign.true, sign.false, strict=True)):
        chance = float(true) * now[0] + float(false) * now[1]
        seen = Node(sign.true, sign.false, result, sign.cause)
        after = believed(before, [*signs, seen]).after
        bits += chance * entropy([after, 1 - after], now, base=2)
    assert abs(bits_of(belief, sign) - bits) < WITHIN


def bits_of(belief: Belief, sign: Node) -> float:
    outcomes = tuple((float(t), float(f)) for t, f in zip(sign.true, sign.false, strict=True))
    (row,) = next_best({"claim": belief}, [Prospect("claim", "x", 1, outcomes, sign.cause)])
    assert row.bits >= 0
    return row.bits


@given(before=befores, signs=st.lists(nodes(("",)), max_size=8), order=st.randoms())
def test_the_order_of_independent_signs_is_nothing_to_the_belief(
    before: float, signs: list[Node], order: Any
) -> None:
    turned = list(signs)
    order.shuffle(turned)
    assert believed(before, turned).after == pytest.approx(believed(before, signs).after, abs=1e-12)


@given(before=befores, signs=grouped)
def test_halved_lies_between_before_and_after_and_doubled_beyond(
    before: float, signs: list[Node]
) -> None:
    belief = believed(before, signs)
    steps = [belief.before, belief.halved, belief.after, belief.doubled]
    rising = belief.decibans >= 0
    for step, further in pairwise(steps):
        assert (further - step) * (1 if rising else -1) >= -1e-12
