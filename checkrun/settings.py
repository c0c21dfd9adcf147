"""The person's settings: the theme, and other keys for actions. A small JSON file."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Settings:
    """What the person chose.

    Attributes:
        theme: `dark`, `light` or `contrast`.
        keys: Other keys by the action's id, such as `{"walk.pass": "space"}`.
        problem: Why the file could not be used; empty if it could.
    """

    theme: str = "dark"
    keys: Mapping[str, str] = field(default_factory=dict)
    problem: str = ""


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
    if not isinstance(theme, str) or not good_keys:
        return Settings(problem=f'{path}: write {{"theme": "dark", "keys": {{"walk.pass": "g"}}}}')
    return Settings(theme, keys)


def save_theme(path: Path, theme: str) -> None:
    """Keep a theme; everything else in the file stays. A file that is no settings is left alone.

    Raises:
        OSError: If it can't be written.
    """
    if load(path).problem:
        return
    data = json.loads(path.read_text(encoding="utf-8-sig")) if path.exists() else {}
    path.parent.mkdir(parents=True, exist_ok=True)
    scratch = path.with_suffix(".new")
    text = json.dumps({**data, "theme": theme}, indent=2, ensure_ascii=False)
    scratch.write_text(text + "\n", encoding="utf-8")
    scratch.replace(path)
