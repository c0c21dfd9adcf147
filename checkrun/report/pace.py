"""How long a walk has taken and how long it is likely to take yet."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from checkrun.session.fold import Walk

#: A longer gap between two entries is a break and does not count as time at the car.
_BREAK = timedelta(minutes=10)


def time_at_car(moments: Iterable[datetime]) -> timedelta:
    """The time between the moments, breaks of over ten minutes left out."""
    total, before = timedelta(), None
    for at in moments:
        if before is not None and timedelta() < at - before <= _BREAK:
            total += at - before
        before = at
    return total


def minutes_to_go(walk: Walk) -> float:
    """The usual minutes of all open checks."""
    checks = walk.route.checks
    return float(sum(checks[check_id].minutes for check_id in walk.open_ids()))
