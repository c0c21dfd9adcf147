"""From the entries of one action to numbered, chained events and the head that goes with them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

import checkrun
from checkrun.session.chain import GENESIS, link
from checkrun.session.events import Event, Kind
from checkrun.session.fold import Walk
from checkrun.session.moments import stamp
from checkrun.session.text import clean
from checkrun.session.upgrade import CURRENT

#: What is to become one event: its kind and its data.
Entry = tuple[Kind, dict[str, Any]]


def with_text(data: dict[str, Any], key: str, text: str) -> dict[str, Any]:
    """The data with one more text, if there is any."""
    text = clean(text)
    return {**data, key: text} if text else data


def chained(before: Sequence[Event], entries: Sequence[Entry], at: datetime) -> list[Event]:
    """The events of one action, numbered and hashed on to those there are.

    Args:
        before: All events so far.
        entries: The kinds and data, in order.
        at: When, aware.
    """
    n, prev_hash = (before[-1].n, before[-1].hash) if before else (0, GENESIS)
    at = at.astimezone(UTC)
    group = n + 1
    events = []
    for kind, data in entries:
        n += 1
        prev_hash = link(prev_hash, Event(n, at, kind, data, group))
        events.append(Event(n, at, kind, data, group, prev_hash))
    return events


def head_after(
    session_id: str, walk: Walk, events: Sequence[Event], route_sha: str
) -> dict[str, Any]:
    """The head document as it is to be once these events, not yet applied, are in.

    It carries all that a list of sessions shows, and what recovery needs if the first event is
    lost.
    """
    signed_by = None if walk.signed is None else walk.signed[0]
    year, facts = walk.year, walk.facts
    for event in events:
        if event.kind is Kind.SIGNED:
            signed_by = event.data["name"]
        elif event.kind is Kind.REOPENED:
            signed_by = None
        elif event.kind in (Kind.BEGAN, Kind.RECOVERED):
            year, facts = event.data.get("year", year), event.data.get("facts", facts)
    return {
        "format": CURRENT,
        "program": checkrun.__version__,
        "id": session_id,
        "route": walk.route.id,
        "title": walk.route.title,
        "route_sha": route_sha,
        "year": year,
        "facts": dict(facts),
        "began": stamp(walk.began_at if walk.events else events[0].at),
        "changed": stamp(events[-1].at),
        "answered": walk.answered_after(events),
        "total": len(walk.sequence),
        "signed_by": signed_by,
        "last": events[-1].n,
        "last_hash": events[-1].hash,
    }
