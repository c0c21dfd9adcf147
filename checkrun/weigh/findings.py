"""Findings in the order a buyer must hear them, each with the reason why it stands there.

Worst class first, after Directive 2014/45/EU (the worst class decides; a sum of lesser faults never
outweighs it, reference pack D6 and D8). Within a class: structure, safety, identity, body,
mechanical, trim, since frame and body cost most to put right (common practice); then a fail before
a concern; then what costs more; then the walking order.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from checkrun.route.model import Check, Group, Result, Severity, Station
from checkrun.session.fold import Walk

_SEVERITIES = tuple(Severity)
_GROUPS = tuple(Group)
_RESULTS = (Result.FAIL, Result.CONCERN, Result.NOT_EXAMINED, Result.PASS)

#: What an hour of work counts for when two findings are put in order by cost, in the same currency
#: as parts. It ranks only; the person's own rate belongs to the cost itself.
_HOUR = Decimal(80)


@dataclass(frozen=True, slots=True)
class Finding:
    """A check that is not a plain pass, in its place.

    Attributes:
        why: The person's reason, where one was given.
        judged: What was computed of the reading; the person's result stands beside it and wins.
        why_here: Why it stands where it does.
    """

    check: Check
    station: Station
    result: Result
    why: str
    note: str
    reading: str
    judged: dict[str, Any] | None
    why_here: str


def findings(walk: Walk) -> tuple[Finding, ...]:
    """Every concern and fail, worst first."""
    return _ranked(walk, lambda found: found.result in (Result.CONCERN, Result.FAIL))


def not_examined(walk: Walk) -> tuple[Finding, ...]:
    """Every check that was not examined, in the order in which it matters."""
    return _ranked(walk, lambda found: found.result is Result.NOT_EXAMINED)


def overruled(walk: Walk) -> tuple[Finding, ...]:
    """Every check whose result is another than its reading was judged, passes among them."""
    return _ranked(walk, lambda found: _differs(found.result, found.judged))


def _differs(result: Result, judged: dict[str, Any] | None) -> bool:
    outcome = "undecided" if judged is None else judged.get("result", "undecided")
    return outcome not in ("undecided", result.value)


def likely_cost(check: Check) -> Decimal:
    """What putting a check right is likely to cost, for ranking; 0 if the route does not say."""
    return Decimal(0) if check.cost is None else check.cost.hours[1] * _HOUR + check.cost.parts[1]


_Key = tuple[int, int, int, Decimal, int]


def _ranked(walk: Walk, wanted: Callable[[Finding], bool]) -> tuple[Finding, ...]:
    keyed: list[tuple[_Key, Finding]] = []
    for index, check_id in enumerate(walk.sequence):
        found = _found(walk, check_id)
        if found is not None and wanted(found):
            key = (
                _SEVERITIES.index(found.check.severity),
                _GROUPS.index(found.check.group),
                _RESULTS.index(found.result),
                -likely_cost(found.check),
                index,
            )
            keyed.append((key, found))
    keyed.sort(key=lambda pair: pair[0])
    above = [None, *(key for key, _ in keyed)]
    return tuple(
        replace(found, why_here=_why_here(key, before))
        for (key, found), before in zip(keyed, above, strict=False)
    )


def _found(walk: Walk, check_id: str) -> Finding | None:
    """A check with its result; None while it is open."""
    state = walk.state(check_id)
    if state.answer is None:
        return None
    return Finding(
        check=walk.route.checks[check_id],
        station=walk.route.station_of[check_id],
        result=state.answer.result,
        why=state.answer.why,
        note=state.note,
        reading=with_unit(state.reading, state.reading_unit),
        judged=state.judged,
        why_here="",
    )


def with_unit(reading: str, unit: str) -> str:
    """A reading as typed, with its unit behind it unless the person wrote one."""
    has_unit = any(sign.isalpha() or sign in "\"'%°" for sign in reading)
    return f"{reading} {unit}" if reading and unit and not has_unit else reading


def _why_here(key: _Key, above: _Key | None) -> str:
    """The rule that put a finding below the one above it, in words."""
    severity, group = _SEVERITIES[key[0]].value, _GROUPS[key[1]].value
    if above is None:
        return f"first: the worst class here is {severity}, and {group} leads in it"
    if key[0] != above[0]:
        return f"{severity} comes after {_SEVERITIES[above[0]].value}; {group} leads in it"
    if key[1] != above[1]:
        return f"{severity} like the one above, but {group} comes after {_GROUPS[above[1]].value}"
    same = f"{severity} and {group} like the one above"
    if key[2] != above[2]:
        return f"{same}, but a {_RESULTS[key[2]].value} comes after a {_RESULTS[above[2]].value}"
    if key[3] != above[3]:
        return f"{same}, but it is likely to cost less to put right"
    return f"{same}; it comes later on the walk"
