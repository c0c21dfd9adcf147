"""What to look at next.

X3 to X5 are worked examples of the reference pack (computed there, redone by hand); entropies are
held against `scipy.stats.entropy` in the property tests.
"""

from __future__ import annotations

import math
import random

import pytest

from checkrun.weigh.evidence import Belief, Observed, weigh
from checkrun.weigh.nextbest import Next, Prospect, next_best


def detector(finds: float, alarms: float) -> tuple[tuple[float, float], ...]:
    return (finds, alarms), (1 - finds, 1 - alarms)


def prospect(
    check: str = "x",
    outcomes: tuple[tuple[float, float], ...] = detector(0.8, 0.1),
    minutes: float = 1,
    cause: str = "",
) -> Prospect:
    return Prospect("claim", check, minutes, outcomes, cause)


def beliefs(before: float = 0.2, *observed: Observed) -> dict[str, Belief]:
    return weigh({"claim": before}, observed)


def only(found: tuple[Next, ...]) -> Next:
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize(
    ("before", "finds", "alarms", "bits"),
    [(0.2, 0.8, 0.1, 0.27546), (0.2, 0.6, 0.3, 0.04346), (0.5, 0.9, 0.1, 0.53100)],
)
def test_worked_examples(before: float, finds: float, alarms: float, bits: float) -> None:
    row = only(next_best(beliefs(before), [prospect(outcomes=detector(finds, alarms))]))
    assert row.bits == pytest.approx(bits, abs=5e-6)


def test_bits_a_minute_put_them_in_order() -> None:
    found = next_best(
        beliefs(),
        [
            prospect("slow", minutes=40),
            prospect("weak", detector(0.6, 0.3), 1),
            prospect("quick", minutes=2),
        ],
    )
    assert [row.check for row in found] == ["quick", "weak", "slow"]
    assert [row.minutes for row in found] == [2, 1, 40]
    for row in found:
        assert row.bits_per_minute == row.bits / row.minutes


def test_every_check_for_every_claim_is_a_row_of_its_own() -> None:
    both = weigh({"a": 0.5, "b": 0.2}, [])
    rows = detector(0.9, 0.1)
    found = next_best(both, [Prospect("b", "x", 1, rows), Prospect("a", "x", 1, rows)])
    assert [(row.check, row.claim) for row in found] == [("x", "a"), ("x", "b")]


def test_ties_go_to_the_nearer_and_then_to_the_first() -> None:
    checks = [
        prospect("far"),
        prospect("near"),
        prospect("near-too"),
        prospect("best", minutes=0.5),
    ]
    far = {"far": 9.0, "near": 1.0, "near-too": 1.0, "best": 99.0}
    assert [row.check for row in next_best(beliefs(), checks, far.__getitem__)] == [
        "best",
        "near",
        "near-too",
        "far",
    ]
    assert [row.check for row in next_best(beliefs(), checks)] == [
        "best",
        "far",
        "near",
        "near-too",
    ]


def test_what_differs_by_rounding_only_is_a_tie() -> None:
    # The same sign with its results in another order adds up to other last digits.
    rows = ((0.7, 0.15), (0.2, 0.25), (0.1, 0.6))
    turned = [rows, rows[::-1], (rows[1], rows[2], rows[0])]
    checks = [prospect(f"c{at}", turned[at % 3], 1) for at in range(60)]
    assert [row.check for row in next_best(beliefs(0.37), checks)] == [
        check.check for check in checks
    ]
    away = {check.check: float(-at) for at, check in enumerate(checks)}
    assert [row.check for row in next_best(beliefs(0.37), checks, away.__getitem__)] == [
        check.check for check in reversed(checks)
    ]


def test_a_larger_difference_is_no_tie_however_near_the_lesser_is() -> None:
    checks = [prospect("worse", minutes=1 + 1e-9), prospect("better", minutes=1)]
    near = {"worse": 0.0, "better": 50.0}
    assert next_best(beliefs(), checks, near.__getitem__)[0].check == "better"


def test_a_check_that_can_only_say_the_same_once_more_tells_nothing() -> None:
    before = beliefs(0.5, Observed("claim", "seen", "pass", 20, "hit"))
    weaker = prospect(outcomes=detector(0.9, 0.1), cause="hit")
    assert only(next_best(before, [weaker])).bits == 0
    assert only(next_best(before, [prospect(outcomes=detector(0.9, 0.1))])).bits > 0.1


def test_beside_a_counted_sign_only_what_is_stronger_moves_the_belief() -> None:
    """By hand: before 1/2, a sign of 2 counts, so 2/3 is believed.

    The open sign of the same cause shows with 0.8 or 0.1 a ratio of 8 in place of the 2: 8/9; and
    with 0.2 or 0.9 one of 2/9 in place of it, which is stronger too (9/2 > 2): odds 2/9, so 2/11.
    """
    before = beliefs(0.5, Observed("claim", "seen", "pass", 2, "hit"))
    chance = 2 / 3 * 0.8 + 1 / 3 * 0.1

    def entropy_to(after: float, now: float) -> float:
        return after * math.log2(after / now) + (1 - after) * math.log2((1 - after) / (1 - now))

    expected = chance * entropy_to(8 / 9, 2 / 3) + (1 - chance) * entropy_to(2 / 11, 2 / 3)
    row = only(next_best(before, [prospect(outcomes=detector(0.8, 0.1), cause="hit")]))
    assert row.bits == pytest.approx(expected, abs=1e-14)


def test_results_that_are_weaker_than_the_counted_sign_tell_nothing() -> None:
    """By hand: 20/21 is believed; ratios of 2.25 and 0.45 are weaker than 20, 1/40 is not."""
    rows = ((0.9, 0.4), (0.09, 0.2), (0.01, 0.4))
    chance = 20 / 21 * 0.01 + 1 / 21 * 0.4
    moved = 1 / 41 * math.log2((1 / 41) / (20 / 21)) + 40 / 41 * math.log2((40 / 41) / (1 / 21))
    before = beliefs(0.5, Observed("claim", "seen", "pass", 20, "hit"))
    row = only(next_best(before, [prospect(outcomes=rows, cause="hit")]))
    assert row.bits == pytest.approx(chance * moved, abs=1e-14)


def test_the_cause_of_another_sign_is_none_of_its_business() -> None:
    other = beliefs(0.5, Observed("claim", "seen", "pass", 20, "other"))
    assert only(next_best(other, [prospect(cause="hit")])) == only(next_best(other, [prospect()]))


def test_a_sign_that_is_not_counted_does_not_stand_in_the_way() -> None:
    """Of a cause with two signs the stronger is the one to beat."""
    one = beliefs(0.5, Observed("claim", "a", "pass", 5, "hit"))
    two = beliefs(
        0.5, Observed("claim", "b", "pass", 2, "hit"), Observed("claim", "a", "pass", 5, "hit")
    )
    check = [prospect(cause="hit")]
    assert only(next_best(two, check)).bits == only(next_best(one, check)).bits > 0


def test_nothing_is_below_zero_or_not_a_number_however_firm_the_belief() -> None:
    draw = random.Random(7)
    for size in (0, 1, 5, 40, 300):
        for way in (50.0, 1 / 50):
            seen = [Observed("claim", f"s{at}", "pass", way) for at in range(size)]
            firm = beliefs(0.5, *seen, Observed("claim", "c", "pass", 3, "hit"))
            rows = [
                prospect(f"p{at}", detector(draw.uniform(0.01, 0.99), draw.uniform(0.01, 0.99)))
                for at in range(20)
            ]
            rows += [prospect("h", detector(0.99, 0.01), cause="hit")]
            for row in next_best(firm, rows):
                assert 0 <= row.bits < math.inf
    assert only(next_best(firm, [prospect()])).bits == pytest.approx(0, abs=1e-12)


def test_rounded_probabilities_are_taken_as_shares() -> None:
    rounded = ((0.333, 0.167), (0.333, 0.333), (0.333, 0.499))
    whole = tuple((true / 0.999, false / 0.999) for true, false in rounded)
    found = [
        only(next_best(beliefs(), [prospect(outcomes=rows)])).bits for rows in (rounded, whole)
    ]
    assert found[0] == pytest.approx(found[1], abs=1e-14)


@pytest.mark.parametrize("cause", ["", "hit"])
@pytest.mark.parametrize("rare", [1e-15, 1e-300, 5e-324])
def test_what_is_hardly_possible_can_be_asked_about(rare: float, cause: str) -> None:
    """A long number that agrees by chance; with each side, and whatever is believed of it."""
    for ratio in (1e200, 3, 1e-200):
        before = beliefs(0.5, Observed("claim", "seen", "pass", ratio, "hit"))
        for rows in (
            ((0.99, rare), (0.01, 1.0)),
            ((rare, 0.5), (1.0, 0.5)),
            ((rare, rare), (1, 1)),
        ):
            row = only(next_best(before, [prospect(outcomes=rows, cause=cause)]))
            assert 0 <= row.bits < math.inf
    told = only(next_best(beliefs(0.5), [prospect(outcomes=((0.99, rare), (0.01, 1.0)))])).bits
    # A clean agreement settles it; else odds are 1 to 100 that it is true.
    miss = 1 / 101
    left = -(miss * math.log2(miss) + (1 - miss) * math.log2(1 - miss))
    assert told == pytest.approx(1 - 0.505 * left, abs=1e-12)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (prospect(minutes=0), "`x` takes 0 minutes; more than 0 are needed"),
        (prospect(minutes=math.nan), "`x` takes nan minutes; more than 0 are needed"),
        (prospect(outcomes=((1.0, 0.5), (0.0, 0.5))), "`x` has a probability that is not above 0"),
        (prospect(outcomes=((0.5, 0.5), (0.3, 0.5))), "the probabilities at `x` do not sum to 1"),
        (prospect(outcomes=((math.nan, 0.5), (0.3, 0.5))), "the probabilities at `x` do not sum"),
        (prospect(outcomes=()), "the probabilities at `x` do not sum to 1"),
        (Prospect("other", "x", 1, detector(0.9, 0.1)), "a sign at `x` is of an unknown claim"),
    ],
)
def test_what_can_not_be_is_refused(wrong: Prospect, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        next_best(beliefs(), [wrong])
