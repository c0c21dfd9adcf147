"""From a changed answer to the claims weighed and painted anew, with the undo durably on disk.

Half a walk over the longest way round the Plover is answered, and the last answer, to a check that
speaks of the first claim, is taken back and brought again on the claims screen: every sign is
gathered and weighed, what to look at next is reckoned anew, and list and sheet are painted. The
floor is a list that moves its mark and writes one text.
"""

from __future__ import annotations

import statistics
import sys
from contextlib import ExitStack
from pathlib import Path

from checkrun.route.model import Result
from checkrun.session.store import Store

from . import subjects
from .figures import Figures, percentile, ratio
from .terminal import ROWS, Burst, Terminal

_TIMES = 60
_BARE, _CLAIMS = "bare list", "claims"


def test_claims_after_a_changed_answer(tmp_path: Path, figures: Figures) -> None:
    store = Store(tmp_path / "store", subjects.clock())
    _half_answered(store)
    env = subjects.environment(tmp_path, store.folder)
    programs = {
        _BARE: subjects.program(tmp_path, "bare", subjects.LIST_APP),
        _CLAIMS: [sys.executable, "-m", "checkrun", "resume"],
    }
    with ExitStack() as open_terminals:
        terminals = {
            what: open_terminals.enter_context(Terminal(argv, env))
            for what, argv in programs.items()
        }
        for terminal in terminals.values():
            terminal.until(lambda seen: f"\x1b[{ROWS};1H".encode() in seen)
            terminal.settle(3.0)
        terminals[_CLAIMS].key(b"k")
        terminals[_CLAIMS].settle(1.0)
        assert b"decibans" in terminals[_CLAIMS].seen
        bursts: dict[str, list[Burst]] = {what: [] for what in programs}
        for _ in range(3):
            terminals[_BARE].key(b"p")
            terminals[_CLAIMS].key(b"u")
            terminals[_CLAIMS].key(b"y")
        for time in range(_TIMES):
            bursts[_BARE].append(terminals[_BARE].key(b"p"))
            bursts[_CLAIMS].append(terminals[_CLAIMS].key(b"y" if time % 2 else b"u"))
    undone, redone = (bursts[_CLAIMS][at].text for at in (0, 1))
    assert b"Undone" in undone, undone
    assert b"Redone" in redone, redone
    # What is believed changed, and so it was painted: the first line of the sheet below its title.
    assert all(b"odds" in text for text in (undone, redone))
    for what, found in bursts.items():
        frames = {burst.frames for burst in found}
        assert frames == {1}, f"{what}: a key took {sorted(frames)} frames"
    seconds = {what: [burst.seconds for burst in found] for what, found in bursts.items()}
    claims, floor = seconds[_CLAIMS], seconds[_BARE]
    note = f"{statistics.median(claims) * 1e3:.1f} : {statistics.median(floor) * 1e3:.1f} ms"
    figures.add("claims after a changed answer, median", ratio(claims, floor), 1.5, note)
    last = percentile(claims, 0.9) / percentile(floor, 0.9)
    figures.add("claims after a changed answer, p90", last)


def _half_answered(store: Store) -> None:
    """Half a walk of passes, and last a fail that speaks of the first claim."""
    with subjects.half_walked(store, subjects.shipped_route()) as session:
        route, walk = session.walk.route, session.walk
        claim = route.claims[0].id
        speaks = next(
            check
            for check in walk.sequence
            if walk.state(check).answer is not None
            and any(sign.claim == claim and sign.on_fail for sign in route.checks[check].signs)
        )
        at = walk.at
        session.answer(speaks, Result.FAIL)
        session.move(at)
