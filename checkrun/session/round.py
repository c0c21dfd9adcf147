"""The round of what is left: the way on when nothing fresh is ahead.

What was set aside or passed by is not taken in walking order but planned anew from where one
stands and as the car stands, so that the way round it is short. Planned when somebody asks for it
only: a fold of many events makes one plan at the most, and the planner is loaded for that one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from checkrun.route.model import Outline, Station

if TYPE_CHECKING:
    from checkrun.route.walktask import From
    from checkrun.session.tally import Tally

#: With more stations left than these the walking order, itself planned, is kept: a plan of sixteen
#: takes about as long as one key (12 ms, seldom 50), one of thirty six times that.
MOST = 16

#: What a plan over a damaged or very old copy of a route may raise.
UNPLANNABLE = (ArithmeticError, LookupError, RecursionError, TypeError, ValueError)


@dataclass(frozen=True, eq=False)
class Round:
    """One round of what is left, from where one leaves for it.

    Attributes:
        tally: The walk's stations and checks.
        outline: The car's.
        left: The checks to be gone round to, as bits.
        number: Which round this is, from 0; another begins when all that is left was set aside in
            this one.
        place: The place of the check one leaves.
        station: Its station.
        state: How the car stands then.
        begins: Whether the round begins here; if not, the person is in it already.
    """

    tally: Tally
    outline: Outline
    left: int
    number: int
    place: int
    station: Station
    state: tuple[tuple[str, str], ...]
    begins: bool = False

    @property
    def begin(self) -> From:
        """Where it begins, as the planner takes it."""
        from checkrun.route.reach import standing

        return standing(self.station, dict(self.state))

    @cached_property
    def _first_of(self) -> dict[str, tuple[Station, str]]:
        """The stations to be gone round to and the first check of each, in walking order."""
        return {
            station.id: (station, check)
            for station, check in self.tally.groups(self.left, self.station, self.place)
        }

    @cached_property
    def _ordered(self) -> tuple[tuple[Station, ...], bool]:
        """The stations in order, and whether that was planned."""
        found = tuple(station for station, _ in self._first_of.values())
        here = found[:1] if self.station.id in self._first_of else ()
        rest = found[len(here) :]
        if len(rest) > MOST:
            return found, False
        if len(rest) < 2:
            return found, True
        from checkrun.route.planner import planned

        try:
            return (*here, *planned(rest, self.outline, begin=self.begin)[0]), True
        except UNPLANNABLE:
            return found, False

    @property
    def stations(self) -> tuple[Station, ...]:
        """The stations in the order in which they are gone round to: the one left comes first."""
        return self._ordered[0]

    @property
    def planned(self) -> bool:
        """Whether that order is a plan's; if not, it is the walking order."""
        return self._ordered[1]

    @property
    def first(self) -> str:
        """The check to go to."""
        return self._first_of[self.stations[0].id][1]

    @property
    def check_ids(self) -> tuple[str, ...]:
        """The checks to be gone round to, in walking order."""
        return self.tally.ids(self.left)
