"""A route as a walk: its stations in order, what is done to the car between them, what it takes."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from checkrun.route.model import Order, Route, Station
from checkrun.route.planner import MOST, Cost, Plan, plan
from checkrun.session.stops import Change, changes_before, changes_to


@dataclass(frozen=True, slots=True)
class Halt:
    """A station on the way.

    Attributes:
        changes: What is done to the car before it.
        before: Minutes of looking at all stations before it.
    """

    station: Station
    changes: tuple[Change, ...]
    before: Decimal


@dataclass(frozen=True, slots=True)
class Way:
    """A route as it is walked.

    Attributes:
        halts: In walking order.
        last: What is done to the car at the end.
        minutes: Looking, over all checks.
        cost: Walking and changes in this order.
        found: What the planner knows of it.
        as_written: Whether the author's order is kept.
    """

    route: Route
    halts: tuple[Halt, ...]
    last: tuple[Change, ...]
    minutes: Decimal
    cost: Cost
    found: Plan
    as_written: bool

    @property
    def stations(self) -> tuple[Station, ...]:
        """The stations in walking order."""
        return tuple(halt.station for halt in self.halts)


def way(route: Route) -> Way:
    """The walk of a route, or of one already cut to a year or car."""
    found = plan(route)
    written = route.order is Order.AS_WRITTEN
    halts: list[Halt] = []
    state: dict[str, str] = {}
    minutes = Decimal(0)
    for station in found.as_written if written else found.order:
        changes = changes_before(state, station)
        state.update((change.part, change.value) for change in changes)
        halts.append(Halt(station, changes, minutes))
        minutes += sum((check.minutes for check in station.checks), Decimal(0))
    return Way(
        route,
        tuple(halts),
        changes_to(state, {"car": "down"} if state.get("car") == "raised" else {}),
        minutes,
        found.written if written else found.cost,
        found,
        written,
    )


def place_words(walked: Way, at: int, *, roomy: bool) -> str:
    """How far one is at a station, by number and by minutes of looking."""
    before = walked.halts[at].before if walked.halts else Decimal(0)
    count = f"{at + 1 if walked.halts else 0}/{len(walked.halts)}"
    if roomy:
        return f"station {count}, {before:.0f} of {walked.minutes:.0f} minutes in"
    return f"{count}, {before:.0f}/{walked.minutes:.0f} min"


def cost_words(walked: Way, *, roomy: bool) -> str:
    """What walking and changing the car takes, and whether that can be less."""
    cost = walked.cost
    moves = f"{cost.lift_moves} lift move{'' if cost.lift_moves == 1 else 's'}"
    if roomy:
        minutes = f"{cost.seconds / 60:.0f} minutes on the way"
        return f"{cost.metres:.0f} m on foot, {moves}, {minutes}; {order_words(walked)}"
    return f"{cost.metres:.0f} m, {moves}, +{cost.seconds / 60:.0f}; {_short(walked)}"


def order_words(walked: Way) -> str:
    """Whether the order is the best there is, and if not, what is known of that."""
    if len(walked.halts) > MOST:
        return "by position, not planned"
    if walked.as_written:
        return f"as written, {_more(walked)}"
    if walked.found.gap == 0:
        return "proven: no order takes less"
    return f"at most {walked.found.gap:.1%} over the best order"


def _more(walked: Way) -> str:
    longer = (walked.found.written.seconds - walked.found.cost.seconds) / 60
    return f"{longer:.1f} min over the planned order" if longer > 0 else "as quick as planned"


def _short(walked: Way) -> str:
    if len(walked.halts) > MOST:
        return "not planned"
    if walked.as_written:
        return "as written"
    return "proven best" if walked.found.gap == 0 else f"gap {walked.found.gap:.1%}"
