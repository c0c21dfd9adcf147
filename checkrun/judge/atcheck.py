"""The judgement of what was typed at a check of a walk, and what a session keeps of it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from checkrun.judge.judgement import Car, Outcome, as_data
from checkrun.judge.kinds import from_text, judge
from checkrun.judge.stored import in_si
from checkrun.session.fold import Walk
from checkrun.units import NotAQuantity, preferred
from checkrun.units import unit as unit_named


def car_of(walk: Walk, today: date) -> Car:
    """What a walk knows of its car."""
    return Car(walk.year, walk.facts, {mark.id: mark for mark in walk.route.marks}, today)


def unit_at(walk: Walk, check_id: str, system: str) -> str:
    """The unit bare numbers are taken to be in at a check.

    Args:
        walk: The walk.
        check_id: One of its checks.
        system: `metric` or `us` for the person's own unit of that kind; empty for the route's.
    """
    reading = walk.route.checks[check_id].reading
    if reading is None or not reading.unit or not system:
        return "" if reading is None else reading.unit
    try:
        return str(preferred(unit_named(reading.unit), system))
    except NotAQuantity:
        return reading.unit


def judge_at(
    walk: Walk, check_id: str, text: str, today: date, *, unit: str = ""
) -> dict[str, Any] | None:
    """The judgement of a line typed at a check, as a session keeps it.

    Args:
        walk: The walk.
        check_id: One of its checks.
        text: The line as typed; anything.
        today: The day of the walk.
        unit: The unit bare numbers are in, if it is not that of the route.

    Returns:
        `{result, reasons, sources, problems, si}`; None if the check has no reading or nothing was
        typed. The computed values are not among them: they follow from the line and the route.
    """
    reading = walk.route.checks[check_id].reading
    if reading is None or not text.strip():
        return None
    spec: Mapping[str, Any] = {**reading.spec, **({"unit": reading.unit} if reading.unit else {})}
    other = "" if unit == reading.unit else unit
    fields = from_text(reading.kind, spec, text, other)
    found = as_data(judge(fields, car_of(walk, today)))
    del found["values"]
    return {**found, "si": in_si(fields)}


def outcome_of(judged: Mapping[str, Any] | None) -> Outcome:
    """The outcome of a kept judgement; undecided if there is none."""
    try:
        return Outcome((judged or {}).get("result", "undecided"))
    except ValueError:
        return Outcome.UNDECIDED
