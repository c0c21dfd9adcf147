"""The summary of a session: the data that `summary --json` prints and the screens show."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from checkrun.route.model import Check, Result, Station
from checkrun.session.fold import Counts, Walk
from checkrun.session.moments import stamp
from checkrun.session.session import Session
from checkrun.weigh.asdata import claims_as_data, next_as_data, price_as_data
from checkrun.weigh.bill import Bill, Line, bill, reckoned
from checkrun.weigh.findings import Finding, findings, not_examined, overruled, with_unit
from checkrun.weigh.observe import Weighed, weighed


@dataclass(frozen=True, slots=True)
class Open:
    """A check without a result."""

    check: Check
    station: Station
    set_aside: bool


@dataclass(frozen=True, slots=True)
class Apart:
    """What was entered for a check that the route no longer has."""

    check: str
    result: Result | None
    note: str
    reading: str


@dataclass(frozen=True, slots=True)
class Summary:
    """Everything that came out of a walk, in the order in which it is told."""

    findings: tuple[Finding, ...]
    not_examined: tuple[Finding, ...]
    overruled: tuple[Finding, ...]
    open: tuple[Open, ...]
    apart: tuple[Apart, ...]
    counts: Counts
    stations: tuple[tuple[Station, Counts], ...]
    confirmed: tuple[tuple[str, str, str], ...]


def summarize(walk: Walk) -> Summary:
    """The summary of a walk as it stands."""
    route = walk.route
    return Summary(
        findings=findings(walk),
        not_examined=not_examined(walk),
        overruled=overruled(walk),
        open=tuple(
            Open(route.checks[name], route.station_of[name], walk.state(name).aside > 0)
            for name in walk.open_ids()
        ),
        apart=tuple(
            Apart(
                name,
                None if state.answer is None else state.answer.result,
                state.note,
                with_unit(state.reading, state.reading_unit),
            )
            for name, state in walk.vanished.items()
        ),
        counts=walk.counts,
        stations=tuple((station, walk.station_counts(station.id)) for station in walk.stations),
        confirmed=tuple(_confirmed(walk)),
    )


def _confirmed(walk: Walk) -> Iterator[tuple[str, str, str]]:
    """The changes of the car's state that a caution was confirmed for: when, what, which."""
    for event in walk.events:
        if event.kind.value == "state-confirmed" and event.data.get("caution"):
            change = f"{event.data['part']} {event.data['value']}"
            yield stamp(event.at), change, event.data["caution"]


def as_data(session: Session) -> dict[str, Any]:
    """The summary as `checkrun summary --json` prints it."""
    walk = session.walk
    summary = summarize(walk)
    found = weighed(walk)
    return {
        "session": session.id,
        "route": walk.route.id,
        "title": walk.route.title,
        "car": {"year": walk.year, **walk.facts},
        "counts": _counts(summary.counts),
        "findings": [_finding(finding) for finding in summary.findings],
        "not_examined": [_finding(finding) for finding in summary.not_examined],
        "overruled": [_finding(finding) for finding in summary.overruled],
        "open": [
            {
                "check": item.check.id,
                "station": item.station.id,
                "class": item.check.severity.value,
                "group": item.check.group.value,
                "ask": item.check.ask,
                "set_aside": item.set_aside,
            }
            for item in summary.open
        ],
        "apart": [
            {
                "check": item.check,
                "result": None if item.result is None else item.result.value,
                "note": item.note,
                "reading": item.reading,
            }
            for item in summary.apart
        ],
        "claims": _claims(found),
        "next": [next_as_data(row) for row in found.next],
        "money": _money(bill(walk, found.beliefs)),
        "confirmed": [
            {"at": at, "change": change, "caution": caution}
            for at, change, caution in summary.confirmed
        ],
        "signed": None
        if walk.signed is None
        else {"name": walk.signed[0], "at": stamp(walk.signed[1])},
    }


def _claims(found: Weighed) -> dict[str, Any]:
    return {
        name: {
            "says": found.claims[name].says,
            "matters": float(found.claims[name].matters),
            **belief,
        }
        for name, belief in claims_as_data(found.beliefs).items()
    }


def _money(found: Bill) -> dict[str, Any]:
    """What it costs and the most to pay: as `price --json` prints it, and what is told beside."""
    terms = found.terms
    return {
        "currency": terms.currency,
        "rate": float(terms.rate),
        "asking": None if terms.asking is None else float(terms.asking),
        "value": None if found.value is None else float(found.value),
        "margin": float(terms.margin),
        **price_as_data(found.moments, found.spread, reckoned(terms), found.offer, found.warning),
        "items": [_item(line) for line in (*found.lines, *found.seller)],
        "groups": {group.value: mean for group, mean in found.groups},
        "unpriced": [line.check.id for line in found.unpriced],
    }


def _item(line: Line) -> dict[str, Any]:
    return {
        "check": line.check.id,
        "result": None if line.result is None else line.result.value,
        "chance": line.chance,
        "hours": [float(figure) for figure in line.hours],
        "parts": [float(figure) for figure in line.parts],
        "mean": line.mean,
        "share": line.share,
        "seller": line.own.seller,
        "own": [
            name for name in ("hours", "parts", "chance") if getattr(line.own, name) is not None
        ],
    }


def _counts(counts: Counts) -> dict[str, int]:
    return {
        "pass": counts.pass_,
        "concern": counts.concern,
        "fail": counts.fail,
        "not_examined": counts.not_examined,
        "open": counts.open,
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "check": finding.check.id,
        "station": finding.station.id,
        "result": finding.result.value,
        "class": finding.check.severity.value,
        "group": finding.check.group.value,
        "ask": finding.check.ask,
        "note": finding.note,
        "reading": finding.reading,
        "judged": judged_data(finding.judged),
        "why": finding.why,
        "why_here": finding.why_here,
    }


def judged_data(judged: dict[str, Any] | None) -> dict[str, Any] | None:
    """What the summary tells of a judgement: its result, the reasons and their sources."""
    if judged is None:
        return None
    return {key: judged.get(key, []) for key in ("result", "reasons", "sources")}
