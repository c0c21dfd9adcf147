"""A date code held against the build date: what it can stand for, and how rare that is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

from checkrun.judge.built import Built
from checkrun.judge.characters import Seen
from checkrun.judge.days import Code, Stretch
from checkrun.judge.marks import Rule


@dataclass(frozen=True, slots=True)
class Dated:
    """A date code with everything it is held against.

    Attributes:
        inside: What the code can stand for in the window.
        outside: What it can stand for near the car, if nothing in the window.
        window: Days before the build; None if not given.
        span: Days of production; None if not given.
    """

    rule: Rule
    seen: Seen
    code: Code
    built: Built
    window: int | None
    span: int | None
    inside: tuple[Stretch, ...] = ()
    outside: tuple[Stretch, ...] = ()

    @property
    def left(self) -> tuple[Stretch, ...]:
        """What the code can still stand for."""
        return self.inside or self.outside

    @property
    def only(self) -> Stretch | None:
        """The one day, month or week that is left, or None."""
        return self.left[0] if len(self.left) == 1 else None

    @property
    def wide(self) -> int:
        """The days that would be in order, the build date being no better known than it is."""
        assert self.window is not None
        return max(1, self.window + (self.built.last - self.built.first).days)


def place(dated: Dated) -> Dated:
    """Look for what the code can stand for in the window, else near the car."""
    built, code = dated.built, dated.code
    if dated.window is not None:
        inside = code.stretches(built.first - timedelta(days=dated.window), built.last)
        if inside:
            return replace(dated, inside=tuple(inside))
    reach = timedelta(days=code.reach(dated.window or 0))
    found = code.stretches(built.first - reach, built.last + reach)
    if dated.span is not None and code.period <= 10:
        # The part was made for so long only: what lies farther off is another decade.
        near = timedelta(days=max(dated.span, dated.window or 0))
        first, last = built.first - near, built.last + near
        found = [stretch for stretch in found if stretch.days_within(first, last)] or found
    return replace(dated, outside=tuple(found))


def chance_of(dated: Dated) -> float | None:
    """How likely the code of any other part would lie in the window; None without a span.

    Window over span as the rule is; where some of it could not be read, the days it can mean in
    one cycle of the code count against those of them that lie in the window.
    """
    if dated.span is None:
        return None
    code, cycle = dated.code, dated.code.cycle(dated.span)
    chance = dated.wide / cycle
    if not code.whole and dated.inside:
        first = dated.built.first - timedelta(days=dated.window or 0)
        within = sum(stretch.days_within(first, dated.built.last) for stretch in dated.inside)
        a_year = code.days_in(dated.inside[-1].first.year)
        years = min(code.years_meant, max(1.0, cycle / 365.25))
        chance *= max(1.0, a_year * years / within)
    return min(1.0, chance)
