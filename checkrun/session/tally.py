"""Where every check of a walk stands, the counts and the way on, kept up to date.

Which checks are open, fresh or once set aside is kept as the bits of whole numbers, one bit per
check in walking order, so that finding the next check costs the same at 30 checks and at 10,000.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from checkrun.route.model import Result, Station
from checkrun.session.checkstate import CheckState


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
        "_passed",
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
        # Which checks were set aside in the first round at the end, the second, and so on.
        self._passed: list[int] = []
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

    def open_from(self, check_id: str) -> Iterator[tuple[str, Station]]:
        """The other open checks with their stations, in walking order from a check, to it again."""
        place = self.index[check_id]
        for other in (*range(place + 1, len(self.sequence)), *range(place)):
            if self._column[other] == _OPEN:
                check = self.sequence[other]
                yield check, self.station_of(check)

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
        if state.rounds > len(self._passed):
            self._passed += [0] * (state.rounds - len(self._passed))
        for number, passed in enumerate(self._passed):
            self._passed[number] = _with(passed, bit, state.rounds > number)

    def ahead(self, check_id: str) -> str | None:
        """Where to walk on to from a check by the walking order alone, if there is something.

        First what is left of its station: the later checks not yet set aside, then whatever else is
        open there and was set aside once at most, so that nothing is forgotten before the station
        is left. Then the first fresh check of the stations still ahead.
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
        ):
            if found:
                return self.sequence[(found & -found).bit_length() - 1]
        return None

    def fresh_behind(self, station_id: str) -> Station | None:
        """The first station behind this one, in walking order, with something not set aside."""
        fresh = self._open & self._fresh & (-1 << self._spans[station_id][1])
        if not fresh:
            return None
        return self.station_of(self.sequence[(fresh & -fresh).bit_length() - 1])

    def is_late(self, check_id: str, ahead: str | None, state: CheckState) -> bool:
        """Whether setting a check aside now means that its turn in the round at the end is over.

        That is so once nothing fresh is at the stations ahead, unless it still comes back before
        this station is left.

        Args:
            check_id: Any check.
            ahead: What is ahead of it; see `ahead`.
            state: How it stands before.
        """
        if ahead is None:
            return True
        return state.aside > 0 and self.fresh_behind(self.station_of(check_id).id) is None

    def left(self, but: int) -> tuple[int, int]:
        """The checks of the round at the end, as bits, and which round it is, from 0.

        They are the open ones that were set aside in fewer rounds than the others, so that each
        has its turn before any has a second one.

        Args:
            but: The checks that are not among them, as bits.
        """
        open_ = self._open & ~but
        for number, passed in enumerate(self._passed):
            if open_ & ~passed:
                return open_ & ~passed, number
        return open_, len(self._passed)

    def station_of(self, check_id: str) -> Station:
        """The station of a check of the route."""
        return self.stations[self.station_index[self._of[self.index[check_id]]]]

    def span(self, station_id: str) -> tuple[int, int]:
        """The place of a station's first check and the place behind its last."""
        return self._spans[station_id]

    def ids(self, checks: int) -> tuple[str, ...]:
        """The ids of some checks, given as bits, in walking order."""
        return tuple(c for place, c in enumerate(self.sequence) if checks >> place & 1)

    def groups(self, checks: int, here: Station, place: int) -> Iterator[tuple[Station, str]]:
        """The stations that have some checks and the first of these, in walking order from here.

        Args:
            checks: As bits.
            here: The station that comes first.
            place: That of a check; of those of its station, what is behind it comes first.
        """
        at = self.station_index[here.id]
        for station in (*self.stations[at:], *self.stations[:at]):
            start, end = self._spans[station.id]
            found = (checks & ((1 << end) - (1 << start))) >> start
            if not found:
                continue
            behind = found & (-1 << (place + 1 - start)) if start <= place < end else 0
            found = behind or found
            yield station, self.sequence[start + (found & -found).bit_length() - 1]


def _with(bits: int, bit: int, on: bool) -> int:
    """The bits with one of them set or cleared."""
    if bool(bits & bit) is on:
        return bits
    return bits ^ bit
