"""From a result key to the next check painted, with the answer durably on disk in between.

Measured from outside, through a pseudo-terminal: from the write of the key to the read that holds
the last byte of the frame. The programs are told that the terminal knows synchronized updates, so
that every frame is bracketed and can be counted; a frame that came late would be waited for.
"""

from __future__ import annotations

import statistics
import sys
from contextlib import ExitStack
from pathlib import Path

from checkrun.session.store import Store

from . import subjects
from .figures import Figures, percentile, ratio
from .terminal import ROWS, Burst, Terminal

_KEYS = 250
_BARE, _USUAL, _HUGE = "bare list", "300 checks", "10,000 checks"


def test_result_key(tmp_path: Path, figures: Figures) -> None:
    with ExitStack() as open_terminals:
        terminals = {
            what: open_terminals.enter_context(terminal)
            for what, terminal in _terminals(tmp_path).items()
        }
        bursts: dict[str, list[Burst]] = {what: [] for what in terminals}
        for terminal in terminals.values():
            terminal.until(lambda seen: f"\x1b[{ROWS};1H".encode() in seen)
            terminal.settle(3.0)
            for _ in range(5):
                terminal.key(b"p")
        for _ in range(_KEYS):
            for what, terminal in terminals.items():
                bursts[what].append(terminal.key(b"p"))
    for what, found in bursts.items():
        frames = {burst.frames for burst in found}
        assert frames == {1}, f"{what}: a key took {sorted(frames)} frames"
    seconds = {what: [burst.seconds for burst in found] for what, found in bursts.items()}
    floor, usual, huge = seconds[_BARE], seconds[_USUAL], seconds[_HUGE]
    figures.add("key to next check, median", ratio(usual, floor), 1.5, _ms(usual, floor, 0.5))
    last = percentile(usual, 0.99) / percentile(floor, 0.99)
    figures.add("key to next check, p99", last, 2.0, _ms(usual, floor, 0.99))
    figures.add("key at 10,000 checks to 300", ratio(huge, usual), 1.2, _ms(huge, usual, 0.5))
    size = statistics.median(len(burst.text) for burst in bursts[_USUAL])
    figures.add("frames a key", 1, 1, f"{size:.0f} bytes")


def _terminals(folder: Path) -> dict[str, Terminal]:
    """The bare list, and a fresh walk on each of the two routes."""
    folders = {what: folder / what.replace(" ", "-") for what in (_USUAL, _HUGE)}
    for (what, place), checks in zip(folders.items(), (300, 10_000), strict=True):
        route = subjects.generated(place / "routes", checks)
        Store(place / "store", subjects.clock()).create(route, 1966, {}).close()
        assert len(route.checks) == checks, what
    bare = subjects.program(folder, "bare", subjects.LIST_APP)
    terminals = {_BARE: Terminal(bare, subjects.environment(folder, folder))}
    for what, place in folders.items():
        env = subjects.environment(place, place / "store")
        terminals[what] = Terminal([sys.executable, "-m", "checkrun", "resume"], env)
    return terminals


def _ms(thing: list[float], floor: list[float], share: float) -> str:
    return f"{percentile(thing, share) * 1e3:.1f} : {percentile(floor, share) * 1e3:.1f} ms"
