"""A weight of evidence in words: the example scale of the ENFSI guideline of 2015.

The guideline (European Network of Forensic Science Institutes, "Guideline for evaluative reporting
in forensic science", 2015) gives words for likelihood ratios: 1 no support either way, 2 to 10
weak, 10 to 100 moderate, 100 to 1000 moderately strong, 1000 to 10 000 strong, 10 000 to 1 000 000
very strong, above that extremely strong. Status (reference pack, evidence scale): the words and
bands are from memory, but for "moderate" and "moderately strong" (E2) and for the cut points of
1000 and more and their mirror image below 1 (E1), which are verified. The words are about the
findings, never about how probable the claim itself is (E4, verified).

A band starts at its lower cut point: 100 is moderately strong already. The guideline names no word
between 1 and 2; a ratio that does not reach 2 has not reached the first band and is told with the
word of 1, so that nobody leans on it.
"""

from __future__ import annotations

import math

from checkrun.judge.weight import decibans

NO_SUPPORT = "no support either way"

#: The words, and the likelihood ratio from which each holds.
BANDS: tuple[tuple[str, int], ...] = (
    ("weak", 2),
    ("moderate", 10),
    ("moderately strong", 100),
    ("strong", 1_000),
    ("very strong", 10_000),
    ("extremely strong", 1_000_000),
)

#: Sums of weights miss a cut point by rounding; so near to it, it is reached.
_NEAR = 1e-9
_CUTS = tuple((word, decibans(ratio) - _NEAR) for word, ratio in reversed(BANDS))


def verbal(ratio: float) -> str:
    """The words for a likelihood ratio.

    Args:
        ratio: P(findings | claim true) over P(findings | claim false), above 0 and finite.

    Returns:
        Such as `strong support for` or `weak support against`.

    Raises:
        ValueError: The ratio is not above 0 and finite.
    """
    if not 0 < ratio < math.inf:
        raise ValueError(f"{ratio} is no likelihood ratio: one is above 0 and finite")
    return verbal_of(decibans(ratio))


def verbal_of(weight: float) -> str:
    """The words for a weight in decibans, 10 log10 of the likelihood ratio."""
    size = abs(weight)
    for word, cut in _CUTS:
        if size >= cut:
            return f"{word} support {'for' if weight > 0 else 'against'}"
    return NO_SUPPORT
