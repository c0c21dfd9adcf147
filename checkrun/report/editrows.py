"""What stands beside the text of a route while it is written: problems, the check, differences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from checkrun.report.differ import as_text
from checkrun.report.glyphs import Glyphs
from checkrun.report.sheet import Row, check_rows
from checkrun.route.differ import difference
from checkrun.route.draft import Checked, Spot, shown_at
from checkrun.route.model import Check, Route, Station
from checkrun.route.problems import Problem
from checkrun.session.fold import CheckState

#: How many problems are listed; behind so many more there is one that caused them.
_MOST = 60
#: The sign a line begins with -> its role.
_ROLES = {"+": "pass", "-": "fail", "~": "concern"}


def problem_rows(checked: Checked, marked: int, glyphs: Glyphs) -> Iterator[Row]:
    """The problems, the one at the cursor with what to do.

    Args:
        checked: What the text comes to.
        marked: The place of the marked problem among those of the file; -1 for none.
        glyphs: The characters.
    """
    if not checked.here and not checked.elsewhere:
        yield Row("", "No problem. It can be walked.", "pass")
        return
    if checked.walkable:
        yield Row("", "It can be walked; what is told here would make it better.", "pass")
    for place, problem in enumerate(checked.here[:_MOST]):
        role = "concern" if problem.warning else "fail"
        glyph = glyphs.result[role]
        text = f"{problem.line}: {problem.message}"
        yield Row(f"{glyph} {problem.code}", text, "marked" if place == marked else role)
        if problem.hint:
            yield Row("", f"  {problem.hint}", "text" if place == marked else "quiet")
    if len(checked.here) > _MOST:
        yield Row("", f"and {len(checked.here) - _MOST} more", "quiet")
    if checked.elsewhere:
        yield Row("", "In other files", "title")
        for problem in checked.elsewhere[:_MOST]:
            yield Row("", str(problem), "concern" if problem.warning else "fail")


def why_not(checked: Checked) -> str:
    """Why a file can't be walked, in a few words; empty if it can."""
    if checked.walkable:
        return ""
    errors = [problem for problem in (*checked.here, *checked.elsewhere) if not problem.warning]
    if not errors:
        return "it can't be walked yet"
    first: Problem = errors[0]
    where = f"line {first.line}" if first in checked.here else f"{first.file}:{first.line}"
    more = f", and {len(errors) - 1} more" if len(errors) > 1 else ""
    return f"it can't be walked yet: {where}, {first.message}{more}"


def preview_rows(route: Route | None, spot: Spot, glyphs: Glyphs, *, old: bool) -> Iterator[Row]:
    """The check at the cursor as the mechanic will see it, or its station.

    Args:
        route: The route as it was when it could be read last; None if it never could.
        spot: What stands at the cursor.
        glyphs: The characters.
        old: Whether the text has changed so since then that it can't be read.
    """
    if route is None:
        yield Row("", "A check can be shown once the file makes a route.", "quiet")
        return
    if old:
        yield Row("", "As it was before the problem that stands in the text now.", "concern")
    found = shown_at(route, spot)
    if found is None:
        yield Row("", "Put the cursor into a check or a station.", "quiet")
        return
    station, check = found
    yield Row("", station.title, "title")
    if check is None:
        yield from _station_rows(station)
        return
    yield from check_rows(check, station, CheckState(), glyphs)
    yield from _author_rows(check)


def _station_rows(station: Station) -> Iterator[Row]:
    for part, value in station.needs:
        yield Row(part, value)
    if station.caution:
        yield Row("CARE", station.caution, "caution")
    for check in station.checks:
        yield Row("", check.ask, "ask")


def _author_rows(check: Check) -> Iterator[Row]:
    """What the mechanic does not see of a check at the car."""
    cost = check.cost
    if cost is not None:
        hours = " ".join(str(value) for value in cost.hours or ())
        parts = " ".join(str(value) for value in cost.parts or ())
        yield Row("cost", f"{hours or '-'} hours, parts {parts or '-'}", "quiet")
    for sign in check.signs:
        yield Row("speaks of", f"{sign.claim}" + (f", {sign.cause}" if sign.cause else ""), "quiet")
    years = check.only.years
    if years is not None:
        yield Row("only", f"model years {years}", "quiet")


def differing_rows(
    parent: tuple[str, Route] | None, route: Route | None, started: Route | None
) -> Iterator[Row]:
    """What differs from the route below, or from the file as it was opened.

    Args:
        parent: What lies below or is hidden, and what to call it.
        route: The route as it is now, or was when it could be read last.
        started: The route as it was when the file was opened.
    """
    if route is None:
        yield Row("", "Differences can be shown once the file makes a route.", "quiet")
        return
    label, other = parent if parent is not None else ("as opened", started)
    if other is None:
        yield Row("", "There is nothing yet to hold it against.", "quiet")
        return
    yield Row("", f"What differs from {label}", "title")
    counts = True
    for line in as_text(difference(other, route), "before", "now").splitlines()[2:]:
        counts = counts and bool(line)
        role = _ROLES.get(line.lstrip()[:1], "text")
        yield Row("", line, role if counts or line.startswith("  ") else "ask")


def next_problem(problems: Sequence[Problem], line: int, column: int) -> int:
    """The place of the first problem behind a spot, from the end on the first; -1 for none."""
    behind = (i for i, p in enumerate(problems) if (p.line, p.column) > (line, column))
    return next(behind, 0 if problems else -1)
