"""Where the person stands on a walk, and how they go on."""

from __future__ import annotations

from collections.abc import Mapping

from checkrun.route.model import Outline, Station
from checkrun.session.round import Round
from checkrun.session.tally import Tally


class Onward:
    """The check the person is at, and the way on from any check.

    Attributes:
        round: The round of what is left that led to where the person is, or None.
    """

    __slots__ = ("_at", "_led", "_outline", "_state", "_tally", "round")

    def __init__(self, tally: Tally, outline: Outline, state: Mapping[str, str]) -> None:
        """Stand at the first check.

        Args:
            tally: How every check stands, kept up to date.
            outline: The car's.
            state: Each part of the car's state and its value, kept up to date.
        """
        self._tally, self._outline, self._state = tally, outline, state
        self._at: str | None = tally.sequence[0] if tally.sequence else ""
        self.round: Round | None = None
        # Which round the person is in, and the group of events that led into it.
        self._led: tuple[int, int] | None = None

    @property
    def at(self) -> str:
        """The id of the check the person is at; empty if the route has no checks."""
        if self._at is None:  # a round is planned only when somebody asks where it leads
            assert self.round is not None
            self._at = self.round.first
        return self._at

    def go(self, check_id: str | None) -> None:
        """Stand at a check, if the route has it."""
        if check_id is not None and check_id in self._tally.index:
            self._at, self.round, self._led = check_id, None, None

    def walk_on(self, check_id: str, ahead: str | None, group: int) -> None:
        """Go on from a check, if there is anywhere to go.

        Args:
            check_id: Any check.
            ahead: What is ahead of it by the walking order.
            group: The group of events that leads on.
        """
        if ahead is not None:
            led = self._led
            self.go(ahead)
            if self._tally.station_of(ahead) is self._tally.station_of(check_id):
                self._led = led  # brought back before the station is left: the round goes on
            return
        found = self._round_after(check_id, group)
        if found is not None:
            self._at, self.round = None, found
            if found.begins:
                self._led = (found.number, group)

    def next_after(self, check_id: str) -> str | None:
        """Where to walk on to after a check; see `Walk.next_after`."""
        ahead = self._tally.ahead(check_id)
        if ahead is not None:
            return ahead
        found = self._round_after(check_id, 0)
        return None if found is None else found.first

    def next_station(self, here: Station) -> Station | None:
        """Where to walk on to when a station is done with; None when no other has an open check."""
        found = self._tally.fresh_behind(here.id)
        if found is None:
            start, end = self._tally.span(here.id)
            left, number = self._tally.left((1 << end) - (1 << start))
            if left:
                found = self._round(left, number, end - 1, here, begins=False).stations[0]
        return found

    def _round_after(self, check_id: str, group: int) -> Round | None:
        """The round of what is left but for a check; None if that is all.

        Args:
            check_id: Where it begins.
            group: The group of events that leads into it, or 0.
        """
        place = self._tally.index.get(check_id)
        if place is None:
            return None
        left, number = self._tally.left(1 << place)
        if not left:
            return None
        # The events of one group come one by one, but the person goes on once, after the last.
        begins = self._led is None or self._led[0] != number or self._led == (number, group)
        return self._round(left, number, place, self._tally.station_of(check_id), begins=begins)

    def _round(
        self, left: int, number: int, place: int, station: Station, *, begins: bool
    ) -> Round:
        state = tuple(self._state.items())
        return Round(self._tally, self._outline, left, number, place, station, state, begins)
