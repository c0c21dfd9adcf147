"""What differs between two years of a route, as text for a terminal and as data."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from checkrun.route.differ import Change, Difference, Part, What

_WIDTH = 96
_SIGNS = {What.ADDED: "+", What.DROPPED: "-", What.CHANGED: "~"}


def as_text(found: Difference, year: int | str, other: int | str) -> str:
    """Every difference, in walking order."""
    return "\n".join(_lines(found, year, other))


def _lines(found: Difference, year: int | str, other: int | str) -> Iterator[str]:
    yield f"{year}: {found.old.title}  [{found.old.id}]"
    yield f"{other}: {found.new.title}  [{found.new.id}]"
    if found.nothing:
        yield f"Nothing differs: {year} and {other} are walked in the same way."
        return
    counts = [_count(kind, parts) for kind, parts in _kinds(found)]
    said = "; ".join(count for count in counts if count)
    yield from _wrapped(said or "No check, station or mark differs.", "  ")
    if found.reordered:
        yield "The checks of both are walked in another order."
    years = str(year), str(other)
    if found.car:
        yield from ("", "The car and the walk")
        yield from _changes(found.car, years)
    for title, parts in (
        ("Asked before the walk", found.facts),
        ("Marks", found.marks),
        ("Claims", found.claims),
    ):
        if parts:
            yield from ("", title)
            for part in parts:
                yield from _part(part, years)
    yield from _walk(found, years)


def _kinds(found: Difference) -> tuple[tuple[str, Sequence[Part]], ...]:
    return (
        ("check", found.checks),
        ("station", found.stations),
        ("question", found.facts),
        ("mark", found.marks),
        ("claim", found.claims),
    )


def _count(kind: str, parts: Sequence[Part]) -> str:
    """Such as `checks: 3 added, 1 dropped`; empty if there are none."""
    numbers = [(sum(part.what is what for part in parts), what.value) for what in What]
    said = ", ".join(f"{number} {what}" for number, what in numbers if number)
    return f"{kind}s: {said}" if said else ""


def _walk(found: Difference, years: tuple[str, str]) -> Iterator[str]:
    """Station by station as they are walked, each with its checks that differ."""
    stations = {part.id: part for part in found.stations}
    titles = {
        station.id: station.title for route in (found.old, found.new) for station in route.stations
    }
    checks: dict[str, list[Part]] = {}
    for check in found.checks:
        checks.setdefault(check.station, []).append(check)
    for name in found.walk:
        station, those = stations.get(name), checks.get(name, [])
        if station is None and not those:
            continue
        yield ""
        if station is None:
            yield f"{titles[name]}  [{name}]"
        else:
            yield f"{titles[name]}  [{name}], {station.what.value}"
            if station.what is What.CHANGED:
                yield from _changes(station.changes, years)
        for check in those:
            yield from _part(check, years)


def _part(part: Part, years: tuple[str, str]) -> Iterator[str]:
    head = f"  {_SIGNS[part.what]} {part.what.value} {part.id}: {_line(part.title)}"
    yield from _wrapped(head, "      ")
    if part.what is What.CHANGED:
        yield from _changes(part.changes, years)


def _changes(changes: Sequence[Change], years: tuple[str, str]) -> Iterator[str]:
    for change in changes:
        old, new = (
            "not there" if value is None else _line(value) for value in (change.old, change.new)
        )
        short = f"      {change.field}: {old} -> {new}"
        if len(short) <= _WIDTH:
            yield short
            continue
        yield f"      {change.field}:"
        for year, value in zip(years, (old, new), strict=True):
            yield from _wrapped(f"        {year}  {value}", " " * (len(year) + 10))


def _wrapped(text: str, further: str) -> list[str]:
    return textwrap.wrap(text, _WIDTH, subsequent_indent=further, break_on_hyphens=False)


def _line(text: str) -> str:
    return " ".join(text.split())


def as_data(found: Difference, route: str, year: int, other: int) -> dict[str, Any]:
    """The same for another program to read."""
    return {
        "route": route,
        "from": {"year": year, "route": found.old.id},
        "to": {"year": other, "route": found.new.id},
        "reordered": found.reordered,
        "car": [_change(change) for change in found.car],
        "facts": [_as_data(part) for part in found.facts],
        "marks": [_as_data(part) for part in found.marks],
        "claims": [_as_data(part) for part in found.claims],
        "stations": [_as_data(part) for part in found.stations],
        "checks": [_as_data(part) for part in found.checks],
    }


def _as_data(part: Part) -> dict[str, Any]:
    at = {"station": part.station} if part.station else {}
    changes = [_change(change) for change in part.changes]
    return {"id": part.id, "what": part.what.value, **at, "title": part.title, "changes": changes}


def _change(change: Change) -> dict[str, str | None]:
    return {"field": change.field, "from": change.old, "to": change.new}
