"""The model years of a route for which it reads the same."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from checkrun.route.model import Only, Route, Years


def stretches(route: Route, layers: Sequence[Route]) -> tuple[Years, ...]:
    """The years of a route, cut wherever a layer or something limited to years begins or ends.

    Within one stretch every year has the same layer and the same checks.

    Args:
        route: The route.
        layers: The routes built on it that a year of it may be walked by.
    """
    ends = [route.years]
    for one in (route, *layers):
        ends += [one.years, *(only.years for only in _limits(one) if only.years is not None)]
    starts = {start for years in ends for start in (years.first, years.last + 1)}
    first, last = route.years.first, route.years.last
    inside = sorted(start for start in starts if first <= start <= last)
    return tuple(Years(start, end - 1) for start, end in pairwise([*inside, last + 1]))


def layers_on(route: Route, others: Iterable[Route]) -> list[Route]:
    """Those of some routes that are built on this one."""
    return [other for other in others if route.id in other.built_on]


def _limits(route: Route) -> Iterator[Only]:
    for station in route.stations:
        yield station.only
        for check in station.checks:
            yield check.only
            yield from (sign.only for sign in check.signs)
    yield from (claim.only for claim in route.claims)
