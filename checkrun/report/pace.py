"""How long a walk has taken and how long it is likely to take yet."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

from checkrun.session.fold import Walk

#: A longer gap between two entries is a break and does not count as time at the car.
_BREAK = timedelta(minutes=10)


class Pace:
    """The time at the car so far and the usual time of what is still open.

    It follows a walk that grows: each call looks at the new events only, so that its cost does not
    grow with the walk.
    """

    def __init__(self, walk: Walk) -> None:
        self._walk = walk
        self._seen = 0
        self._spent = timedelta()
        self._open: set[str] = set()
        self._minutes = Decimal(0)
        self._count_anew()

    def spent(self) -> timedelta:
        """The time between the entries, breaks of over ten minutes left out."""
        self._follow()
        return self._spent

    def minutes_to_go(self) -> float:
        """The usual minutes of all open checks."""
        self._follow()
        return float(self._minutes)

    def _follow(self) -> None:
        events = self._walk.events
        anew = False
        for place in range(self._seen, len(events)):
            event = events[place]
            if place:
                gap = event.at - events[place - 1].at
                if timedelta() < gap <= _BREAK:
                    self._spent += gap
            if "check" in event.data:
                self._count(event.data["check"])
            else:
                anew = True
        self._seen = len(events)
        if anew:
            self._count_anew()

    def _count(self, check_id: str) -> None:
        """Take one check in or out of what is open."""
        check = self._walk.route.checks.get(check_id)
        is_open = self._walk.state(check_id).answer is None
        if check is None or is_open == (check_id in self._open):
            return
        (self._open.add if is_open else self._open.discard)(check_id)
        self._minutes += check.minutes if is_open else -check.minutes

    def _count_anew(self) -> None:
        """Count everything: an undo or another route can change any check."""
        self._open = set(self._walk.open_ids())
        checks = self._walk.route.checks
        self._minutes = sum((checks[check_id].minutes for check_id in self._open), Decimal(0))
