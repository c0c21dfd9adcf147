"""How sure one may be: worked examples, causes, and whether it is as often right as it says.

X1 to X6 and the table of decibans are the reference pack's (computed there, redone by hand); that
10 decibans are odds of 10 to 1 is I. J. Good's definition (E9, verified).
"""

from __future__ import annotations

import json
import math
import random
from collections import Counter
from itertools import pairwise

import pytest

from checkrun.weigh.evidence import (
    Belief,
    Observed,
    from_log_odds,
    log_odds,
    standing,
    weigh,
)


def seen(*ratios: float, cause: str = "") -> list[Observed]:
    return [Observed("claim", f"check-{at}", "pass", r, cause) for at, r in enumerate(ratios)]


def one(before: float, observed: list[Observed]) -> Belief:
    return weigh({"claim": before}, observed)["claim"]


@pytest.mark.parametrize(
    ("before", "ratios", "after", "decibans", "within"),
    [
        (0.20, [0.80 / 0.10], 0.6667, 9.031, 5e-5),  # X1
        (0.20, [0.20 / 0.90], 0.05263, -6.532, 5e-6),  # X2
        (0.05, [6, 3, 0.5], 0.32143, 9.542, 5e-6),  # X6
    ],
)
def test_worked_examples(
    before: float, ratios: list[float], after: float, decibans: float, within: float
) -> None:
    belief = one(before, seen(*ratios))
    assert belief.after == pytest.approx(after, abs=within)
    assert belief.decibans == pytest.approx(decibans, abs=5e-4)


def test_worked_examples_in_exact_numbers() -> None:
    assert one(0.2, seen(8)).after == pytest.approx(2 / 3, abs=1e-15)
    assert one(0.2, seen(2 / 9)).after == pytest.approx(1 / 19, abs=1e-15)
    belief = one(0.05, seen(6, 3, 0.5))
    assert belief.odds == pytest.approx(9 / 19, abs=1e-15)
    assert [sign.decibans for sign in belief.signs] == pytest.approx(
        [7.782, 4.771, -3.010], abs=5e-4
    )
    in_decibans = 10 / math.log(10)
    assert log_odds(0.05) * in_decibans == pytest.approx(-12.788, abs=5e-4)
    assert standing(belief) * in_decibans == pytest.approx(-3.245, abs=1e-3)


@pytest.mark.parametrize(
    ("ratio", "decibans"),
    [
        (1, 0),
        (1.259, 1),
        (2, 3.010),
        (3, 4.771),
        (5, 6.990),
        (10, 10),
        (100, 20),
        (1000, 30),
        (10_000, 40),
        (1_000_000, 60),
    ],
)
def test_the_table_of_decibans(ratio: float, decibans: float) -> None:
    assert one(0.5, seen(ratio)).decibans == pytest.approx(decibans, abs=5e-4)
    assert one(0.5, seen(1 / ratio)).decibans == pytest.approx(-decibans, abs=5e-4)


def test_ten_decibans_take_even_odds_to_ten_to_one() -> None:
    belief = one(0.5, seen(10))
    assert belief.decibans == 10
    assert belief.odds == pytest.approx(10, rel=1e-14)
    assert belief.after == pytest.approx(10 / 11, rel=1e-14)


def test_nothing_seen_changes_nothing() -> None:
    belief = one(0.37, [])
    assert belief.after == belief.halved == belief.doubled == pytest.approx(0.37, abs=1e-15)
    assert (belief.decibans, belief.verbal, belief.signs) == (0, "no support either way", ())


def test_the_weight_is_told_apart_from_what_was_believed_before() -> None:
    weights = {one(before, seen(6, 3, 0.5)).decibans for before in (0.01, 0.5, 0.99)}
    assert len(weights) == 1
    verbal = {one(before, seen(6, 3, 0.5)).verbal for before in (0.01, 0.5, 0.99)}
    assert verbal == {"weak support for"}


def test_halved_and_doubled_are_of_the_weights_not_of_the_belief() -> None:
    # Weights halved: the root of the ratio; doubled: its square. 0.2 is odds of 1 to 4.
    belief = one(0.2, seen(4, 4))
    assert belief.halved == pytest.approx(0.5, abs=1e-15)
    assert belief.doubled == pytest.approx(64 / 65, abs=1e-15)


def test_of_one_cause_only_the_strongest_in_size_counts() -> None:
    belief = one(0.5, seen(3, 0.1, 5, cause="hit"))
    assert [sign.counted for sign in belief.signs] == [False, True, False]
    assert belief.decibans == pytest.approx(-10)
    assert [sign.cause for sign in belief.signs] == ["hit"] * 3


def test_of_equals_the_first_counts_whichever_way_they_speak() -> None:
    # 3 and 1/3 are of one size, though their logarithms may differ in the last digit.
    for first in (0.9 / 0.3, 0.3 / 0.9):
        belief = one(0.5, seen(first, 1 / first, first, cause="hit"))
        assert [sign.counted for sign in belief.signs] == [True, False, False]
        assert belief.decibans == pytest.approx(10 * math.log10(first))


def test_a_cause_is_one_claims_own_and_no_cause_is_none() -> None:
    beliefs = weigh(
        {"a": 0.5, "b": 0.5},
        [
            Observed("a", "x", "pass", 2, "hit"),
            Observed("b", "x", "pass", 2, "hit"),
            Observed("a", "y", "pass", 2, "rust"),
            Observed("b", "y", "pass", 2),
            Observed("b", "z", "pass", 2),
        ],
    )
    assert beliefs["a"].odds == pytest.approx(4)
    assert beliefs["b"].odds == pytest.approx(8)
    assert all(sign.counted for belief in beliefs.values() for sign in belief.signs)


def test_a_weak_sign_repeated_with_its_cause_stays_weak() -> None:
    # An easily added strip, seen however often: with one cause it counts once.
    assert one(0.5, seen(*[3.0] * 50, cause="strip")).verbal == "weak support for"
    assert one(0.5, seen(*[3.0] * 50)).verbal == "extremely strong support for"


@pytest.mark.parametrize("way", [1, -1])
def test_hundreds_of_signs_can_be_weighed_and_printed(way: int) -> None:
    belief = one(0.5, seen(*[99.0**way] * 700))
    assert belief.decibans == pytest.approx(way * 7000 * math.log10(99))
    assert math.isfinite(belief.odds)
    assert 0 <= belief.after <= 1
    assert (belief.after > 0.5) is (way > 0)
    assert "Infinity" not in json.dumps([belief.odds, belief.after, belief.doubled])
    # Once as much the other way leaves what was before, to the last digits.
    back = one(0.3, seen(*[99.0] * 700, *[1 / 99] * 700))
    assert back.after == pytest.approx(0.3, abs=1e-9)


def test_log_odds_and_back() -> None:
    for probability in (1e-300, 1e-9, 0.2, 0.5, 0.8, 1 - 1e-9):
        assert from_log_odds(log_odds(probability)) == pytest.approx(probability, rel=1e-12)
    assert from_log_odds(-1e5) == 0
    assert from_log_odds(1e5) == 1


@pytest.mark.parametrize("before", [0, 1, -0.1, 1.1, math.nan])
def test_a_claim_that_is_certain_before_looking_is_refused(before: float) -> None:
    with pytest.raises(ValueError, match=r"it must be inside \(0, 1\)"):
        one(before, [])


@pytest.mark.parametrize("ratio", [0, -2, math.inf, math.nan])
def test_a_sign_that_is_certain_is_refused(ratio: float) -> None:
    with pytest.raises(ValueError, match=r"the sign at `check-0` has a ratio of .*; it must"):
        one(0.5, seen(ratio))


def test_a_sign_of_an_unknown_claim_is_refused() -> None:
    with pytest.raises(ValueError, match="a sign at `x` is of an unknown claim, `other`"):
        weigh({"claim": 0.5}, [Observed("other", "x", "pass", 2)])


CARS = 20_000
#: P(result | true), P(result | false) for pass, concern, fail.
_SIGNS = [
    ((0.85, 0.12, 0.03), (0.35, 0.30, 0.35)),
    ((0.70, 0.20, 0.10), (0.40, 0.30, 0.30)),
    ((0.95, 0.04, 0.01), (0.60, 0.25, 0.15)),
    ((0.55, 0.30, 0.15), (0.30, 0.35, 0.35)),
    ((0.90, 0.07, 0.03), (0.75, 0.15, 0.10)),
]
#: Seen this often each, all from one cause: the further looks say the same once more.
_TWICE = 3


def _simulated(caused: bool) -> list[tuple[float, bool]]:
    """What was believed of each car, and whether it was true."""
    draw = random.Random(20_260_314)
    cars: list[tuple[float, bool]] = []
    for _ in range(CARS):
        before = draw.choice((0.3, 0.5, 0.7))
        true = draw.random() < before
        observed: list[Observed] = []
        for number, rows in enumerate(_SIGNS):
            result = draw.choices(range(3), rows[0] if true else rows[1])[0]
            ratio = rows[0][result] / rows[1][result]
            cause = f"cause-{number}" if caused else ""
            looks = range(_TWICE if number == 0 else 1)
            observed += [Observed("claim", f"{number}-{i}", "seen", ratio, cause) for i in looks]
        cars.append((one(before, observed).after, true))
    return cars


def _brier_off(cars: list[tuple[float, bool]]) -> float:
    """How far the Brier score is from its expected value, in its standard errors.

    If the beliefs are right, (p - truth)^2 has the mean p(1-p) and the variance p(1-p)(1-2p)^2.
    """
    score = math.fsum((after - true) ** 2 for after, true in cars)
    expected = math.fsum(after * (1 - after) for after, _ in cars)
    variance = math.fsum(after * (1 - after) * (1 - 2 * after) ** 2 for after, _ in cars)
    return (score - expected) / math.sqrt(variance)


def _bins_off(cars: list[tuple[float, bool]]) -> list[float]:
    """By tenth of belief how far the share that was true is off, in its standard errors."""
    off: list[float] = []
    for low, high in pairwise(tenth / 10 for tenth in range(11)):
        inside = [car for car in cars if low <= car[0] < high or car[0] == high == 1]
        variance = math.fsum(after * (1 - after) for after, _ in inside)
        off.append(math.fsum(true - after for after, true in inside) / math.sqrt(variance))
    return off


def test_20000_simulated_cars_are_true_as_often_as_believed() -> None:
    """Calibration: with 20,000 cars the Monte Carlo error of the Brier score is about 0.0013.

    Ten bins and the score are eleven draws of about a standard normal: beyond 3.7 standard errors
    one of them would be in one seed of 400; the seed is fixed.
    """
    cars = _simulated(caused=True)
    filled = Counter(min(9, int(after * 10)) for after, _ in cars)
    assert min(filled[tenth] for tenth in range(10)) > 200
    assert abs(_brier_off(cars)) < 3.7
    assert max(abs(off) for off in _bins_off(cars)) < 3.7
    error = math.sqrt(math.fsum(p * (1 - p) * (1 - 2 * p) ** 2 for p, _ in cars)) / CARS
    assert 0.0005 < error < 0.0015
    # Whoever does not look scores p(1-p): 0.21, 0.25 or 0.21, so 0.223.
    assert math.fsum((p - true) ** 2 for p, true in cars) / CARS < 0.17


def test_counting_every_look_would_be_too_sure() -> None:
    """The same cars without their causes: the check above can fail."""
    cars = _simulated(caused=False)
    assert _brier_off(cars) > 10
    assert max(abs(off) for off in _bins_off(cars)) > 10
