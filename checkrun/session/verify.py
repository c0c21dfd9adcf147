"""Whether a session and its copies of routes are as they were written, and where they are not."""

from __future__ import annotations

import json
from pathlib import Path

from checkrun.session import chain, routecopy
from checkrun.session.chain import Break
from checkrun.session.events import Event, Kind, from_doc
from checkrun.session.journal import Journal


def verified(folder: Path, session_id: str) -> tuple[Break, ...]:
    """Every place where a session is not as it was written, in order.

    Raises:
        DamagedFile: If the file is not one that can be gone through event by event.
        NewerFormat: If a newer program wrote it.
    """
    journal = Journal(folder / f"{session_id}.json")
    head, docs = journal.read()
    breaks: list[Break] = []
    events: list[Event] = []
    for place, doc in enumerate(docs, 1):
        try:
            event = from_doc(doc)
        except ValueError as error:
            breaks.append(Break(place, f"entry {place} is no event: {error}"))
            continue
        events.append(event)
        if _retold(event, doc):
            breaks.append(Break(event.n, chain.changed_text(event.n)))
    breaks += [b for b in chain.verify(events) if b not in breaks]
    breaks += _head_breaks(head, events)
    breaks += _copy_breaks(folder, session_id, events)
    return tuple(sorted(breaks))


def _head_breaks(head: dict[str, object], events: list[Event]) -> list[Break]:
    """Whether the head still names the last event that was written."""
    last = events[-1] if events else None
    said = head.get("last")
    if type(said) is not int:
        return [Break(0, "the head does not name the last event")]
    found = 0 if last is None else last.n
    if said > found:
        return [Break(found + 1, chain.missing_text(found + 1, said))]
    if last is None or said < found or head.get("last_hash") != last.hash:
        return [Break(found, f"the head does not fit event {found}, the last one")]
    return []


def _copy_breaks(folder: Path, session_id: str, events: list[Event]) -> list[Break]:
    """Which of the session's copies of routes are missing or changed."""
    named: dict[str, int] = {}
    for event in events:
        if event.kind in (Kind.BEGAN, Kind.ROUTE_TAKEN, Kind.RECOVERED):
            sha = event.data.get("route_sha")
            if isinstance(sha, str) and sha:
                named.setdefault(sha, event.n)
    told = ((n, routecopy.problem(folder, session_id, sha)) for sha, n in named.items())
    return [Break(n, problem) for n, problem in told if problem]


def _retold(event: Event, doc: dict[str, object]) -> bool:
    """Whether a document says the same event in another way than this program writes it."""
    return json.dumps(event.to_doc(), sort_keys=True) != json.dumps(doc, sort_keys=True)
