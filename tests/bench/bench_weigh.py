"""Claims weighed and the next best checks ranked, in the library."""

from __future__ import annotations

import random
import statistics
from typing import Any

import pytest

from checkrun.weigh.evidence import Belief, Observed, weigh
from checkrun.weigh.nextbest import Next, Prospect, next_best

from .figures import Figures

_CLAIMS, _CHECKS, _RESULTS = 20, 300, 3
_MILLISECONDS, _ROUNDS = 30.0, 60


@pytest.mark.parametrize("spoken_of", [3, _CLAIMS])
def test_claims_weighed_and_checks_ranked(benchmark: Any, figures: Figures, spoken_of: int) -> None:
    before, observed, prospects = _walk(spoken_of)
    away = {prospect.check: random.Random(prospect.check).random() for prospect in prospects}

    def weighed() -> tuple[dict[str, Belief], tuple[Next, ...]]:
        beliefs = weigh(before, observed)
        return beliefs, next_best(beliefs, prospects, away.__getitem__)

    beliefs, best = benchmark.pedantic(weighed, rounds=_ROUNDS, warmup_rounds=3)
    assert len(beliefs) == _CLAIMS
    assert len(observed) + len(best) == _CHECKS * spoken_of
    assert best[0].bits_per_minute > best[-1].bits_per_minute >= 0
    median = statistics.median(benchmark.stats.stats.data) * 1e3
    what = f"{_CLAIMS} claims, {_CHECKS} checks of {spoken_of} claims each, ms"
    figures.add(what, median, _MILLISECONDS, f"{len(observed)} signs seen, {len(best)} open")


def _walk(spoken_of: int) -> tuple[dict[str, float], list[Observed], list[Prospect]]:
    """Half of the checks seen, half of them open; half of the signs share a cause with some."""
    draw = random.Random(spoken_of)
    before = {f"claim-{at}": draw.uniform(0.1, 0.9) for at in range(_CLAIMS)}
    observed: list[Observed] = []
    prospects: list[Prospect] = []
    for at in range(_CHECKS):
        check, minutes = f"check-{at}", draw.choice((0.5, 1.0, 2.0, 5.0))
        for claim in draw.sample(sorted(before), spoken_of):
            cause = f"cause-{draw.randrange(40)}" if draw.random() < 0.5 else ""
            rows = tuple(zip(_shares(draw), _shares(draw), strict=True))
            if at % 2:
                true, false = draw.choice(rows)
                observed.append(Observed(claim, check, "seen", true / false, cause))
            else:
                prospects.append(Prospect(claim, check, minutes, rows, cause))
    return before, observed, prospects


def _shares(draw: random.Random) -> list[float]:
    parts = [draw.uniform(0.05, 1.0) for _ in range(_RESULTS)]
    return [part / sum(parts) for part in parts]
