"""The person's settings: the theme, and other keys for actions. A small JSON file."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

#: What bare numbers can be taken to be in: the route's units, metric ones, US ones.
UNITS = ("", "metric", "us")


@dataclass(frozen=True, slots=True)
class Settings:
    """What the person chose.

    Attributes:
        theme: `dark`, `light` or `contrast`.
        keys: Other keys by the action's id, such as `{"walk.pass": "space"}`.
        problem: Why the file could not be used; empty if it could.
        units: `metric` or `us` for bare numbers in the person's own units; empty for those of the
            route. A unit that is typed always wins.
    """

    theme: str = "dark"
    keys: Mapping[str, str] = field(default_factory=dict)
    problem: str = ""
    units: str = ""


def load(path: Path) -> Settings:
    """The settings of a file; a missing one gives the defaults, a broken one too, and says so."""
    try:
        raw = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return Settings()
    except (OSError, UnicodeDecodeError) as error:
        return Settings(problem=f"{path} can't be read: {error}")
    try:
        data = json.loads(raw)
    except json.JSONDecodeError as error:
        return Settings(problem=f"{path}:{error.lineno}:{error.colno}: {error.msg}")
    except (RecursionError, ValueError):
        return Settings(problem=f"{path} can't be read: too deep, or a number without end")
    if not isinstance(data, dict):
        return Settings(problem=f"{path}: a mapping is expected")
    theme, keys = data.get("theme", "dark"), data.get("keys", {})
    good_keys = isinstance(keys, dict) and all(isinstance(value, str) for value in keys.values())
    units = data.get("units", "")
    if not isinstance(theme, str) or not good_keys:
        return Settings(problem=f'{path}: write {{"theme": "dark", "keys": {{"walk.pass": "g"}}}}')
    if units not in UNITS:
        return Settings(problem=f'{path}: "units" is "metric", "us" or ""')
    return Settings(theme, keys, units=units)


def save(path: Path, name: str, value: str) -> None:
    """Keep one choice; everything else in the file stays. What is no settings is left alone.

    Raises:
        OSError: If it can't be written.
    """
    if load(path).problem:
        return
    data = json.loads(path.read_text(encoding="utf-8-sig")) if path.exists() else {}
    path.parent.mkdir(parents=True, exist_ok=True)
    scratch = path.with_suffix(".new")
    text = json.dumps({**data, name: value}, indent=2, ensure_ascii=False)
    scratch.write_text(text + "\n", encoding="utf-8")
    scratch.replace(path)
