"""Findings in the order a buyer must hear them, each with the reason why it stands there.

Worst class first, after Directive 2014/45/EU (the worst class decides; a sum of lesser faults never
outweighs it, reference pack D6 and D8). Within a class: structure, safety, identity, body,
mechanical, trim, since frame and body cost most to put right (common practice); then a fail before
a concern; then what costs more; then the walking order. A person may put one elsewhere, with a
reason; that goes before every rule.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from checkrun.route.model import Check, Group, Result, Severity, Station
from checkrun.session.fold import Rank, Walk
from checkrun.session.valuing import OwnCost, Terms, figures, own_of, terms_of

_SEVERITIES = tuple(Severity)
_GROUPS = tuple(Group)
#: What is reckoned with while nothing was said.
_USUAL, _NONE = Terms(), OwnCost()
_RESULTS = (Result.FAIL, Result.CONCERN, Result.NOT_EXAMINED, Result.PASS)


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


def likely_cost(check: Check, terms: Terms = _USUAL, own: OwnCost = _NONE) -> Decimal:
    """What putting a check right is likely to cost, for ranking; 0 if nobody said."""
    hours, parts = figures(check.cost, own)
    return hours[1] * terms.rate + parts[1]


_Key = tuple[int, int, int, Decimal, int]


def _ranked(walk: Walk, wanted: Callable[[Finding], bool]) -> tuple[Finding, ...]:
    keyed: list[tuple[_Key, Finding]] = []
    terms = terms_of(walk.terms, walk.facts)
    for index, check_id in enumerate(walk.sequence):
        found = _found(walk, check_id)
        if found is not None and wanted(found):
            key = (
                _SEVERITIES.index(found.check.severity),
                _GROUPS.index(found.check.group),
                _RESULTS.index(found.result),
                -likely_cost(found.check, terms, own_of(walk.state(check_id).own)),
                index,
            )
            keyed.append((key, found))
    keyed.sort(key=lambda pair: pair[0])
    placed = _placed(walk, [found.check.id for _, found in keyed])
    ranked: list[Finding] = []
    above: tuple[_Key, Finding] | None = None
    for key, found in _by_hand(keyed, placed):
        if found.check.id in placed:
            why = placed[found.check.id].why
            ranked.append(replace(found, why_here=f"put here by hand: {why}"))
            continue
        if above is None:
            why_here = _why_first(key, alone=not placed)
        else:
            next_above = ranked[-1].check is above[1].check
            name = "the one above" if next_above else f"`{above[1].check.ask}`"
            why_here = _why_here(key, above[0], name)
        ranked.append(replace(found, why_here=why_here))
        above = key, found
    return tuple(ranked)


def _placed(walk: Walk, ids: Sequence[str]) -> dict[str, Rank]:
    """The places a person gave; where what one was put before is not there, the rules hold."""
    ranks = {name: walk.state(name).rank for name in ids}
    return {
        name: rank
        for name, rank in ranks.items()
        if rank is not None and (not rank.before or rank.before in ranks)
    }


def _by_hand(
    keyed: Sequence[tuple[_Key, Finding]], placed: Mapping[str, Rank]
) -> list[tuple[_Key, Finding]]:
    """The findings with those a person gave a place there, the one said last moved last."""
    pairs = {pair[1].check.id: pair for pair in keyed}
    order = list(pairs)
    for name, rank in sorted(placed.items(), key=lambda item: item[1].n):
        order.remove(name)
        order.insert(order.index(rank.before) if rank.before else len(order), name)
    return [pairs[name] for name in order]


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


def _why_first(key: _Key, *, alone: bool) -> str:
    """Why the first of those that the rules place stands there; `alone` if they place them all."""
    severity, group = _SEVERITIES[key[0]].value, _GROUPS[key[1]].value
    if alone:
        return f"first: the worst class here is {severity}, and {group} leads in it"
    return f"first of those that the rules place: {severity}, and {group} leads in it"


def _why_here(key: _Key, above: _Key, name: str) -> str:
    """The rule that put a finding below another one, in words.

    Args:
        key: What it is ranked by.
        above: What the finding above it is ranked by.
        name: What to call that one.
    """
    severity, group = _SEVERITIES[key[0]].value, _GROUPS[key[1]].value
    if key[0] != above[0]:
        return f"{severity} comes after {_SEVERITIES[above[0]].value}; {group} leads in it"
    if key[1] != above[1]:
        return f"{severity} like {name}, but {group} comes after {_GROUPS[above[1]].value}"
    same = f"{severity} and {group} like {name}"
    if key[2] != above[2]:
        return f"{same}, but a {_RESULTS[key[2]].value} comes after a {_RESULTS[above[2]].value}"
    if key[3] != above[3]:
        return f"{same}, but it is likely to cost less to put right"
    return f"{same}; it comes later on the walk"
