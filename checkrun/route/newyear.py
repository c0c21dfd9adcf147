"""A layer for one more model year, ready to edit: all that could differ, commented out.

Lines that begin with `## ` explain. Without the `# ` in front of the others the layer says just
what the route below says; without the `#+ ` too it shows something new of each kind.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from checkrun.route.catalog import Catalog
from checkrun.route.flat import metres
from checkrun.route.jsonschema import MODELINE
from checkrun.route.model import Route
from checkrun.route.order import walk_order
from checkrun.route.problems import RouteError
from checkrun.route.rules_years import family_of
from checkrun.route.written import entry
from checkrun.route.written_route import (
    car_lines,
    check_lines,
    claim_lines,
    mark_lines,
    one_line,
    station_lines,
)

_YEARS = re.compile(r"\b[0-9]{4}(?:\s*-\s*[0-9]{4})?\b")

_NEW_CHECK = """\
      - id: {check}
        ask: Cross bar of the grille, where it meets the lip
        how: Two fingers behind the edge, from corner to corner, torch flat across it.
        pass: Even all along, no step.
        concern: A step that the nail just feels.
        fail: A step that catches the finger.
        why: What a difference here tells.
        reading: {{kind: measure, unit: mm, pass: {{at-most: 0.5}}, fail: {{above: 2}}}}
        tools: [torch, steel rule]
        class: minor
        group: body
        minutes: 0.4
        cost: {{hours: [1, 3, 8], parts: [0, 50, 300], chance: 0.5}}
        only: {{years: {year}}}
        source: common practice
"""
_NEW_STATION = """\
  - id: {station}
    title: One more place to stand
    place: {place}
    checks:
      - id: {check}
        ask: Sound of the panel
        how: Knock with a knuckle from the edge to the middle, ear close by.
        pass: One dull note all over.
        concern: Another note at one spot.
        fail: A hollow note, or a rattle.
        class: minor
        group: body
        source: common practice
"""


def nearest_layer(catalog: Catalog, name: str, year: int) -> Route:
    """The layer of a route that is nearest to a model year, or the route if it has none.

    Of two that are as near it is the earlier one.

    Raises:
        RouteNotFound, RouteError: As `Catalog.load`.
    """
    base = catalog.load(name)
    layers = []
    for found in catalog.all():
        try:
            other = catalog.load(found.id)
        except RouteError:
            continue
        if family_of(other) == base.id:
            away = max(other.years.first - year, year - other.years.last, 0)
            layers.append((away, other.years.span, other.years.first, other.id, other))
    return min(layers)[-1] if layers else base


def layer_text(name: str, base: Route, below: Route, year: int) -> str:
    """The text of the file.

    Args:
        name: The new layer's id.
        base: The route that was asked for.
        below: The route to build on: `base` itself, or a layer on it.
        year: The model year.
    """
    return "\n".join([*_head(name, base, below, year), *_parts(below, year), ""])


def _head(name: str, base: Route, below: Route, year: int) -> Iterator[str]:
    yield MODELINE
    yield f"## {one_line(base.title)}: the model year {year}, laid over `{below.id}`."
    yield "##"
    yield "## As it stands, this layer walks like the route below. What a year may have of its own"
    yield "## is written out here as it is below, behind `# `. To change a line, take the `# ` away"
    yield "## from it and from the lines above that lead to it (`stations:`, the station's `- id:`,"
    yield "## `checks:`, the check's `- id:`), and write what is right for this year. What stays"
    yield "## commented out, or is deleted, stays as it is below. `#+ ` is before what can be new."
    yield "##"
    yield f"##   checkrun lint {name}  tells what is wrong, with its line"
    yield f"##   checkrun differ {base.id} {below.years.first} {year}  tells what differs by now"
    yield "format: 1"
    yield f"id: {name}"
    yield from entry("title", _title(base, year))
    yield from entry("about", f"The model year {year}, so far walked as {below.years}.")
    yield f"built-on: {below.id}"
    yield "car:"
    yield f"  years: {year}"


def _title(base: Route, year: int) -> str:
    """The route's title with the year in place of its years."""
    titled = _YEARS.sub(str(year), base.title, count=1)
    return titled if titled != base.title else f"{base.title}, {year}"


def _parts(below: Route, year: int) -> Iterator[str]:
    yield from _as_is(car_lines(below))
    if below.marks:
        yield from ("##", "## Stamped and cast numbers: where they are this year, how they read.")
        yield "# marks:"
    for mark in below.marks:
        yield from _as_is(mark_lines(mark, below))
    if below.claims:
        yield from (
            "##",
            "## What is said of the car: how likely before looking, what is at stake.",
        )
        yield "# claims:"
    for claim in below.claims:
        yield from _as_is(claim_lines(claim))
    dropped = _droppable(below)
    if dropped:
        yield from ("##", "## What this year does not have: checks, stations, facts, claims by id.")
        yield f"#+ drop: [{dropped}]"
    yield from _stations(below, year)


def _as_is(lines: Iterable[str]) -> Iterator[str]:
    return (f"# {line}" for line in lines)


def _example(text: str) -> Iterator[str]:
    return (f"#+ {line}" for line in text.splitlines())


def _droppable(below: Route) -> str:
    """A check that nothing hangs on, to show how one is taken out; empty if there is none."""
    for station in reversed(walk_order(below)):
        last = station.checks[-1] if len(station.checks) > 1 else None
        if last is None or last.signs or last.reading is not None:
            continue
        if last.cost is None or not last.cost.together:
            return last.id
    return ""


def _stations(below: Route, year: int) -> Iterator[str]:
    walked = walk_order(below)
    taken = below.checks.keys() | {station.id for station in below.stations}
    first = walked[0]
    place = f"{first.id}-{year}"
    at = {axis: metres(getattr(first.place, axis)) for axis in ("x", "y", "z")}
    yield from ("##", "## A place that is elsewhere this year gets a name of its own; metres, x")
    yield "## rearwards from the front axle line, y to the right, z up."
    yield "# places:"
    yield from _as_is(entry(place, at, 2))
    yield from (
        "##",
        "## The stations in walking order, each with its checks. The first station and",
    )
    yield "## the first check show every key they have; the others what changes most often."
    yield "# stations:"
    whole = True
    for station in walked:
        yield from _as_is(station_lines(station, place if station is first else ""))
        for check in station.checks:
            yield from _as_is(check_lines(check, whole=whole))
            if whole:
                new = _free(f"new-check-{year}", taken)
                yield from _example(_NEW_CHECK.format(check=new, year=year))
            whole = False
    station_id, check_id = (_free(f"new-{what}-{year}", taken) for what in ("station", "sound"))
    yield from _example(_NEW_STATION.format(station=station_id, place=place, check=check_id))


def _free(name: str, taken: set[str]) -> str:
    """An id that no check or station has."""
    while name in taken:
        name += "-x"
    return name
