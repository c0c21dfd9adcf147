"""What can be read of a damaged session, saved into a new one; the old file is not touched."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import checkrun
from checkrun.route.model import Route
from checkrun.route.order import walk_order
from checkrun.route.tailor import as_walked
from checkrun.session import chain, routecopy
from checkrun.session.entries import Entry, chained, head_after
from checkrun.session.errors import CannotRead, DamagedFile, reason_of
from checkrun.session.events import Event, Kind, from_doc
from checkrun.session.fold import Walk
from checkrun.session.journal import Journal, route_sha
from checkrun.session.moments import stamp
from checkrun.session.upgrade import CURRENT

_DOCUMENT = re.compile(r'"\d+"\s*:\s*(?=\{)')
_DECODER = json.JSONDecoder()


@dataclass(frozen=True, slots=True)
class Recovery:
    """What came of a recovery.

    Attributes:
        new_id: The session made from what could be read.
        kept: How many events it has from the damaged one.
        missing: What is not in it, each in words; empty if nothing is missing.
    """

    new_id: str
    kept: int
    missing: tuple[str, ...]


@dataclass(slots=True)
class Salvage:
    """What a damaged text still holds.

    Attributes:
        events: The events that are whole, by their numbers.
        head: The head document, if it is whole.
    """

    events: list[Event] = field(default_factory=list)
    head: dict[str, Any] | None = None

    @property
    def last(self) -> int:
        """The number of the last event known to have been written."""
        said = self.head.get("last") if self.head is not None else None
        found = self.events[-1].n if self.events else 0
        return max(found, said) if type(said) is int else found

    @property
    def gaps(self) -> tuple[tuple[int, int], ...]:
        """The runs of events that are gone."""
        return chain.missing((event.n for event in self.events), self.last)


def scan(payload: bytes) -> Salvage:
    """Every whole event in the bytes of a damaged file, whatever stands between them."""
    text = payload.decode("utf-8", "replace")
    salvage = Salvage()
    found: dict[int, Event] = {}
    place = 0
    while (start := _DOCUMENT.search(text, place)) is not None:
        place = start.end()
        try:
            doc, end = _DECODER.raw_decode(text, place)
        except (ValueError, RecursionError):
            continue
        try:
            event = from_doc(doc)
        except ValueError:
            if "format" in doc and "route_sha" in doc and salvage.head is None:
                salvage.head, place = doc, end
            continue
        found.setdefault(event.n, event)
        place = end
    salvage.events = [found[n] for n in sorted(found)]
    return salvage


def recover_into(
    folder: Path, old_id: str, new_id: str, route: Route | None, now: datetime
) -> Recovery:
    """Write what can be read of one session as another; the caller holds the new one's lock.

    Args:
        folder: Where both lie.
        old_id: The damaged session.
        new_id: The session to write.
        route: The route to go on with if the copy that was walked is lost.
        now: When this happens, aware.

    Raises:
        DamagedFile: If no event at all can be read.
        CannotRead: If the system refuses.
        CannotWrite: If the new session can't be written.
    """
    path = folder / f"{old_id}.json"
    try:
        salvage = scan(path.read_bytes())
    except OSError as error:
        raise CannotRead(path, reason_of(error)) from error
    if not salvage.events:
        raise DamagedFile(path, "no entry in it can be read", "The file was left as it is.")
    sha, copy = _find_copy(folder, old_id, salvage)
    lost_copy = copy is None
    if copy is None and route is not None:
        year, facts = _car(salvage)
        copy = as_walked(route, year, facts)
    if copy is not None:
        sha = routecopy.keep(folder, new_id, copy)
    missing = _told(salvage, lost_copy=lost_copy, replaced=copy is not None)
    _write(folder / f"{new_id}.json", old_id, salvage, copy, sha, missing, now)
    return Recovery(new_id, len(salvage.events), missing)


def _find_copy(folder: Path, old_id: str, salvage: Salvage) -> tuple[str, Route | None]:
    """The SHA-256 of the route walked and the route, from the copy named or the only one."""
    said = route_sha(salvage.events) or (salvage.head or {}).get("route_sha")
    candidates = [said] if isinstance(said, str) and said else []
    if not candidates:
        names = sorted(folder.glob(f"{old_id}.route-*.json"))
        candidates = [name.name[len(old_id) + 7 : -5] for name in names] if len(names) == 1 else []
    for sha in candidates:
        try:
            return sha, routecopy.load(folder, old_id, sha)
        except DamagedFile:
            continue
    return said if isinstance(said, str) else "", None


def _car(salvage: Salvage) -> tuple[int, dict[str, str]]:
    """The model year and facts, as far as they are known."""
    for data in (*(e.data for e in salvage.events if e.kind is Kind.BEGAN), salvage.head or {}):
        year, facts = data.get("year"), data.get("facts")
        if type(year) is int and isinstance(facts, dict):
            return year, {str(key): str(value) for key, value in facts.items()}
    return 0, {}


def _told(salvage: Salvage, *, lost_copy: bool, replaced: bool) -> tuple[str, ...]:
    """What is not there any more, in words."""
    told = [b.problem for b in chain.verify(salvage.events) if "missing" not in b.problem]
    told += [chain.missing_text(first, last) for first, last in salvage.gaps]
    if salvage.head is None:
        told.append("the head is missing, so entries lost at the end can't be counted")
    if lost_copy and replaced:
        told.append("the copy of the route as it was walked is missing; the route given stands in")
    elif lost_copy:
        told.append("the copy of the route is missing; recover again with the route's file")
    return tuple(told)


def _write(
    path: Path,
    old_id: str,
    salvage: Salvage,
    copy: Route | None,
    sha: str,
    missing: Sequence[str],
    now: datetime,
) -> None:
    """Write the new session: the events as they were, then one that tells of the recovery."""
    note = "; ".join(missing) or "nothing is missing"
    gaps = [[first, last] for first, last in salvage.gaps]
    data: dict[str, Any] = {"from": old_id, "missing": gaps, "note": note}
    if salvage.events[0].kind is not Kind.BEGAN:
        data["year"], data["facts"] = _car(salvage)
    if route_sha(salvage.events) != sha:
        data["route_sha"] = sha
    walk = None
    if copy is not None:
        walk = Walk(copy, walk_order(copy))
        for event in salvage.events:
            walk.apply(event)
    events = _told_event(salvage, (Kind.RECOVERED, data), now)
    journal = Journal(path)
    try:
        if walk is not None:
            head = head_after(path.stem, walk, events, sha)
        else:
            head = _bare_head(path.stem, salvage, sha, events[-1])
        journal.append(head, [*salvage.events, *events])
    finally:
        journal.close()


def _told_event(salvage: Salvage, entry: Entry, now: datetime) -> list[Event]:
    """The event that tells of the recovery, numbered after all that was ever written."""
    last = salvage.events[-1]
    stand_in = Event(salvage.last, last.at, last.kind, last.data, last.group, last.hash)
    return chained([stand_in], [entry], now)


def _bare_head(new_id: str, salvage: Salvage, sha: str, last: Event) -> dict[str, Any]:
    """A head for a session whose route is lost: what the old head or the first event say."""
    old = salvage.head or {}
    year, facts = _car(salvage)
    first = salvage.events[0]
    route_id = str(old.get("route") or first.data.get("route", ""))
    signed = [e for e in salvage.events if e.kind in (Kind.SIGNED, Kind.REOPENED)]
    by = signed[-1].data["name"] if signed and signed[-1].kind is Kind.SIGNED else None
    return {
        "format": CURRENT,
        "program": checkrun.__version__,
        "id": new_id,
        "route": route_id,
        "title": str(old.get("title", "")),
        "route_sha": sha,
        "year": year,
        "facts": facts,
        "began": stamp(first.at),
        "changed": stamp(last.at),
        "answered": 0,
        "total": 0,
        "signed_by": by,
        "last": last.n,
        "last_hash": last.hash,
    }
