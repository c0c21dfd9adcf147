"""From the start of the process to the first whole frame, and what that takes of memory."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

import pyte
import pytest

from checkrun.session.store import Store

from . import subjects
from .figures import Figures, ratio
from .terminal import COLUMNS, FRAME_ENDS, ROWS, Terminal

_ROUNDS = 21
_CHECKRUN = [sys.executable, "-m", "checkrun"]
#: A frame goes down to the last row and ends by putting the cursor into its corner.
_LAST_ROW, _CORNER = f"\x1b[{ROWS};1H".encode(), b"\x1b[1;1H"


@dataclass(slots=True)
class Starts:
    """The starts of one program: seconds, KiB, and whether the first frame was the whole one."""

    seconds: list[float] = field(default_factory=list)
    memory: list[float] = field(default_factory=list)
    whole: bool = True


def _painted(seen: bytes) -> bool:
    return _LAST_ROW in seen and seen.endswith((_CORNER, FRAME_ENDS))


def _shown(seen: bytes) -> list[str]:
    screen = pyte.Screen(COLUMNS, ROWS)
    # pyte knows no private modifier of `u` and would print the letter.
    pyte.ByteStream(screen).feed(seen.replace(b"\x1b[>25u", b""))
    return [line.rstrip() for line in screen.display]


def _start(argv: list[str], env: dict[str, str], starts: Starts) -> None:
    with Terminal(argv, env) as terminal:
        seconds = terminal.until(_painted)
        first = terminal.seen
        terminal.settle()
        starts.seconds.append(seconds)
        starts.memory.append(terminal.memory())
        starts.whole &= _shown(first) == _shown(terminal.seen)


def test_first_paint(tmp_path: Path, figures: Figures) -> None:
    store = Store(tmp_path / "store", subjects.clock())
    route = subjects.shipped_route()
    for _ in range(10):
        with subjects.half_walked(store, route) as session:
            name = session.id
    env = subjects.environment(tmp_path, store.folder)
    programs = {
        "empty app": subjects.program(tmp_path, "empty", subjects.EMPTY_APP),
        "home, 10 sessions": _CHECKRUN,
        "half-walked session": [*_CHECKRUN, "resume", name],
    }
    starts = {what: Starts() for what in programs}
    for argv in programs.values():
        _start(argv, env, Starts())  # compiles what is not compiled yet
    for _ in range(_ROUNDS):
        for what, argv in programs.items():
            _start(argv, env, starts[what])
    floor = starts.pop("empty app")
    for (what, found), target in zip(starts.items(), (1.3, 1.5), strict=True):
        assert found.whole, f"the first frame of the {what} is not all there is"
        times = f"{_ms(found.seconds)} : {_ms(floor.seconds)} ms"
        figures.add(f"first paint, {what}", ratio(found.seconds, floor.seconds), target, times)
        sizes = f"{_mib(found.memory)} : {_mib(floor.memory)} MiB"
        figures.add(f"memory, {what}", ratio(found.memory, floor.memory), 1.5, sizes)


def test_version(tmp_path: Path, figures: Figures) -> None:
    env = subjects.environment(tmp_path, tmp_path)
    script = Path(sys.executable).with_name("checkrun")
    programs = {
        "python -c pass": [sys.executable, "-c", "pass"],
        "python -m checkrun --version": [*_CHECKRUN, "--version"],
    }
    if script.exists():
        programs["checkrun --version"] = [str(script), "--version"]
    seconds: dict[str, list[float]] = {what: [] for what in programs}
    for _ in range(_ROUNDS):
        for what, argv in programs.items():
            begun = time.perf_counter()
            subprocess.run(argv, env=env, check=True, stdout=subprocess.DEVNULL)
            seconds[what].append(time.perf_counter() - begun)
    floor = seconds.pop("python -c pass")
    for what, found in seconds.items():
        figures.add(what, ratio(found, floor), 2.5, f"{_ms(found)} : {_ms(floor)} ms")


_SCREENLESS = (
    "--version",
    "--help",
    "routes",
    "lint",
    "sessions",
    "begin plover --year 1966 --fact serial=PL6-02417",
    "answer plover {check} pass --note dry",
    "summary plover",
    "verify plover",
    "sign plover --name Ida",
    "reopen plover --why again",
)


@pytest.mark.parametrize("command", _SCREENLESS)
def test_without_a_screen_textual_is_not_imported(tmp_path: Path, command: str) -> None:
    store = Store(tmp_path / "store", subjects.clock())
    if not command.startswith("begin"):
        with subjects.half_walked(store, subjects.shipped_route()) as session:
            command = command.format(check=session.walk.at)
    env = subjects.environment(tmp_path, store.folder)
    argv = [sys.executable, "-X", "importtime", "-m", "checkrun", *command.split()]
    run = subprocess.run(argv, env=env, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr[-500:]
    imported = {line.rsplit("|", 1)[-1].strip() for line in run.stderr.splitlines()}
    assert "checkrun" in imported
    assert not {name for name in imported if name.partition(".")[0] in ("textual", "rich")}


def _ms(values: list[float]) -> str:
    return f"{statistics.median(values) * 1e3:.1f}"


def _mib(values: list[float]) -> str:
    return f"{statistics.median(values) / 1024:.1f}"
