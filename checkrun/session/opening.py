"""A session from its files, and the first files of a new one; the store finds and locks them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from checkrun.route.model import Route
from checkrun.route.order import walk_order
from checkrun.session import routecopy
from checkrun.session.errors import CannotWrite
from checkrun.session.fold import Walk
from checkrun.session.journal import Journal, route_sha, to_events
from checkrun.session.lock import SessionLock
from checkrun.session.session import Session

if TYPE_CHECKING:
    from checkrun.session.store import Store


def begun(
    store: Store,
    session_id: str,
    lock: SessionLock,
    route: Route,
    year: int,
    facts: Mapping[str, str],
) -> Session:
    """A new session with its first event and its copy of the route on disk.

    Raises:
        CannotWrite: If they can't be written.
    """
    sha = routecopy.keep(store.folder, session_id, route)
    walk = Walk(route, walk_order(route))
    journal = Journal(store.folder / f"{session_id}.json")
    session = Session(store, session_id, walk, journal, lock, route_sha=sha)
    session.begin(year, facts)
    return session


def opened(
    store: Store,
    session_id: str,
    lock: SessionLock | None,
    busy: str,
    refusal: CannotWrite | None,
) -> Session:
    """A session as its file tells it, folded over its copy of the route.

    Raises:
        DamagedFile: If the file or the copy can't be made sense of.
        NewerFormat: If a newer program wrote it.
    """
    journal = Journal(store.folder / f"{session_id}.json")
    events = to_events(journal.path, journal.read()[1])
    sha = route_sha(events) or ""
    route = routecopy.load(store.folder, session_id, sha)
    walk = Walk(route, walk_order(route))
    for event in events:
        walk.apply(event)
    return Session(
        store, session_id, walk, journal, lock, route_sha=sha, busy=busy, refusal=refusal
    )
