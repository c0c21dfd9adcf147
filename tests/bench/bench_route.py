"""A route of 300 checks read and checked with places, against PyYAML's C reader without either."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest
import yaml

from checkrun.route.catalog import Catalog, Folder

from . import subjects
from .figures import Figures, ratio

_ROUNDS = 25
_CHECKS = 300


@pytest.mark.parametrize(("how", "target"), [("read", 1.3), ("from the cache", 0.3)])
def test_route(tmp_path: Path, benchmark: Any, figures: Figures, how: str, target: float) -> None:
    file = tmp_path / "routes" / "generated.yaml"
    subjects.generated(file.parent, _CHECKS)
    cache = None if how == "read" else tmp_path / "cache"
    Catalog([Folder(file.parent, "yours")], cache).load("generated")
    floor: list[float] = []

    def load() -> None:
        begun = time.perf_counter()
        yaml.load(file.read_bytes(), Loader=yaml.CSafeLoader)
        floor.append(time.perf_counter() - begun)

    def read() -> int:
        # A new catalog each time: one that has read a file before knows its tree.
        route = Catalog([Folder(file.parent, "yours")], cache).load("generated")
        return sum(len(station.checks) for station in route.stations)

    assert benchmark.pedantic(read, setup=load, rounds=_ROUNDS) == _CHECKS
    found = benchmark.stats.stats.data
    size = file.stat().st_size >> 10
    note = f"{_ms(found)} : {_ms(floor)} ms, {size} KiB"
    figures.add(f"300 checks, {how}", ratio(found, floor), target, note)


def _ms(values: list[float]) -> str:
    return f"{sorted(values)[len(values) // 2] * 1e3:.1f}"
