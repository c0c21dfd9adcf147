"""Findings in the order a buyer must hear them, each with the reason why it stands there.

Worst class first, after Directive 2014/45/EU (the worst class decides; a sum of lesser faults never
outweighs it, reference pack D6 and D8). Within a class: structure, safety, identity, body,
mechanical, trim, since frame and body cost most to put right (common practice); then a fail before
a concern; then what costs more; then the walking order.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from checkrun.route.model import Check, Group, Result, Severity, Station
from checkrun.session.fold import Walk

_SEVERITIES = tuple(Severity)
_GROUPS = tuple(Group)
_RESULTS = (Result.FAIL, Result.CONCERN, Result.NOT_EXAMINED)

#: What an hour of work counts for when two findings are put in order by cost, in the same currency
#: as parts. It ranks only; the person's own rate belongs to the cost itself.
_HOUR = Decimal(80)


@dataclass(frozen=True, slots=True)
class Finding:
    """A check that is not a plain pass, in its place.

    Attributes:
        why: The person's reason, where one was given.
        why_here: Why it stands where it does.
    """

    check: Check
    station: Station
    result: Result
    why: str
    note: str
    reading: str
    why_here: str


def findings(walk: Walk) -> tuple[Finding, ...]:
    """Every concern and fail, worst first."""
    return _ranked(walk, (Result.CONCERN, Result.FAIL))


def not_examined(walk: Walk) -> tuple[Finding, ...]:
    """Every check that was not examined, in the order in which it matters."""
    return _ranked(walk, (Result.NOT_EXAMINED,))


def likely_cost(check: Check) -> Decimal:
    """What putting a check right is likely to cost, for ranking; 0 if the route does not say."""
    return Decimal(0) if check.cost is None else check.cost.hours[1] * _HOUR + check.cost.parts[1]


_Key = tuple[int, int, int, Decimal, int]


def _ranked(walk: Walk, wanted: tuple[Result, ...]) -> tuple[Finding, ...]:
    keyed: list[tuple[_Key, str]] = []
    for index, check_id in enumerate(walk.sequence):
        answer = walk.state(check_id).answer
        if answer is not None and answer.result in wanted:
            check = walk.route.checks[check_id]
            key = (
                _SEVERITIES.index(check.severity),
                _GROUPS.index(check.group),
                _RESULTS.index(answer.result),
                -likely_cost(check),
                index,
            )
            keyed.append((key, check_id))
    keyed.sort()
    ranked: list[Finding] = []
    above: _Key | None = None
    for key, check_id in keyed:
        state, check = walk.state(check_id), walk.route.checks[check_id]
        assert state.answer is not None
        ranked.append(
            Finding(
                check=check,
                station=walk.route.station_of[check_id],
                result=state.answer.result,
                why=state.answer.why,
                note=state.note,
                reading=with_unit(state.reading, state.reading_unit),
                why_here=_why_here(key, above),
            )
        )
        above = key
    return tuple(ranked)


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
