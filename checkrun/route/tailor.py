"""Cut a route to one car: what does not apply to its model year and facts falls away."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from checkrun.route.model import Check, Claim, Only, Order, Route, Station
from checkrun.route.order import walk_order


def applies(only: Only, year: int, facts: Mapping[str, str]) -> bool:
    """Whether something limited by `only` belongs on a car.

    A fact that was not answered at the intake keeps a check on the walk: better one look too many.
    """
    if only.years is not None and year not in only.years:
        return False
    return all(facts.get(fact, "") in ("", wanted) for fact, wanted in only.facts)


def tailor(route: Route, year: int, facts: Mapping[str, str]) -> Route:
    """The route with only the stations, checks, signs and claims that apply to this car.

    A station left without checks is left out, and so are the signs of a claim that is left out.
    """
    return _cut(route, year, facts, [c for c in route.claims if _said_of(c, year, facts)])


def of_year(route: Route, year: int) -> Route:
    """The route for every car of a model year: what hangs on an answer stays, also claims."""
    return _cut(route, year, {}, [c for c in route.claims if applies(c.only, year, {})])


def _cut(route: Route, year: int, facts: Mapping[str, str], claims: Sequence[Claim]) -> Route:
    """The route with these claims and what else applies."""
    dropped = {claim.id for claim in route.claims}.difference(claim.id for claim in claims)
    stations = tuple(
        station
        for station in (
            _tailor_station(station, year, facts, dropped)
            for station in route.stations
            if applies(station.only, year, facts)
        )
        if station.checks
    )
    return replace(route, stations=stations, claims=tuple(claims))


def _said_of(claim: Claim, year: int, facts: Mapping[str, str]) -> bool:
    """Whether a claim is made of a car: unlike a check, it is not where nobody was asked."""
    said = all(facts.get(fact) for fact, _ in claim.only.facts)
    return said and applies(claim.only, year, facts)


def as_walked(route: Route, year: int, facts: Mapping[str, str]) -> Route:
    """The route as one car is walked: cut to it, and its stations in walking order for good.

    A session keeps this, so that a better planner never reorders a walk that was begun before it.
    """
    cut = tailor(route, year, facts)
    return replace(cut, stations=walk_order(cut), order=Order.AS_WRITTEN)


def _tailor_station(
    station: Station, year: int, facts: Mapping[str, str], dropped: Collection[str]
) -> Station:
    checks = tuple(
        _tailor_signs(check, year, facts, dropped)
        for check in station.checks
        if applies(check.only, year, facts)
    )
    return station if checks == station.checks else replace(station, checks=checks)


def _tailor_signs(
    check: Check, year: int, facts: Mapping[str, str], dropped: Collection[str]
) -> Check:
    if not any(sign.only != Only() or sign.claim in dropped for sign in check.signs):
        return check
    signs = tuple(
        sign
        for sign in check.signs
        if sign.claim not in dropped and applies(sign.only, year, facts)
    )
    return replace(check, signs=signs)
