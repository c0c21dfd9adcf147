"""How the layers of one route go together: no year twice, none left out, no check lost between two.

A layer for years is told by its name, the name of a route it is built on and its years:
`plover-1966` or `plover-1964-1966` on `plover`. Other routes that are built on it, such as one for
another make, have years of their own.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from checkrun.route.model import Route, Years
from checkrun.route.nodes import Map, Node, Scalar, Seq
from checkrun.route.problems import Problem
from checkrun.route.read import shown

_NAME = re.compile(r"(.+?)-[0-9]{4}(?:-[0-9]{4})?")


@dataclass(frozen=True, slots=True)
class _Layer:
    """A layer for some years, with the place where they are written."""

    route: Route
    root: Map
    years: Node


def family_of(route: Route) -> str | None:
    """The route whose years a layer is for, as its name says; None if it is no such layer."""
    match = _NAME.fullmatch(route.id)
    return match[1] if match is not None and match[1] in route.built_on else None


def check_years(routes: Iterable[tuple[Route, Node | None]]) -> list[Problem]:
    """Warn of layers that leave gaps or overlap, and of a check that one lacks between two.

    Args:
        routes: Those that can be walked, each with the tree of its own file.
    """
    problems: list[Problem] = []
    families: dict[str, list[_Layer]] = {}
    for route, root in routes:
        family = family_of(route)
        car = root.get("car") if isinstance(root, Map) else None
        years = car.get("years") if isinstance(car, Map) else None
        if family is not None and isinstance(root, Map) and years is not None:
            families.setdefault(family, []).append(_Layer(route, root, years))
    for name, layers in families.items():
        layers.sort(key=lambda layer: (layer.route.years.first, layer.route.id))
        _tell_overlaps(layers, problems)
        _tell_gaps(name, layers, problems)
        _tell_lacking(name, layers, problems)
    return sorted(problems)


def _tell_overlaps(layers: Sequence[_Layer], problems: list[Problem]) -> None:
    for at, layer in enumerate(layers):
        for earlier in layers[:at]:
            one, other = earlier.route, layer.route
            if one.id in other.built_on or other.id in one.built_on:
                continue
            both = max(one.years.first, other.years.first), min(one.years.last, other.years.last)
            if both[0] <= both[1]:
                problems.append(
                    layer.years.problem(
                        "R076",
                        f"`{one.id}` covers {Years(*both)} too ({earlier.years.file}, line "
                        f"{earlier.years.line})",
                        "Give each layer years of its own, or build one on the other.",
                        warning=True,
                    )
                )


def _tell_gaps(name: str, layers: Sequence[_Layer], problems: list[Problem]) -> None:
    covered = layers[0].route.years.last
    for layer in layers[1:]:
        first = layer.route.years.first
        if first > covered + 1:
            gap = Years(covered + 1, first - 1)
            problems.append(
                layer.years.problem(
                    "R075",
                    f"no layer covers {gap}: such a car is walked by `{name}` as it stands",
                    f"Make one: checkrun new-year {name} {gap.first}.",
                    warning=True,
                )
            )
        covered = max(covered, layer.route.years.last)


def _tell_lacking(base: str, layers: Sequence[_Layer], problems: list[Problem]) -> None:
    """Tell each check that years before and after have, and one between has not.

    What a layer, or one it is built on, names under `drop` is left out on purpose.
    """
    roots = {layer.route.id: layer.root for layer in layers}
    for layer in layers:
        route = layer.route
        before = [other for other in layers if other.route.years.last < route.years.first]
        behind = [other for other in layers if other.route.years.first > route.years.last]
        lacking = (_checks(before) & _checks(behind)) - route.checks.keys()
        if not lacking:
            continue
        below = [roots[name] for name in route.built_on if name in roots]
        dropped = {name for root in (layer.root, *below) for name in _dropped(root)}
        for check in sorted(lacking - dropped):
            one, other = _having(before, check)[-1], _having(behind, check)[0]
            if one.station_of[check].id in dropped:
                continue
            problems.append(
                layer.years.problem(
                    "R079",
                    f"`{one.id}` and `{other.id}` have the check `{shown(check)}`, and the years "
                    "between have not",
                    f"Add it here too; or put it into `{base}`, and `drop` it here.",
                    warning=True,
                )
            )


def _checks(layers: Sequence[_Layer]) -> set[str]:
    return {check for layer in layers for check in layer.route.checks}


def _having(layers: Sequence[_Layer], check: str) -> list[Route]:
    return [layer.route for layer in layers if check in layer.route.checks]


def _dropped(root: Map) -> set[str]:
    drop = root.get("drop")
    items = drop.items if isinstance(drop, Seq) else []
    return {item.text for item in items if isinstance(item, Scalar)}
