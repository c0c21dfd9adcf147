"""Marks that nothing reads, places where nobody stands, and what is for no car of the route."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from checkrun.route.layers import members
from checkrun.route.model import Years
from checkrun.route.nodes import Map, Node, Scalar
from checkrun.route.problems import Problem, closest
from checkrun.route.read import Reader, shown, years


def check_orphans(root: Map, below: Sequence[Map], problems: list[Problem]) -> None:
    """Warn of marks and places that nothing names, and of parts that no model year has.

    What a layer leaves alone by dropping the rest was right where it was written.
    """
    marks = "no check or fact reads the mark", "Give a reading or a fact `mark: {}`, or take it out"
    places = "no station is at the place", "Stand a station there by `place: {}`, or take it out"
    _tell(root, below, "marks", _marks_used, ("R077", *marks), problems)
    _tell(root, below, "places", _places_used, ("R078", *places), problems)
    _tell_for_nobody(root, problems)


def _tell(
    root: Map,
    below: Sequence[Map],
    key: str,
    used: Callable[[Map], Iterator[Node | None]],
    says: tuple[str, str, str],
    problems: list[Problem],
) -> None:
    there = root.get(key)
    if not isinstance(there, Map) or not there.entries:
        return
    named = _texts(used(root))
    alone = {name: node for name, (node, _) in there.entries.items() if name not in named}
    if not alone:
        return
    # A name that is misspelt where it is used is told there, and nothing is alone then.
    alone = {name: node for name, node in alone.items() if not _meant(name, named, there)}
    for layer in below if alone else ():
        named |= _texts(used(layer))
    code, message, hint = says
    for name, node in alone.items():
        if name not in named:
            text = f"{message} `{shown(name)}`"
            problems.append(node.problem(code, text, f"{hint.format(name)}.", warning=True))


def _texts(nodes: Iterator[Node | None]) -> set[str]:
    return {node.text for node in nodes if isinstance(node, Scalar)}


def _meant(name: str, named: set[str], there: Map) -> bool:
    return any(closest(other, there.entries) == name for other in named - there.entries.keys())


def _marks_used(root: Map) -> Iterator[Node | None]:
    for fact in members(root.get("car"), "facts"):
        yield fact.get("mark")
    for station in members(root, "stations"):
        for check in members(station, "checks"):
            reading = check.get("reading")
            yield reading.get("mark") if isinstance(reading, Map) else None


def _places_used(root: Map) -> Iterator[Node | None]:
    for station in members(root, "stations"):
        yield station.get("place")


def _tell_for_nobody(root: Map, problems: list[Problem]) -> None:
    car = root.get("car")
    own = car.get("years") if isinstance(car, Map) else None
    covered = None if own is None else _years(own)
    if own is None or covered is None:
        return
    parts = [*members(root, "stations"), *members(root, "claims")]
    for station in members(root, "stations"):
        for check in members(station, "checks"):
            parts += [check, *members(check, "signs")]
    for part in parts:
        only = part.get("only")
        node = only.get("years") if isinstance(only, Map) else None
        # A layer of one year leaves much of the route below to the others.
        if node is None or node.file != own.file:
            continue
        wanted = _years(node)
        if wanted is not None and (wanted.last < covered.first or wanted.first > covered.last):
            message = f"no car of this route is of {wanted}"
            hint = f"The route covers {covered}; mend the years, or take it out."
            problems.append(node.problem("R081", message, hint, warning=True))


def _years(node: Node) -> Years | None:
    """The years as read; what is wrong with them is told elsewhere."""
    return years(Reader([]), node)
