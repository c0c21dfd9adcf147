"""Weights in words.

Cut points: the example scale of the ENFSI guideline for evaluative reporting, 2015, as the
reference pack has it. Verified there: moderate and moderately strong (E2), the cut points of 1000
and more with their mirror image below 1 (Dundee course book, table 5.3, E1). The rest is from
memory. That between 1 and 2 there is no support is our own choice.
"""

from __future__ import annotations

import math

import pytest

from checkrun.weigh.scale import NO_SUPPORT, verbal, verbal_of

CUTS = [
    ("weak", 2, 10),
    ("moderate", 10, 100),
    ("moderately strong", 100, 1_000),
    ("strong", 1_000, 10_000),
    ("very strong", 10_000, 1_000_000),
    ("extremely strong", 1_000_000, 1e300),
]


@pytest.mark.parametrize(("word", "least", "most"), CUTS)
def test_a_band_holds_from_its_lower_cut_point_to_the_next(
    word: str, least: float, most: float
) -> None:
    inside = (least, least * 1.0001, math.sqrt(least * most), most * 0.9999)
    for ratio in inside:
        assert verbal(ratio) == f"{word} support for", ratio
        assert verbal(1 / ratio) == f"{word} support against", ratio
    assert verbal(least * 0.9999) != f"{word} support for"


@pytest.mark.parametrize("ratio", [1, 1.0001, 1.259, 1.5, 1.9999, 1 / 1.9999, 0.75])
def test_what_does_not_reach_the_first_band_is_no_support(ratio: float) -> None:
    assert verbal(ratio) == NO_SUPPORT == "no support either way"


def test_the_dundee_cut_points_below_one() -> None:
    # Under 0.000001 extremely strong, to 0.0001 very strong, to 0.001 strong, to 0.01 moderately
    # strong for the alternative (E1, verified).
    for ratio, word in [
        (9e-7, "extremely strong"),
        (9e-5, "very strong"),
        (9e-4, "strong"),
        (9e-3, "moderately strong"),
    ]:
        assert verbal(ratio) == f"{word} support against"


def test_a_sum_that_misses_a_cut_point_by_rounding_has_reached_it() -> None:
    for ratio in (2.5 * 4, 1.1 * (10 / 1.1), 0.1 / 0.001, (1 / 3) / (1 / 30)):
        assert "moderate" in verbal(ratio)
    assert verbal_of(10 - 1e-12) == "moderate support for"
    assert verbal_of(10 - 1e-6) == "weak support for"
    assert verbal_of(-30 + 1e-12) == "strong support against"


def test_a_weight_beyond_any_ratio_has_words_too() -> None:
    assert verbal_of(1e6) == "extremely strong support for"
    assert verbal_of(-1e6) == "extremely strong support against"


@pytest.mark.parametrize("ratio", [0, -1, math.inf, math.nan])
def test_what_is_no_ratio_is_refused(ratio: float) -> None:
    with pytest.raises(ValueError, match="is no likelihood ratio: one is above 0 and finite"):
        verbal(ratio)
