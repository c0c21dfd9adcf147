"""Forty items with 20,000 draws priced by a process, against the same sum written for the day.

The floor is what a person who knows numpy and scipy would write: the same items, chances, shared
labour and correlation by a Gaussian copula, read and printed as JSON. Imports count on both sides.
The second floor leaves the correlation out, the third scipy and with it the shared labour too.
"""

from __future__ import annotations

import json
import random
import statistics
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from . import subjects
from .figures import Figures, ratio

_ITEMS, _DRAWS, _STARTS = 40, 20_000, 15

_SAME = """
import json
import sys
import numpy as np
from scipy import stats

data = json.load(sys.stdin)
n, rate, r = data["draws"], data["rate"], data["correlation"]
rng = np.random.default_rng(data["seed"])
common = rng.standard_normal(n)

def pert(low, likely, high):
    if high == low:
        return low
    a = 1 + 4 * (likely - low) / (high - low)
    z = np.sqrt(r) * common + np.sqrt(1 - r) * rng.standard_normal(n)
    return stats.beta.ppf(stats.norm.cdf(z), a, 6 - a, loc=low, scale=high - low)

total, taken = np.zeros(n), {}
for item in sorted(data["items"], key=lambda item: -np.dot(item["hours"], [1, 4, 1])):
    occurs = rng.random(n) < item["chance"]
    total += occurs * pert(*item["parts"])
    group = item["together"] or item["id"]
    before = taken.get(group, np.zeros(n, dtype=bool))
    total += rate * (occurs & ~before) * pert(*item["hours"])
    taken[group] = before | occurs
p50, p80, p90 = np.percentile(total, [50, 80, 90])
print(json.dumps({"mean": total.mean(), "sd": total.std(), "p50": p50, "p80": p80, "p90": p90}))
"""
_APART = _SAME.replace(
    "    z = np.sqrt(r) * common + np.sqrt(1 - r) * rng.standard_normal(n)\n"
    "    return stats.beta.ppf(stats.norm.cdf(z), a, 6 - a, loc=low, scale=high - low)\n",
    "    return stats.beta.rvs(a, 6 - a, loc=low, scale=high - low, size=n, random_state=rng)\n",
)
_BARE = """
import json
import sys
import numpy as np

data = json.load(sys.stdin)
n = data["draws"]
rng = np.random.default_rng(data["seed"])
total = np.zeros(n)
for item in data["items"]:
    occurs = rng.random(n) < item["chance"]
    for (low, likely, high), price in ((item["hours"], data["rate"]), (item["parts"], 1)):
        a = 1 + 4 * (likely - low) / (high - low)
        total += price * occurs * (low + (high - low) * rng.beta(a, 6 - a, n))
p50, p80, p90 = np.percentile(total, [50, 80, 90])
print(json.dumps({"mean": total.mean(), "sd": total.std(), "p50": p50, "p80": p80, "p90": p90}))
"""


def _subject() -> dict[str, Any]:
    """Items as a walk leaves them: most certain, some with a chance, some that share labour."""
    some = random.Random(4)
    items = []
    for number in range(_ITEMS):
        hours = sorted(round(some.uniform(0.5, 30), 1) for _ in range(3))
        parts = sorted(round(some.uniform(0, 2000), 2) for _ in range(3))
        items.append(
            {
                "id": f"item-{number}",
                "chance": 0.5 if number % 3 == 0 else 1.0,
                "together": f"group-{number // 4}" if number % 4 < 2 else "",
                "hours": hours,
                "parts": parts,
            }
        )
    return {"items": items, "rate": 80, "correlation": 0.2, "seed": 1, "draws": _DRAWS}


def test_price(tmp_path: Path, figures: Figures) -> None:
    text = json.dumps(_subject()).encode()
    env = subjects.environment(tmp_path, tmp_path)
    programs = {
        "checkrun": [sys.executable, "-m", "checkrun", "price", "--json"],
        "the same sum": subjects.program(tmp_path, "same", _SAME),
        "without correlation": subjects.program(tmp_path, "apart", _APART),
        "numpy alone, no shared labour": subjects.program(tmp_path, "bare", _BARE),
    }
    seconds: dict[str, list[float]] = {what: [] for what in programs}
    # The first run compiles what is not compiled yet, and shows that the sums are the same.
    found = {what: json.loads(_timed(argv, env, text)[1]) for what, argv in programs.items()}
    ours, same = found["checkrun"], found["the same sum"]
    for name in ("mean", "sd", "p50", "p80", "p90"):
        assert abs(ours[name] / same[name] - 1) < 0.03, name
    for _ in range(_STARTS):
        for what, argv in programs.items():
            seconds[what].append(_timed(argv, env, text)[0])
    for what, target in zip([*programs][1:], (1.0, 1.0, None), strict=True):
        note = f"{_ms(seconds['checkrun'])} : {_ms(seconds[what])} ms"
        figures.add(f"price to {what}", ratio(seconds["checkrun"], seconds[what]), target, note)


def _timed(argv: list[str], env: dict[str, str], text: bytes) -> tuple[float, bytes]:
    """Seconds of a process from start to end, and what it wrote."""
    begun = time.perf_counter()
    run = subprocess.run(argv, env=env, input=text, check=True, capture_output=True)
    return time.perf_counter() - begun, run.stdout


def _ms(values: list[float]) -> str:
    return f"{statistics.median(values) * 1e3:.0f}"
