"""Where every check of a walk stands, the counts and the way on, kept up to date.

Which checks are open, fresh or once set aside is kept as the bits of whole numbers, one bit per
check in walking order, so that finding the next check costs the same at 30 checks and at 10,000.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from checkrun.route.model import Result, Station


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person said of a check, the reason given, and when."""

    result: Result
    why: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Rank:
    """A place among the findings that a person gave one.

    Attributes:
        before: The check it stands before; empty for the end.
        why: The reason.
        n: The number of the event; what was said later is done later.
    """

    before: str
    why: str
    n: int


@dataclass(slots=True)
class CheckState:
    """All that is known of one check; changed by the fold only.

    Attributes:
        answer: The result that stands, or None while the check is open.
        note: What was noted; the latest text.
        reading: What was measured, as typed.
        reading_unit: The unit a bare number is in.
        judged: The judgement of the reading as it was kept, or None.
        aside: How often it was set aside since it was last answered.
        own: The person's own figures of its cost, by name and as typed.
        rank: Where the person put it among the findings, or None.
    """

    answer: Answer | None = None
    note: str = ""
    reading: str = ""
    reading_unit: str = ""
    judged: dict[str, Any] | None = None
    aside: int = 0
    own: dict[str, str] = field(default_factory=dict)
    rank: Rank | None = None

    @property
    def blank(self) -> bool:
        """Whether nothing was entered that could be lost."""
        return self.answer is None and not (self.note or self.reading)


@dataclass(frozen=True, slots=True)
class Counts:
    """How many checks have each result, and how many have none yet."""

    pass_: int = 0
    concern: int = 0
    fail: int = 0
    not_examined: int = 0
    open: int = 0

    @property
    def answered(self) -> int:
        """Checks with a result, "not examined" among them."""
        return self.pass_ + self.concern + self.fail + self.not_examined

    @property
    def total(self) -> int:
        """All checks."""
        return self.answered + self.open


_OPEN = 4
_COLUMN = {
    Result.PASS: 0,
    Result.CONCERN: 1,
    Result.FAIL: 2,
    Result.NOT_EXAMINED: 3,
}


class Tally:
    """The counts and the way on over a fixed sequence of checks."""

    __slots__ = (
        "_column",
        "_counted",
        "_fresh",
        "_of",
        "_once",
        "_open",
        "_per_station",
        "_spans",
        "_total",
        "index",
        "sequence",
        "station_index",
        "stations",
    )

    def __init__(self, stations: Sequence[Station]) -> None:
        self.stations = tuple(stations)
        self.sequence = tuple(check.id for station in stations for check in station.checks)
        self.station_index = {station.id: place for place, station in enumerate(self.stations)}
        self.index = {check_id: place for place, check_id in enumerate(self.sequence)}
        everything = (1 << len(self.sequence)) - 1
        self._open = self._fresh = self._once = everything
        self._column = [_OPEN] * len(self.sequence)
        self._total = [0, 0, 0, 0, len(self.sequence)]
        self._per_station = {s.id: [0, 0, 0, 0, len(s.checks)] for s in stations}
        self._counted: dict[str, Counts] = {}
        self._of: list[str] = []
        self._spans: dict[str, tuple[int, int]] = {}
        for station in stations:
            start = len(self._of)
            self._of += [station.id] * len(station.checks)
            self._spans[station.id] = (start, len(self._of))

    @property
    def counts(self) -> Counts:
        """The counts over the whole walk."""
        return Counts(*self._total)

    def station_counts(self, station_id: str) -> Counts:
        """The counts at one station."""
        found = self._counted.get(station_id)
        if found is None:
            found = self._counted[station_id] = Counts(*self._per_station[station_id])
        return found

    def is_open(self, check_id: str) -> bool:
        """Whether a check of the route has no result yet."""
        return self._column[self.index[check_id]] == _OPEN

    def open_ids(self) -> tuple[str, ...]:
        """The checks without a result, in walking order."""
        return tuple(
            c for c, column in zip(self.sequence, self._column, strict=True) if column == _OPEN
        )

    def put(self, check_id: str, state: CheckState) -> None:
        """Take note of how a check stands now; a check outside the route is none of the tally's."""
        place = self.index.get(check_id)
        if place is None:
            return
        column = _OPEN if state.answer is None else _COLUMN[state.answer.result]
        before = self._column[place]
        if column != before:
            for row in (self._total, self._per_station[self._of[place]]):
                row[before] -= 1
                row[column] += 1
            self._column[place] = column
            self._counted.pop(self._of[place], None)
        bit = 1 << place
        self._open = _with(self._open, bit, column == _OPEN)
        self._fresh = _with(self._fresh, bit, state.aside == 0)
        self._once = _with(self._once, bit, state.aside <= 1)

    def next_after(self, check_id: str) -> str | None:
        """Where to walk on to from a check; None when no other check is open.

        First what is left of its station: the later checks not yet set aside, then whatever else is
        open there and was set aside once at most, so that nothing is forgotten before the station
        is left. Then the first fresh check of the stations still ahead. At the end, the round of
        all that is still open, in walking order from here.
        """
        place = self.index.get(check_id)
        if place is None:
            return None
        start, end = self._spans[self._of[place]]
        here = (1 << end) - (1 << start)
        behind_it = -1 << (place + 1)  # all bits above this check's
        open_ = self._open & ~(1 << place)
        fresh = open_ & self._fresh
        once_here = open_ & self._once & here
        for found in (
            fresh & here & behind_it,
            once_here & behind_it,
            once_here,
            fresh & (-1 << end),
            open_ & behind_it,
            open_,
        ):
            if found:
                return self.sequence[(found & -found).bit_length() - 1]
        return None


def _with(bits: int, bit: int, on: bool) -> int:
    """The bits with one of them set or cleared."""
    if bool(bits & bit) is on:
        return bits
    return bits ^ bit
