"""What a session keeps in SI beside the line."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.judge.kinds import from_text
from checkrun.judge.stored import in_si


@pytest.mark.parametrize(
    ("kind", "spec", "line", "expected"),
    [
        ("measure", {"unit": "mm"}, "3/32 in", {"value": 0.00238125}),
        ("measure", {"unit": "psi"}, "45", {"value": pytest.approx(310264.078)}),
        ("gaps", {"unit": "mm", "points": ["a", "b"]}, "left 4 ?, right 5 mm 40 thou",
         {"left": [0.004, None], "right": [0.005, 0.001016]}),
        ("film", {"unit": "um", "panels": ["nose"]}, "nose 250", {"panels": {"nose": [[0.00025]]}}),
        ("battery", {"unit": "V"}, "12.5 10", {"volts": 12.5, "temperature": 283.15}),
        ("measure", {"unit": "mm"}, "4 psi", {"value": None}),
        ("stamp", {}, "00861", {}),
        ("signs-seen", {"choices": {"oil": "fail"}}, "oil", {}),
    ],
)  # fmt: skip
def test_the_figures_are_kept_in_si(
    kind: str, spec: dict[str, Any], line: str, expected: dict[str, Any]
) -> None:
    assert in_si(from_text(kind, spec, line)) == expected
