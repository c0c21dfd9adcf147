"""Ratios of medians, and the table they are told in."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field


def ratio(thing: Sequence[float], floor: Sequence[float]) -> float:
    """How many times the floor's median the thing's median is."""
    return statistics.median(thing) / statistics.median(floor)


def percentile(values: Sequence[float], share: float) -> float:
    """The value that this share of the values does not exceed."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


@dataclass(slots=True)
class Figures:
    """What was measured: what, the ratio, the target if there is one, and the plain medians."""

    rows: list[tuple[str, float, float | None, str]] = field(default_factory=list)

    def add(self, what: str, found: float, target: float | None = None, note: str = "") -> None:
        """Put one ratio in the table."""
        self.rows.append((what, found, target, note))

    def lines(self) -> Iterator[str]:
        """The table; a ratio over its target is marked."""
        width = max(len(row[0]) for row in self.rows)
        for what, found, target, note in self.rows:
            limit = "" if target is None else f"<= {target:g}"
            mark = "OVER" if target is not None and found > target else ""
            yield f"{what:{width}}  {found:6.2f}  {limit:8} {mark:4} {note}".rstrip()
