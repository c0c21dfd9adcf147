"""Bringing the car into the state a station needs: the stop, its record, and if it can't be."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from checkrun.route.model import Station
from checkrun.session.session import Session
from checkrun.session.stops import Change, changes_before

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp


def needed(session: Session, check_id: str) -> tuple[Change, ...]:
    """What must be done to the car before a check; nothing if it has its result already."""
    walk = session.walk
    if session.read_only or walk.signed is not None or walk.state(check_id).answer is not None:
        return ()
    return changes_before(walk.car_state, walk.route.station_of[check_id])


def ask(
    app: CheckrunApp,
    changes: tuple[Change, ...],
    station: Station | None,
    done: Callable[[str | None], None],
) -> None:
    """Show the stop before a station, or for a change asked for by hand if there is none."""
    from checkrun.screens.stop import StopScreen

    title = "Change of the car's state" if station is None else f"Before: {station.title}"
    app.push_screen(StopScreen(title, changes, can_refuse=station is not None), done)


def record(session: Session, changes: tuple[Change, ...]) -> None:
    """Write down what was confirmed, each with the caution that was shown."""
    for change in changes:
        session.confirm_state({change.part: change.value}, change.caution)


def blocked_by(session: Session, changes: tuple[Change, ...]) -> list[str]:
    """The open checks that can't be done while these changes can't."""
    walk = session.walk
    blocked = {
        station.id
        for station in walk.stations
        if not set(changes).isdisjoint(changes_before(walk.car_state, station))
    }
    return [
        check_id for check_id in walk.open_ids() if walk.route.station_of[check_id].id in blocked
    ]


def before_stop(session: Session, check_id: str, came_from: str) -> str:
    """Where to go when the car is left as it is: back, else to the nearest check that is free."""
    walk = session.walk
    station_of = walk.route.station_of

    def free(candidate: str) -> bool:
        return not changes_before(walk.car_state, station_of[candidate])

    if came_from in walk.index and free(came_from):
        return came_from
    earlier = walk.sequence[: walk.index[check_id]]
    later = walk.sequence[walk.index[check_id] + 1 :]
    return next((found for found in (*reversed(earlier), *later) if free(found)), check_id)
