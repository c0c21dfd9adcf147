"""A route as a walk in rows: the way with its stations, and one check as the mechanic sees it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from checkrun.report.glyphs import Glyphs
from checkrun.report.limitwords import limit_rows
from checkrun.report.plan import Mark
from checkrun.report.sheet import Row, check_rows
from checkrun.report.way import Way
from checkrun.route.model import Check, Only, Route, Station
from checkrun.session.fold import CheckState
from checkrun.session.stops import Change

#: One row: runs of text, each with the role that decides its colour.
Runs = list[tuple[str, str]]


def list_rows(
    walked: Way, at: int, check_id: str, mark: Callable[[Station], Mark], glyphs: Glyphs
) -> tuple[list[Runs], int]:
    """The stations with what is done between them, the present one opened to its checks.

    Args:
        walked: The route.
        at: The number of the present station, from 0.
        check_id: The present check.
        mark: How each station stands.
        glyphs: The characters to use.

    Returns:
        The rows, and the place of the present check among them.
    """
    rows: list[Runs] = []
    marked = 0
    for number, halt in enumerate(walked.halts):
        rows += [_change_row(change, glyphs) for change in halt.changes]
        name, title = mark(halt.station).value, f"{number + 1:>2} {halt.station.title}"
        rows.append(
            [
                (f"{glyphs.station[name]} ", f"at-{name}"),
                (title, "ask" if number == at else "text"),
                (f"  {len(halt.station.checks)}", "quiet"),
            ]
        )
        for check in halt.station.checks if number == at else ():
            if check.id == check_id:
                marked = len(rows)
            rows.append([(f"     {check.ask}", "text")])
    rows += [_change_row(change, glyphs) for change in walked.last]
    return rows, marked


def told_rows(walked: Way, at: int, check_id: str, glyphs: Glyphs) -> Iterator[Row]:
    """A check with all that its route says of it; `at` is the number of its station, from 0."""
    if not check_id:
        yield Row("", "Nothing is looked at on a car of this year.", "concern")
        return
    halt, route = walked.halts[at], walked.route
    station, check = halt.station, route.checks[check_id]
    number = [one.id for one in station.checks].index(check_id) + 1
    yield Row("", f"{at + 1}. {station.title}", "title")
    for change in halt.changes:
        yield Row("", f"first: {change.do[0].lower()}{change.do[1:]}", _role(change))
    yield Row("", f"check {number} of {len(station.checks)}, {check.minutes} min", "quiet")
    yield from check_rows(check, station, CheckState(), glyphs)
    if check.reading is not None:
        yield from limit_rows(check.reading, route)
    yield from _only_rows(station, check, route)


def _change_row(change: Change, glyphs: Glyphs) -> Runs:
    return [(f"    {glyphs.rule} {change.do}", _role(change))]


def _role(change: Change) -> str:
    return "caution" if change.caution else "quiet"


def _only_rows(station: Station, check: Check, route: Route) -> Iterator[Row]:
    """On which cars it is looked at, where that is not every one."""
    told = [text for only in (station.only, check.only) for text in _only_words(only, route)]
    if told:
        yield Row("only", "; ".join(dict.fromkeys(told)), "quiet")


def _only_words(only: Only, route: Route) -> Iterator[str]:
    if only.years is not None:
        yield f"model years {only.years}"
    asks = {fact.id: fact.ask for fact in route.facts}
    for fact, wanted in only.facts:
        yield f"{asks.get(fact, fact)}: {wanted}"
