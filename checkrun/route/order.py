"""The walking order of a route's stations: `walk_order` is the one place that decides it."""

from __future__ import annotations

from checkrun.route.after import after_honoured
from checkrun.route.model import Order, Route, Station
from checkrun.route.zones import Zone, zone

__all__ = ["Zone", "walk_order", "zone"]


def walk_order(route: Route) -> tuple[Station, ...]:
    """The route's stations in the order they are walked.

    By position the planner orders them for the least time; see `checkrun.route.planner`. It is
    deterministic. An `as-written` route keeps its own order. `after` is always honoured.
    """
    if route.order is Order.AS_WRITTEN:
        return after_honoured(route.stations)
    # Loaded only where a plan is made: a session keeps its order and needs none.
    from checkrun.route.planner import planned

    return planned(route.stations, route.outline)[0]
