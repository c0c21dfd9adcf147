"""One open session: actions in, each on disk before anything else sees it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

import checkrun
from checkrun.route.model import STATE_VALUES, Result, Route
from checkrun.route.order import walk_order
from checkrun.route.tailor import as_walked
from checkrun.session import routecopy
from checkrun.session.entries import Entry, chained, head_after, with_text
from checkrun.session.errors import (
    CannotWrite,
    NameMissing,
    NoSuchCheck,
    SessionBusy,
    SessionSigned,
    WhyMissing,
    nearest,
)
from checkrun.session.events import Kind
from checkrun.session.fold import Walk
from checkrun.session.journal import Journal
from checkrun.session.lock import SessionLock
from checkrun.session.text import clean

if TYPE_CHECKING:
    from checkrun.session.store import Store


class Session:
    """One car, one walk, one file.

    Every action becomes one group of events that is written and synced in one go; only then does
    `walk` change. If writing fails, `CannotWrite` is raised and nothing has changed anywhere, so
    the same action can be tried again. Actions on a session that is read-only raise `SessionBusy`
    (or `CannotWrite` when the place itself can't be written), on a signed one `SessionSigned`.

    Attributes:
        id: The session's name, as in `ID.json`.
        walk: Everything known so far.
        store: Where it is kept.
        path: Its file.
        read_only: Whether nothing can be entered.
        busy: Who has it open for writing, or why it can't be written; empty otherwise.
    """

    def __init__(
        self,
        store: Store,
        session_id: str,
        walk: Walk,
        journal: Journal,
        lock: SessionLock | None,
        *,
        route_sha: str,
        busy: str = "",
        refusal: CannotWrite | None = None,
    ) -> None:
        self.store = store
        self.id = session_id
        self.walk = walk
        self.path: Path = journal.path
        self.read_only = lock is None
        self.busy = busy
        self._journal = journal
        self._lock = lock
        self._refusal = refusal
        self._route_sha = route_sha

    def __enter__(self) -> Session:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file and the lock; from here on the session can only be looked at."""
        self._journal.close()
        self.read_only = True
        if self._lock is not None:
            self._lock.release()
            self._lock = None

    # What is entered

    def answer(
        self,
        check: str,
        result: Result,
        *,
        why: str = "",
        note: str | None = None,
        reading: str | None = None,
        unit: str | None = None,
        judged: Mapping[str, Any] | None = None,
    ) -> None:
        """Give a check its result, with a note and a reading if there are any.

        Args:
            check: The check's id.
            result: What the person says.
            why: The reason; needed when not examined.
            note: The note in place of the present one; None leaves it.
            reading: The reading in place of the present one; None leaves it.
            unit: The unit its bare numbers are in; None for that of the route.
            judged: The judgement of the reading, to be kept beside it.

        Raises:
            WhyMissing: If it was not examined and no reason is given.
        """
        self._may_write()
        entries: list[Entry] = []
        if reading is not None:
            entries += self._if_new(self._measured(check, reading, unit, judged))
        if note is not None:
            entries += self._if_new(self._noted(check, note))
        self._record([*entries, self._answered(check, result, why)])

    def answer_many(self, checks: Sequence[str], result: Result, why: str = "") -> None:
        """Give several checks the same result in one action that one undo takes back."""
        self._may_write()
        self._record([self._answered(check, result, why) for check in checks])

    def measure(
        self,
        check: str,
        text: str,
        *,
        unit: str | None = None,
        judged: Mapping[str, Any] | None = None,
    ) -> None:
        """Keep a reading as it was typed, and the judgement of it; see `answer`."""
        self._may_write()
        self._record(self._if_new(self._measured(check, text, unit, judged)))

    def note(self, check: str, text: str) -> None:
        """Keep a note, in place of the one before."""
        self._may_write()
        self._record(self._if_new(self._noted(check, text)))

    def set_aside(self, check: str) -> None:
        """Leave a check for later."""
        self._may_write()
        self._record([(Kind.SET_ASIDE, {"check": self._known(check)})])

    def move(self, check: str) -> None:
        """Go to a check. Nothing happens on a session that can't be changed."""
        if self.read_only or self.walk.signed is not None:
            return
        if self._known(check) != self.walk.at:
            self._record([(Kind.MOVED, {"check": check})])

    def confirm_state(self, changes: Mapping[str, str], caution: str = "") -> None:
        """Record that parts of the car's state were changed, and the caution that was shown.

        Raises:
            ValueError: If there is no such part or value.
        """
        self._may_write()
        entries: list[Entry] = []
        for part, value in changes.items():
            if value not in STATE_VALUES.get(part, ()):
                raise ValueError(f"the car's state has no {part!r} {value!r}")
            data = {"part": part, "value": value}
            entries.append((Kind.STATE_CONFIRMED, with_text(data, "caution", caution)))
        self._record(entries)

    def enter(self, entries: Sequence[Entry]) -> None:
        """Write entries that were made elsewhere as one action; without any nothing happens."""
        self._may_write()
        self._record(entries)

    def undo(self) -> bool:
        """Take back the last action that entered something. False if there is none."""
        self._may_write()
        group = self.walk.can_undo
        if group is not None:
            self._record([(Kind.UNDONE, {"group": group})])
        return group is not None

    def redo(self) -> bool:
        """Bring back what was undone last. False if there is nothing."""
        self._may_write()
        group = self.walk.can_redo
        if group is not None:
            self._record([(Kind.REDONE, {"group": group})])
        return group is not None

    def sign(self, name: str) -> None:
        """Sign the session off; after that it takes no more entries until it is reopened.

        Raises:
            NameMissing: If there is no name.
        """
        self._may_write()
        name = clean(name).strip()
        if not name:
            raise NameMissing
        self._record([(Kind.SIGNED, {"name": name})])

    def reopen(self, why: str) -> None:
        """Open a signed session for entries again; nothing happens if it is not signed.

        Raises:
            WhyMissing: If no reason is given.
        """
        self._may_write(even_signed=True)
        why = clean(why).strip()
        if not why:
            raise WhyMissing("Reopening a signed session")
        if self.walk.signed is not None:
            self._record([(Kind.REOPENED, {"why": why})])

    def take_route(self, route: Route) -> None:
        """Go on with another version of the route; what was entered is folded over it anew.

        The new copy is written first, then the event, so that no session ever names a copy that is
        not there.
        """
        self._may_write()
        route = self._as_walked(route)
        sha = routecopy.keep(self.path.parent, self.id, route)
        stations = walk_order(route)
        trial = Walk(route, stations)
        for event in self.walk.events:
            trial.apply(event)
        self._record([(Kind.ROUTE_TAKEN, {"route_sha": sha})], trial, sha)
        self._route_sha = sha
        self.walk.take_route(route, stations)

    def same_route(self, route: Route) -> bool:
        """Whether a route, cut to this car, is the one being walked."""
        return routecopy.fingerprint(self._as_walked(route)) == self._route_sha

    # How it is kept

    def _record(self, entries: Sequence[Entry], walk: Walk | None = None, sha: str = "") -> None:
        """Write one action, then take it in.

        Args:
            entries: The kinds and data of its events, in order; if none, nothing is written.
            walk: What the head is to be told from, when that is another walk than the present one.
            sha: The SHA-256 of that other walk's route.
        """
        if not entries:
            return
        events = chained(self.walk.events, entries, self.store.now())
        head = head_after(self.id, walk or self.walk, events, sha or self._route_sha)
        self._journal.append(head, events)
        for event in events:
            self.walk.apply(event)

    def begin(self, year: int, facts: Mapping[str, str]) -> None:
        """Write the first event; for the store, which makes sessions."""
        data = {
            "route": self.walk.route.id,
            "route_sha": self._route_sha,
            "year": year,
            "facts": dict(facts),
            "program": checkrun.__version__,
        }
        self._record([(Kind.BEGAN, data)])

    def _may_write(self, *, even_signed: bool = False) -> None:
        """Raise unless something can be entered now."""
        if self.read_only:
            raise self._refusal or SessionBusy(self.busy)
        if self.walk.signed is not None and not even_signed:
            raise SessionSigned(self.walk.signed[0])

    def _known(self, check: str) -> str:
        """The id itself, if the route has it."""
        if check not in self.walk.index:
            raise NoSuchCheck(check, nearest(check, self.walk.sequence))
        return check

    def _as_walked(self, route: Route) -> Route:
        return as_walked(route, self.walk.year, self.walk.facts)

    def _answered(self, check: str, result: Result, why: str) -> Entry:
        why = clean(why).strip()
        if result is Result.NOT_EXAMINED and not why:
            raise WhyMissing
        data = {"check": self._known(check), "result": result.value}
        return Kind.ANSWERED, with_text(data, "why", why)

    def _measured(
        self, check: str, text: str, unit: str | None, judged: Mapping[str, Any] | None
    ) -> Entry:
        reading = self.walk.route.checks[self._known(check)].reading
        if unit is None:
            unit = "" if reading is None else reading.unit
        data: dict[str, Any] = {"check": check, "text": clean(text), "unit": unit}
        return Kind.MEASURED, data if judged is None else {**data, "judged": dict(judged)}

    def _noted(self, check: str, text: str) -> Entry:
        return Kind.NOTED, {"check": self._known(check), "text": clean(text)}

    def _if_new(self, entry: Entry) -> list[Entry]:
        """The entry, unless the same is what stands there already."""
        kind, data = entry
        state = self.walk.state(data["check"])
        if kind is Kind.NOTED:
            same = state.note == data["text"]
        else:
            same = (state.reading, state.reading_unit) == (data["text"], data["unit"])
            same = same or not (state.reading or data["text"])
        return [] if same else [entry]
