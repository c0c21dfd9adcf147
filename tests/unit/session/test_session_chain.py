from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from checkrun.session.chain import GENESIS, Break, canonical, link, missing, verify
from checkrun.session.events import Event, Kind


def chain_of(n: int) -> list[Event]:
    events: list[Event] = []
    before = GENESIS
    for number in range(1, n + 1):
        at = datetime(2026, 3, 4, 9, 0, number, tzinfo=UTC)
        event = Event(number, at, Kind.NOTED, {"check": "a", "text": f"no {number} – ü"}, number)
        before = link(before, event)
        events.append(replace(event, hash=before))
    return events


# Source: the example messages NIST publishes for SHA-256 of FIPS 180-4 ("abc", one block; 448 bits,
# two blocks; 896 bits). Status: from memory, not looked up; hashlib and, below, sha256sum agree.
NIST = [
    (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
    (
        b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
    ),
    (
        b"abcdefghbcdefghicdefghijdefghijkefghijklfghijklmghijklmnhijklmnoijklmnopjklmnopqklmnopqr"
        b"lmnopqrsmnopqrstnopqrstu",
        "cf5b16a778af8380036ce59e7b0492370b249b11e8f07a51afac45037afee9d1",
    ),
]


@pytest.mark.parametrize(("message", "digest"), NIST)
def test_the_digest_function_gives_the_published_digests(message: bytes, digest: str) -> None:
    assert len(message) * 8 in (24, 448, 896)
    assert hashlib.sha256(message).hexdigest() == digest


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="no sha256sum here")
def test_another_program_computes_the_same_link() -> None:
    first, second = chain_of(2)
    payload = first.hash.encode() + b"\n" + canonical(second)
    out = subprocess.run(["sha256sum"], input=payload, capture_output=True, check=True).stdout
    assert out.split()[0].decode() == second.hash


def test_the_genesis_is_the_digest_of_the_format_line() -> None:
    assert hashlib.sha256(b"checkrun session format 1").hexdigest() == GENESIS


def test_the_chain_can_be_recomputed_by_hand() -> None:
    before = GENESIS
    for event in chain_of(4):
        # Written out here, not taken from the code under test.
        text = (
            f'{{"at":"2026-03-04T09:00:0{event.n}.000000Z","data":{{"check":"a",'
            f'"text":"no {event.n} – ü"}},"group":{event.n},"kind":"noted","n":{event.n}}}'
        )
        before = hashlib.sha256(before.encode() + b"\n" + text.encode()).hexdigest()
        assert event.hash == before


def test_canonical_sorts_keys_at_every_depth() -> None:
    at = datetime(2026, 3, 4, tzinfo=UTC)
    event = Event(1, at, Kind.BEGAN, {"z": 1, "a": {"y": "ä", "b": 2}}, 1, "ffff")
    assert (
        canonical(event)
        == (
            '{"at":"2026-03-04T00:00:00.000000Z","data":{"a":{"b":2,"y":"ä"},"z":1},'
            '"group":1,"kind":"began","n":1}'
        ).encode()
    )
    assert json.loads(canonical(event))["data"]["a"]["y"] == "ä"


def test_a_chain_as_written_has_no_breaks() -> None:
    assert verify(chain_of(20)) == ()
    assert verify([]) == ()


CHANGES: list[dict[str, Any]] = [
    {"data": {"check": "a", "text": "other"}},
    {"at": datetime(2026, 3, 4, 9, 0, 3, 1, tzinfo=UTC)},
    {"kind": Kind.MEASURED},
    {"group": 2},
    {"hash": "0" * 64},
    {"hash": ""},
]


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("n", [1, 3, 5])
def test_a_changed_event_is_told_once(change: dict[str, Any], n: int) -> None:
    events = chain_of(5)
    events[n - 1] = replace(events[n - 1], **change)
    assert verify(events) == (Break(n, f"event {n} was changed after it was written"),)


def test_two_changed_events_are_told_each() -> None:
    events = chain_of(6)
    for n in (2, 3, 6):
        events[n - 1] = replace(events[n - 1], data={"check": "b", "text": ""})
    assert [b.n for b in verify(events)] == [2, 3, 6]


def test_missing_events_are_told_as_a_run() -> None:
    events = chain_of(20)
    assert verify(events[:17] + events[19:]) == (Break(18, "events 18 to 19 are missing"),)
    assert verify(events[:4] + events[5:]) == (Break(5, "event 5 is missing"),)
    assert verify(events[2:]) == (Break(1, "events 1 to 2 are missing"),)


def test_a_repeated_event_is_told() -> None:
    events = chain_of(6)
    assert verify([*events[:5], events[4], events[5]]) == (Break(5, "event 5 appears twice"),)


def test_events_out_of_order_are_told() -> None:
    events = chain_of(4)
    swapped = [events[0], events[2], events[1], events[3]]
    assert verify(swapped) == (Break(2, "event 2 stands after event 3"),)


def test_a_moment_in_another_zone_is_the_same_moment() -> None:
    from datetime import timezone

    event = chain_of(1)[0]
    east = replace(event, at=event.at.astimezone(timezone(timedelta(hours=5, minutes=45))))
    assert link(GENESIS, east) == event.hash


def test_missing_runs_up_to_the_last() -> None:
    assert missing([2, 3, 6], 8) == ((1, 1), (4, 5), (7, 8))
    assert missing([], 0) == ()
    assert missing([], 2) == ((1, 2),)
