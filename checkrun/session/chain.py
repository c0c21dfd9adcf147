"""The hash chain over the events, by which a later change shows.

Each event's hash is SHA-256 over the hash before it, a newline and the event in canonical JSON.
The chain is not keyed: it shows damage and careless or later edits, not a forger who recomputes it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from checkrun.session.events import Event

#: What stands before the first event.
GENESIS = hashlib.sha256(b"checkrun session format 1").hexdigest()


@dataclass(frozen=True, slots=True, order=True)
class Break:
    """One place where the record is not as it was written.

    Attributes:
        n: The event concerned; the first of them where several are.
        problem: What is amiss, in words.
    """

    n: int
    problem: str

    def __str__(self) -> str:
        return self.problem


def canonical(event: Event) -> bytes:
    """The bytes that are hashed: UTF-8 JSON, keys sorted, no spaces, without the hash itself."""
    doc = event.to_doc()
    del doc["hash"]
    text = json.dumps(doc, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    # A lone surrogate comes from a file edited by hand; it must show as a change, not crash.
    return text.encode("utf-8", "surrogatepass")


def link(prev_hash: str, event: Event) -> str:
    """The hash of an event that follows the one with `prev_hash`, in lower-case hex."""
    before = prev_hash.encode("utf-8", "surrogatepass")
    return hashlib.sha256(before + b"\n" + canonical(event)).hexdigest()


def missing(numbers: Iterable[int], last: int) -> tuple[tuple[int, int], ...]:
    """The runs of numbers from 1 to `last` that are not among those given (ascending)."""
    gaps = []
    expected = 1
    for n in (*numbers, last + 1):
        if n > expected:
            gaps.append((expected, n - 1))
        expected = max(expected, n + 1)
    return tuple(gaps)


def missing_text(first: int, last: int) -> str:
    """How a run of missing events is told."""
    if first == last:
        return f"event {first} is missing"
    return f"events {first} to {last} are missing"


def changed_text(n: int) -> str:
    """How a changed event is told."""
    return f"event {n} was changed after it was written"


def verify(events: Sequence[Event]) -> tuple[Break, ...]:
    """Every place where the events are not as they were written, in order of their numbers.

    A changed event is told once, at that event: the next one is held against the hash stored in it
    and, should that hash be what was changed, against the one it ought to have. The first event
    after a gap has nothing to be held against; the gap is what is told.
    """
    breaks: list[Break] = []
    seen: dict[int, Event] = {}
    highest = 0
    for event in events:
        if event.n in seen:
            breaks.append(Break(event.n, f"event {event.n} appears twice"))
            continue
        if event.n < highest:
            breaks.append(Break(event.n, f"event {event.n} stands after event {highest}"))
        highest = max(highest, event.n)
        seen[event.n] = event
    numbers = sorted(seen)
    breaks += [Break(a, missing_text(a, b)) for a, b in missing(numbers, highest)]
    before: tuple[str, ...] = (GENESIS,)
    expected = 1
    for n in numbers:
        event = seen[n]
        wanted = [link(hash_, event) for hash_ in before] if n == expected else []
        before = (event.hash,)
        if wanted and event.hash not in wanted:
            breaks.append(Break(n, changed_text(n)))
            before = (event.hash, *wanted)
        expected = n + 1
    return tuple(sorted(breaks))
