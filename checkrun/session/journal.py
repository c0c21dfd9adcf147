"""One session file: a TinyDB with the tables `head` and `events`, written once per action.

TinyDB's own calls write one table each. An action adds events and changes the head, and both must
be on disk together, so `append` hands both tables to the storage in one write; everything is read
through TinyDB, and the file is a plain TinyDB file.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from checkrun.session.errors import DamagedFile, StoreError
from checkrun.session.events import Event, Kind, from_doc
from checkrun.session.upgrade import CURRENT, upgrade

if TYPE_CHECKING:
    from checkrun.session.storage import Tables


class Journal:
    """The events and the head of one session on disk.

    The head comes first in the file, so that a list of sessions can be made from the first few
    kilobytes of each.

    Args:
        path: The session file; its folder must exist.
    """

    def __init__(self, path: Path) -> None:
        # TinyDB is imported here so that a list of sessions, which needs none, comes up at once.
        from tinydb import TinyDB

        from checkrun.session.storage import DurableStorage

        self.path = path
        self._storage = DurableStorage(path)
        self._db = TinyDB(storage=lambda: self._storage)
        self._tables: Tables | None = None
        self._found_format = CURRENT

    def read(self) -> tuple[dict[str, Any], list[dict[str, Any]]]:
        """The head and the documents of the events, in the order of the file.

        Raises:
            DamagedFile: If the file is missing or can't be made sense of.
            NewerFormat: If a newer program wrote it.
            CannotRead: If the system refuses.
        """
        from tinydb import TinyDB
        from tinydb.storages import MemoryStorage

        data = self._storage.read()
        if data is None:
            raise DamagedFile(self.path, "the file is missing")
        try:
            data, self._found_format = upgrade(data, self.path.stem)
        except StoreError:
            raise
        except Exception as error:
            # An upgrade step meets whatever a damaged file holds; it is damage, not a crash.
            raise DamagedFile(self.path, f"{error}") from error
        self._tables = {"head": data["head"], "events": data.get("events", {}), **data}
        # One look at the file serves both tables: another program may be writing it meanwhile.
        with TinyDB(storage=MemoryStorage) as view:
            view.storage.write(self._tables)
            head = view.table("head").get(doc_id=1)
            docs = [dict(doc) for doc in view.table("events")]
        return (dict(head) if isinstance(head, dict) else {}), docs

    def append(self, head: dict[str, Any], events: Sequence[Event]) -> None:
        """Add events and put the head in place of the old one: one durable write.

        If it fails, the file and this journal are as they were.

        Raises:
            CannotWrite: If the system refuses.
        """
        before = self._tables if self._tables is not None else {"events": {}}
        documents = dict(before["events"])
        number = max(map(int, documents), default=0)
        for event in events:
            number += 1
            documents[str(number)] = event.to_doc()
        tables = {**before, "events": documents}
        # The head goes first, whatever an older or edited file had first.
        tables = {"head": {**before.get("head", {}), "1": head}} | {
            name: table for name, table in tables.items() if name != "head"
        }
        if self._found_format != CURRENT:
            copy = self.path.with_name(f"{self.path.name}.format-{self._found_format}")
            if not copy.exists():
                self._storage.keep_copy(copy)
        self._storage.keep_foreign()
        self._db.storage.write(tables)
        self._tables = tables
        self._found_format = CURRENT

    def close(self) -> None:
        """Let go of the file."""
        self._db.close()


def to_events(path: Path, docs: Sequence[dict[str, Any]]) -> list[Event]:
    """The events the documents stand for.

    Raises:
        DamagedFile: If one of them is none, if there are none, or if they are out of order.
    """
    events: list[Event] = []
    for place, doc in enumerate(docs, 1):
        try:
            event = from_doc(doc)
        except ValueError as error:
            raise DamagedFile(path, f"entry {place} is no event ({error})") from error
        if events and event.n <= events[-1].n:
            raise DamagedFile(path, f"event {event.n} stands after event {events[-1].n}")
        events.append(event)
    if not events:
        raise DamagedFile(path, "it holds no events")
    return events


def route_sha(events: Sequence[Event]) -> str | None:
    """The SHA-256 of the route last walked, or None if no event names one."""
    for event in reversed(events):
        if event.kind in (Kind.BEGAN, Kind.ROUTE_TAKEN):
            return str(event.data["route_sha"])
        if event.kind is Kind.RECOVERED and "route_sha" in event.data:
            return str(event.data["route_sha"])
    return None
