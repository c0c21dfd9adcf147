"""The command `order`: the order in which a route is walked, and what that costs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from checkrun.commands import Arguments
from checkrun.commands.context import catalog, print_json
from checkrun.route.model import Order, Route
from checkrun.route.planner import MOST, plan
from checkrun.route.walktask import needs_of
from checkrun.session.stops import Change, changes_to

if TYPE_CHECKING:
    from checkrun.route.planner import Cost, Plan


def order(args: Arguments) -> int:
    """Print a route's stations in walking order, and what the order as written would cost."""
    route = _route(args)
    found = plan(route)
    if args.json:
        print_json(_as_data(found))
    else:
        for line in (*_stations(route, found), "", *_sums(route, found)):
            print(line)
    return 0


def _route(args: Arguments) -> Route:
    """The route as it is, or the one for a model year, cut to that year."""
    if args.year is None:
        return catalog().load(args.route)
    from checkrun.route.tailor import of_year

    return of_year(catalog().for_year(args.route, args.year), args.year)


def _as_data(found: Plan) -> dict[str, object]:
    written = {"order": [station.id for station in found.as_written]} | _figures(found.written)
    if found.too_late is not None:
        late, first = found.too_late
        written["must_come_first"] = {"station": first.id, "before": late.id}
    return (
        {"order": [station.id for station in found.order]}
        | _figures(found.cost)
        | {"lower_bound": found.lower_bound, "as_written": written}
    )


def _figures(cost: Cost) -> dict[str, object]:
    return {
        "metres": round(cost.metres, 1),
        "lift_moves": cost.lift_moves,
        "seconds": cost.seconds,
    }


def _stations(route: Route, found: Plan) -> Iterator[str]:
    """The stations by number, and between them what is done to the car."""
    state: dict[str, str] = {}

    def told(changes: tuple[Change, ...]) -> Iterator[str]:
        for change in changes:
            state[change.part] = change.value
            yield f"     - {change.do}"

    for number, station in enumerate(found.order, start=1):
        yield from told(changes_to(state, needs_of(station, route.outline)))
        yield f"{number:>3}. {station.title}"
    yield from told(changes_to(state, {"car": "down"} if state.get("car") == "raised" else {}))


def _sums(route: Route, found: Plan) -> Iterator[str]:
    cost, written = found.cost, found.written
    looking = float(sum(check.minutes for check in route.checks.values()))
    yield f"{'':14}{'planned':>10}{'as written':>12}"
    yield f"{'on foot':14}{cost.metres:>8.0f} m{written.metres:>10.0f} m"
    yield f"{'lift moves':14}{cost.lift_moves:>8}  {written.lift_moves:>10}"
    yield f"{'minutes':14}{cost.seconds / 60:>8.1f}  {written.seconds / 60:>10.1f}"
    yield f"Minutes are walking and changes; looking takes {looking:.0f} more in any order."
    if len(found.order) > MOST:
        yield f"More than {MOST} stations are not planned but walked by position."
    elif found.cost.seconds == found.lower_bound:
        yield "No order takes less: this is the best there is."
    else:
        least = found.lower_bound / 60
        yield f"No order takes less than {least:.1f}: this one is at most {found.gap:.1%} longer."
    if found.too_late is not None:
        late, first = found.too_late
        yield f"As written, `{late.id}` comes before `{first.id}`, which must come first."
    if route.order is Order.AS_WRITTEN:
        yield "The route says `order: as-written`, so it is walked as written."
