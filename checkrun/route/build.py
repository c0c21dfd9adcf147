"""A laid-together tree of nodes to a `Route`, with every problem on the way."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from checkrun.route.kept import Kept
from checkrun.route.model import Check, Claim, Fact, Mark, Only, Order, Place, Route, Station
from checkrun.route.nodes import Map, Node, Scalar, Seq
from checkrun.route.problems import Problem, nearest
from checkrun.route.read import Reader, ident
from checkrun.route.rules import check_references, check_unique
from checkrun.route.schema import ROUTE_KEYS, STATION_KEYS
from checkrun.route.schema_car import read_mark, read_place
from checkrun.route.schema_check import read_check

_Item = TypeVar("_Item", Check, Station)


def build(
    root: Node,
    built_on: tuple[str, ...],
    problems: list[Problem],
    below: Sequence[Map] = (),
    pieces: Sequence[str] = (),
    kept: Kept | None = None,
) -> Route | None:
    """The route a tree stands for.

    Args:
        root: The route's own file laid over the ones it is built on.
        built_on: Their ids, nearest first.
        problems: Where problems are added.
        below: Those routes, each laid together itself, nearest first.
        pieces: The files of the pieces taken into any of them.
        kept: What was made when it was read before, while it is edited.

    Returns:
        The route, or None if what was read makes none.
    """
    reader = Reader(problems)
    values = reader.keys(root, ROUTE_KEYS, "a route")
    if not isinstance(root, Map):
        return None
    places = _places(reader, root.get("places"))
    marks = _marks(reader, root.get("marks"))
    check_unique(root, problems)
    stations = _stations(reader, root.get("stations"), places, kept)
    check_references(root, reader, below, pieces)
    car = values.get("car") or {}
    if any(values.get(key) is None for key in ("id", "title")) or not stations:
        return None
    if car.get("years") is None or car.get("outline") is None:
        return None
    facts: tuple[Fact, ...] = car.get("facts") or ()
    claims: tuple[Claim, ...] = values.get("claims") or ()
    return Route(
        id=values["id"],
        title=values["title"],
        years=car["years"],
        outline=car["outline"],
        about=values.get("about") or "",
        built_on=built_on,
        order=values.get("order") or Order.BY_POSITION,
        facts=facts,
        safety=values.get("safety") or (),
        marks=marks,
        stations=stations,
        claims=claims,
    )


def _places(reader: Reader, node: Node | None) -> dict[str, Place | None]:
    """The places by name; None for one that is written wrongly, so that it is told only once."""
    if not isinstance(node, Map):
        if node is not None:
            reader.shape(node, "`key: value` pairs (places)")
        return {}
    found = {}
    for name, (key_node, value) in node.entries.items():
        ident(reader, key_node)
        found[name] = read_place(reader, value)
    return found


def _marks(reader: Reader, node: Node | None) -> tuple[Mark, ...]:
    if not isinstance(node, Map):
        if node is not None:
            reader.shape(node, "`key: value` pairs (marks)")
        return ()
    found = []
    for name, (key_node, value) in node.entries.items():
        ident(reader, key_node)
        found.append(read_mark(reader, name, value))
    return tuple(mark for mark in found if mark is not None)


def _stations(
    reader: Reader, node: Node | None, places: dict[str, Place | None], kept: Kept | None
) -> tuple[Station, ...]:
    if not isinstance(node, Seq):
        if node is not None:
            reader.shape(node, "a list (stations)")
        return ()
    read = [_station(reader, item, places, kept) for item in node.items]
    stations = [station for station in read if station is not None]
    if not node.items:
        reader.tell(node, "R047", "the route has no station", "Add one under `stations`.")
    return tuple(_put_behind([(station, station.after) for station in stations]))


def _station(
    reader: Reader, node: Node, places: dict[str, Place | None], kept: Kept | None
) -> Station | None:
    values = reader.keys(node, STATION_KEYS, "a station")
    name = values.get("place")
    place = places.get(name) if name is not None else None
    if name is not None and name not in places and isinstance(node, Map):
        _unknown_place(reader, node, name, places)
    checks = _checks(reader, values.get("checks"), kept)
    if values.get("id") is None or values.get("title") is None or place is None:
        return None
    return Station(
        id=values["id"],
        title=values["title"],
        place=place,
        needs=values.get("needs") or (),
        caution=values.get("caution") or "",
        after=values.get("after"),
        only=values.get("only") or Only(),
        checks=checks,
    )


def _unknown_place(reader: Reader, node: Map, name: str, places: dict[str, Place | None]) -> None:
    value = node.get("place")
    assert isinstance(value, Scalar)
    hint = nearest(name, places) or "Add it under `places`."
    reader.tell(value, "R041", f"there is no place `{name}`", hint)


def _checks(reader: Reader, node: Node | None, kept: Kept | None) -> tuple[Check, ...]:
    if node is None:
        return ()
    if not isinstance(node, Seq):
        reader.shape(node, "a list (checks)")
        return ()
    read = [_check(reader, item, kept) for item in node.items]
    return tuple(_put_behind([(check, after) for check, after in read if check is not None]))


def _check(reader: Reader, node: Node, kept: Kept | None) -> tuple[Check | None, str | None]:
    if kept is None:
        return read_check(reader, node)
    return kept.make(reader, node, "check", lambda: read_check(reader, node))


def _put_behind(items: list[tuple[_Item, str | None]]) -> list[_Item]:
    """The items with each that has an `after` directly behind the one it names."""
    known = {item.id for item, _ in items}
    ordered = [item for item, after in items if after is None or after not in known]
    waiting = [(item, after) for item, after in items if after is not None and after in known]
    while waiting:
        left = []
        for item, after in waiting:
            index = next((i for i, other in enumerate(ordered) if other.id == after), None)
            if index is None:
                left.append((item, after))
                continue
            index += 1
            while index < len(ordered) and _follows(ordered[index], after, items):
                index += 1
            ordered.insert(index, item)
        if len(left) == len(waiting):
            ordered.extend(item for item, _ in left)
            break
        waiting = left
    return ordered


def _follows(item: _Item, after: str, items: list[tuple[_Item, Any]]) -> bool:
    """Whether an item was put behind the same one earlier, so that the next goes behind it."""
    return any(other.id == item.id and other_after == after for other, other_after in items)
