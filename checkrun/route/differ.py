"""What differs between a route for one model year and for another, in walking order."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Protocol, TypeVar

from checkrun.route.catalog import Catalog
from checkrun.route.flat import (
    Flat,
    flat_car,
    flat_check,
    flat_claim,
    flat_fact,
    flat_mark,
    flat_station,
)
from checkrun.route.model import Route, Station
from checkrun.route.order import walk_order
from checkrun.route.tailor import of_year


class What(Enum):
    """What became of a part from the first route to the second."""

    ADDED = "added"
    DROPPED = "dropped"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class Change:
    """One field that differs.

    Attributes:
        field: By the keys of the route format, such as `reading.pass.at-most`.
        old: Of the first route; None where it is not there.
        new: Of the second route; None where it is not there.
    """

    field: str
    old: str | None
    new: str | None


@dataclass(frozen=True, slots=True)
class Part:
    """A fact, mark, claim, station or check that differs.

    Attributes:
        id: Its id.
        title: What it is called, in the second route where it is there.
        what: Whether it was added, dropped or changed.
        changes: Field by field; for what was added or dropped every field it has.
        station: Of a check, the id of the station it is done from.
    """

    id: str
    title: str
    what: What
    changes: tuple[Change, ...]
    station: str = ""


@dataclass(frozen=True, slots=True)
class Difference:
    """All that differs between two routes, but for what each is called and says of itself.

    Attributes:
        old: The first route, cut to its year.
        new: The second one.
        car: Outline, order and safety notes.
        stations: In walking order, as are the checks; what was dropped stands where it was done.
        walk: The ids of all stations of both in that order.
        reordered: Whether the checks of both are walked in another order.
    """

    old: Route
    new: Route
    car: tuple[Change, ...]
    facts: tuple[Part, ...]
    marks: tuple[Part, ...]
    claims: tuple[Part, ...]
    stations: tuple[Part, ...]
    checks: tuple[Part, ...]
    walk: tuple[str, ...]
    reordered: bool

    @property
    def nothing(self) -> bool:
        """Whether the two are walked in just the same way."""
        parts = (self.car, self.facts, self.marks, self.claims, self.stations, self.checks)
        return not any(parts) and not self.reordered


def differ(catalog: Catalog, name: str, year: int, other: int) -> Difference:
    """What differs between two model years of a route.

    Raises:
        RouteNotFound, RouteError: As `Catalog.load`.
        YearNotCovered: As `Catalog.for_year`.
    """
    old, new = (of_year(catalog.for_year(name, each), each) for each in (year, other))
    return difference(old, new)


def difference(old: Route, new: Route) -> Difference:
    """What differs between two routes."""
    before, after = walk_order(old), walk_order(new)
    checks, others = _walked(before), _walked(after)
    shared = checks.keys() & others.keys()
    return Difference(
        old,
        new,
        _changes(flat_car(old), flat_car(new)),
        _parts(_by_id(old.facts), _by_id(new.facts), flat_fact, lambda fact: fact.ask),
        _parts(_by_id(old.marks), _by_id(new.marks), flat_mark, lambda mark: mark.title),
        _parts(_by_id(old.claims), _by_id(new.claims), flat_claim, lambda claim: claim.says),
        _parts(_by_id(before), _by_id(after), flat_station, lambda station: station.title),
        _check_parts(old, new, checks, others),
        tuple(merged([station.id for station in before], [station.id for station in after])),
        [name for name in checks if name in shared] != [name for name in others if name in shared],
    )


def _check_parts(
    old: Route, new: Route, checks: Mapping[str, Flat], others: Mapping[str, Flat]
) -> tuple[Part, ...]:
    def title(flat: Flat) -> str:
        return flat.get("ask", "")

    found = []
    for part in _parts(checks, others, lambda flat: flat, title):
        route = old if part.what is What.DROPPED else new
        station = route.station_of[part.id].id
        found.append(Part(part.id, part.title, part.what, part.changes, station))
    return tuple(found)


def _walked(stations: Sequence[Station]) -> dict[str, Flat]:
    """The checks in walking order, each with the station it is done from as one of its fields."""
    return {
        check.id: {"station": station.id, **flat_check(check)}
        for station in stations
        for check in station.checks
    }


class _Named(Protocol):
    @property
    def id(self) -> str: ...


_Item = TypeVar("_Item")
_NamedItem = TypeVar("_NamedItem", bound=_Named)


def _by_id(items: Iterable[_NamedItem]) -> dict[str, _NamedItem]:
    return {item.id: item for item in items}


def _parts(
    old: Mapping[str, _Item],
    new: Mapping[str, _Item],
    flat: Callable[[_Item], Flat],
    title: Callable[[_Item], str],
) -> tuple[Part, ...]:
    found = []
    for name in merged(list(old), list(new)):
        here = name in new
        item = new[name] if here else old[name]
        changes = _changes(flat(old[name]) if name in old else {}, flat(new[name]) if here else {})
        what = What.CHANGED if here and name in old else What.ADDED if here else What.DROPPED
        if changes or what is not What.CHANGED:
            found.append(Part(name, title(item), what, changes))
    return tuple(found)


def merged(old: Sequence[str], new: Sequence[str]) -> list[str]:
    """The names of both in the order of the new; one that it lacks stands behind what led to it."""
    there = set(new)
    behind: dict[str | None, list[str]] = {}
    last: str | None = None
    for name in old:
        if name in there:
            last = name
        else:
            behind.setdefault(last, []).append(name)
    names = list(behind.get(None, ()))
    for name in new:
        names += [name, *behind.get(name, ())]
    return names


def _changes(old: Flat, new: Flat) -> tuple[Change, ...]:
    return tuple(
        Change(field, old.get(field), new.get(field))
        for field in merged(list(old), list(new))
        if old.get(field) != new.get(field)
    )
