"""The folder of sessions: make, find, list, open, verify and recover them.

What a list of sessions does not need is imported only when a session is opened, so that the list
comes up at once.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from checkrun.session.durable import open_folder, sync_folder
from checkrun.session.errors import (
    AmbiguousSession,
    CannotRead,
    CannotWrite,
    NoSuchSession,
    StoreMissing,
    nearest,
    reason_of,
)
from checkrun.session.heads import Head, read_head, session_ids
from checkrun.session.lock import SessionLock
from checkrun.session.text import clean

if TYPE_CHECKING:
    from checkrun.route.model import Route
    from checkrun.session.chain import Break
    from checkrun.session.recover import Recovery
    from checkrun.session.session import Session

__all__ = ["Head", "Store"]


class Store:
    """The sessions in one folder.

    Args:
        folder: Where they lie; made when the first one is.
        now: The clock; must give aware moments.
    """

    def __init__(self, folder: Path, now: Callable[[], datetime]) -> None:
        self.folder = Path(folder)
        self.now = now

    # Lists

    def ids(self) -> list[str]:
        """The ids of all sessions, damaged ones among them.

        Raises:
            CannotRead: If the system refuses.
        """
        try:
            return session_ids(self.folder)
        except OSError as error:
            raise CannotRead(self.folder, reason_of(error)) from error

    def heads(self) -> list[Head]:
        """One line per session, the one changed last first; see `checkrun.session.heads`."""
        heads = [read_head(self.folder / f"{session_id}.json") for session_id in self.ids()]
        return sorted(heads, key=lambda head: (head.changed_at, head.id), reverse=True)

    def latest_open(self) -> str | None:
        """The session changed last that is neither signed nor damaged."""
        for head in self.heads():
            if not head.problem and head.signed_by is None:
                return head.id
        return None

    def find(self, name: str) -> str:
        """The id a name stands for: the id itself, or the only one that begins with or contains it.

        Raises:
            StoreMissing: If there is no folder.
            NoSuchSession: If nothing fits.
            AmbiguousSession: If more than one fits.
        """
        if not self.folder.is_dir():
            raise StoreMissing(self.folder)
        ids = self.ids()
        wanted = name.removesuffix(".json")
        if wanted in ids:
            return wanted
        folded = wanted.casefold()
        for fits in (str.startswith, str.__contains__):
            found = [i for i in ids if folded and fits(i.casefold(), folded)]
            if len(found) == 1:
                return found[0]
            if found:
                raise AmbiguousSession(name, found)
        raise NoSuchSession(name, nearest(wanted, ids))

    # Sessions

    def create(self, route: Route, year: int, facts: Mapping[str, str]) -> Session:
        """Begin a walk: a new session, open for writing.

        The route is cut to this car and a copy of it is kept beside the session, so that the
        session stays what it was when the route is changed later.

        Raises:
            CannotWrite: If it can't be kept.
        """
        from checkrun.route.tailor import as_walked
        from checkrun.session.opening import begun

        facts = {clean(fact): clean(text) for fact, text in facts.items()}
        route = as_walked(route, year, facts)
        self._make_folder()
        route_word = re.sub(r"[^\w-]", "-", route.id)
        prefix = f"{self.now().astimezone():%Y%m%d}-{route_word}"
        session_id, lock = self._new_id(lambda k: f"{prefix}-{k}")
        try:
            return begun(self, session_id, lock, route, year, facts)
        except BaseException:
            lock.release()
            raise

    def open(self, name: str, *, write: bool = True) -> Session:
        """Open a session.

        If it is to be written but another program has it, or the place can't be written, it opens
        read-only and `busy` says why.

        Args:
            name: Its id, or enough of it.
            write: Whether anything is to be entered.

        Raises:
            NoSuchSession, AmbiguousSession, StoreMissing: See `find`.
            DamagedFile: If the file or the copy of its route can't be made sense of.
            NewerFormat: If a newer program wrote it.
        """
        from checkrun.session.opening import opened

        session_id = self.find(name)
        lock, busy, refusal = self._lock_for(session_id) if write else (None, "", None)
        try:
            return opened(self, session_id, lock, busy, refusal)
        except BaseException:
            if lock is not None:
                lock.release()
            raise

    def verify(self, name: str) -> tuple[Break, ...]:
        """Every place where a session or its copies of routes are not as they were written.

        Raises:
            DamagedFile: If the file is not one that can be gone through event by event.
            NewerFormat: If a newer program wrote it.
        """
        from checkrun.session.verify import verified

        session_id = self.find(name)
        return verified(self.folder, session_id)

    def recover(self, name: str, route: Route | None = None) -> Recovery:
        """Save what can be read of a damaged session into a new one beside it.

        Args:
            name: The damaged session.
            route: The route to go on with if the copy that was walked is lost.

        Raises:
            DamagedFile: If no event at all can be read.
            CannotWrite: If the new session can't be written.
        """
        from checkrun.session.recover import recover_into

        old_id = self.find(name)
        base = f"{old_id}-recovered"
        new_id, lock = self._new_id(lambda k: base if k == 1 else f"{base}-{k}")
        try:
            return recover_into(self.folder, old_id, new_id, route, self.now())
        finally:
            lock.release()

    # Helpers

    def _path(self, session_id: str) -> Path:
        return self.folder / f"{session_id}.json"

    def _lock(self, session_id: str) -> SessionLock:
        return SessionLock(self.folder / f".{session_id}.lock", self.now)

    def _lock_for(self, session_id: str) -> tuple[SessionLock | None, str, CannotWrite | None]:
        """The session's lock, or who has it, or why it can't be had."""
        lock = self._lock(session_id)
        try:
            return (lock, "", None) if lock.acquire() else (None, lock.holder(), None)
        except CannotWrite as refusal:
            return None, refusal.reason, refusal

    def _new_id(self, name: Callable[[int], str]) -> tuple[str, SessionLock]:
        """The first id never used, locked. Lock files outlive their sessions, so they count too."""
        k = 1
        while True:
            session_id = name(k)
            lock = self._lock(session_id)
            if not lock.path.exists() and not self._path(session_id).exists() and lock.acquire():
                # Another program may have made and closed it between the look and the lock.
                if not self._path(session_id).exists():
                    return session_id, lock
                lock.release()
            k += 1

    def _make_folder(self) -> None:
        """Make the folder and sync every folder a new name appeared in."""
        new = [f for f in (self.folder, *self.folder.parents) if not f.exists()]
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            for folder in new:
                handle = open_folder(folder.parent)
                try:
                    sync_folder(handle)
                finally:
                    if handle is not None:
                        os.close(handle)
        except OSError as error:
            raise CannotWrite.because(self.folder, error) from error
