"""A reading judged: by itself, at every key of the reading field, and by a process of its own."""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from collections import Counter
from contextlib import ExitStack
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from checkrun.judge.catalog import KINDS
from checkrun.judge.judgement import Car, Judgement, Outcome
from checkrun.judge.kinds import judge_text
from checkrun.session.store import Store
from checkrun.units import quantity

from . import subjects
from .figures import Figures, percentile, ratio
from .terminal import ROWS, Burst, Terminal

#: The least that a field to type in can do: one key, one frame, nothing made of the text.
_INPUT_APP = """
from textual.app import App
from textual.widgets import Input
class Bare(App):
    CSS = "Input { height: 1; border: none; padding: 0; }"
    def compose(self):
        yield Input(compact=True)
Bare().run()
"""

#: The same, with a line below it that is written anew at every key, as a judgement is.
_ANSWERING_APP = """
from textual.app import App
from textual.widgets import Input, Static
WORDS = "fail: the sides differ by 1.2 mm, more than the 1.0 mm that is allowed."
class Bare(App):
    CSS = "Input { height: 1; border: none; padding: 0; } Static { height: 3; }"
    def compose(self):
        yield Input(compact=True)
        yield Static("open")
    def on_input_changed(self, event):
        self.query_one(Static).update(f"{event.value} {WORDS}", layout=False)
Bare().run()
"""

#: A line as it is typed at the first check of that kind on the longest way round the Plover.
_LINES = {
    "measure": "2.5",
    "gaps": "left 4.6 4.8 4.7, right 4.4 4.7 4.9",
    "film": "nose 260 um, left wing 275 um, right wing 250 um",
    "cylinders": "128 124 130 126 122 129",
    "tread": "5.2 5.4 4.9",
    "diagonals": "3012 3014",
    "wall": "2.95 2.91 2.98",
    "toe": "1368 1369.5",
    "camber-caster": "left 0.3 1.6 -0.5, right 0.4 1.5 -0.6",
    "lash": "22 mm",
    "runout": "0.8",
    "battery": "12.48 18 C",
    "timed": "40 38",
    "signs-seen": "oil, coolant",
    "yes-no": "yes",
    "count": "1",
    "stamp": "PL6-02417",
    "date-code": "0866",
    "vin": "11111111111111111",
    "tyre-age": "1921",
    "tyre-size": "165/80 R 15 both sides",
}
_FACTS = {"serial": "PL6-02417", "build-date": "1966-02-17"}
_MILLISECONDS, _ROUNDS, _CALLS = 1.0, 60, 20


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind(benchmark: Any, figures: Figures, kind: str) -> None:
    route = subjects.shipped_route()
    checks = (check.reading for check in route.checks.values())
    reading = next(found for found in checks if found is not None and found.kind == kind)
    spec = {**reading.spec, **({"unit": reading.unit} if reading.unit else {})}
    car = Car(1966, _FACTS, {mark.id: mark for mark in route.marks}, date(2026, 3, 14))

    def judged(*given: Any) -> Judgement:
        quantity.cache_clear()  # as for a line that is seen for the first time
        return judge_text(*given)

    judgement = benchmark.pedantic(
        judged,
        (kind, spec, _LINES[kind], car),
        rounds=_ROUNDS,
        iterations=_CALLS,
        warmup_rounds=1,
    )
    assert judgement.outcome is not Outcome.UNDECIDED, judgement
    assert not judgement.problems
    median = statistics.median(benchmark.stats.stats.data) * 1e3
    figures.add(f"{kind} judged, ms", median, _MILLISECONDS, judgement.outcome.value)


_KEY, _TIMES = 1.3, 5
#: How long a walk goes on to work after its first frame, seconds.
_UNTIL_STILL = 3.0
_BARE, _ANSWERING, _WALK = "bare field", "field with an answer", "walk"


def test_key_in_the_field(tmp_path: Path, figures: Figures) -> None:
    line = _LINES["gaps"]
    with ExitStack() as open_terminals:
        terminals = {
            what: open_terminals.enter_context(terminal)
            for what, terminal in _terminals(tmp_path).items()
        }
        bursts: dict[str, list[Burst]] = {what: [] for what in terminals}
        for terminal in terminals.values():
            terminal.until(lambda seen: f"\x1b[{ROWS};1H".encode() in seen)
        time.sleep(_UNTIL_STILL)
        for what, terminal in terminals.items():
            terminal.settle()
            if what == _WALK:
                terminal.key(b"r")
        for _ in range(_TIMES):
            for terminal in terminals.values():
                terminal.key(b"\x15")  # Ctrl+U empties the field
            for char in line:
                for what, terminal in terminals.items():
                    terminal.settle(0.0)
                    bursts[what].append(terminal.key(char.encode()))
    shown = b"".join(burst.text for burst in bursts[_WALK])
    assert b"judged" in shown
    assert b"pass: " in shown
    seconds = {what: [burst.seconds for burst in found] for what, found in bursts.items()}
    for what in (_BARE, _ANSWERING):
        for name, share in (("median", 0.5), ("p90", 0.9)):
            walk, floor = percentile(seconds[_WALK], share), percentile(seconds[what], share)
            note = f"{walk * 1e3:.1f} : {floor * 1e3:.1f} ms"
            figures.add(f"key judged to {what}, {name}", walk / floor, _KEY, note)
    # Where the judgement comes a frame after the key, it comes some 30 ms after it.
    frames = Counter(burst.frames for burst in bursts[_WALK])
    note = ", ".join(f"{count} keys took {number}" for number, count in sorted(frames.items()))
    figures.add("frames a judged key, most", max(frames), 1, note)


def _terminals(folder: Path) -> dict[str, Terminal]:
    """The two bare fields, and a walk that stands at a reading of gaps."""
    store, route = Store(folder / "store", subjects.clock()), subjects.shipped_route()
    with store.create(route, 1966, _FACTS) as session:
        session.move("bonnet-gaps")
        session.confirm_state(dict(session.walk.route.station_of["bonnet-gaps"].needs))
    env = subjects.environment(folder, store.folder)
    programs = {
        _BARE: subjects.program(folder, "bare", _INPUT_APP),
        _ANSWERING: subjects.program(folder, "answering", _ANSWERING_APP),
        _WALK: [sys.executable, "-m", "checkrun", "resume"],
    }
    return {what: Terminal(argv, env) for what, argv in programs.items()}


_STARTS = 21
_OWN_LIMIT = {"kind": "tread", "unit": "mm", "least": 1.6, "tyres": {"lf": [4.1, 4.0, 3.8]}}
_PUBLISHED = {"kind": "tread", "limit": "us-in-use/tread-depth", "tyres": {"lf": [4.1, 4.0, 3.8]}}
_YAML_OWN = "kind: tread\nunit: mm\nleast: 1.6\ntyres: {lf: [4.1, 4.0, 3.8]}\n"
_YAML_PUBLISHED = (
    "kind: tread\nunit: mm\nlimit: us-in-use/tread-depth\ntyres: {lf: [4.1, 4.0, 3.8]}\n"
)


def test_the_command(tmp_path: Path, figures: Figures) -> None:
    readings = {
        "JSON": json.dumps(_OWN_LIMIT),
        "YAML": _YAML_OWN,
        "JSON, published limit": json.dumps({"unit": "mm", **_PUBLISHED}),
        "YAML, published limit": _YAML_PUBLISHED,
    }
    env = subjects.environment(tmp_path, tmp_path)
    judge = [sys.executable, "-m", "checkrun", "judge", "--json"]
    floor: list[float] = []
    seconds: dict[str, list[float]] = {what: [] for what in readings}
    for what, text in readings.items():  # compiles what is not compiled yet
        out = _timed(judge, env, text)[1]
        found = json.loads(out)
        assert (found["result"], found["problems"]) == ("pass", []), what
        assert bool(found["sources"]) == ("published" in what), what
    for _ in range(_STARTS):
        floor.append(_timed([sys.executable, "-c", "pass"], env, "")[0])
        for what, text in readings.items():
            seconds[what].append(_timed(judge, env, text)[0])
    for what, times in seconds.items():
        note = f"{_ms(times)} : {_ms(floor)} ms"
        figures.add(f"checkrun judge, {what}", ratio(times, floor), 6.0, note)


def _timed(argv: list[str], env: dict[str, str], text: str) -> tuple[float, bytes]:
    """Seconds of a process from start to end, and what it wrote."""
    begun = time.perf_counter()
    run = subprocess.run(argv, env=env, input=text.encode(), check=True, capture_output=True)
    return time.perf_counter() - begun, run.stdout


def _ms(values: list[float]) -> str:
    return f"{statistics.median(values) * 1e3:.1f}"
