"""Where things lie: shipped routes and samples, the person's own routes, sessions, cache, settings.

Each can be moved by an environment variable; the rest follows the platform's conventions.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_SHIPPED = _PACKAGE / "shipped"


def shipped(name: str) -> Path:
    """The folder of what comes with the program: `checklists` or `sample_sessions`.

    In an installed package it lies inside the package, in a checkout beside it.
    """
    inside = _SHIPPED / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


def store(env: Mapping[str, str] = os.environ) -> Path:
    """The folder of the sessions: `CHECKRUN_STORE`, else the platform's data folder."""
    return _named(env, "CHECKRUN_STORE") or _platform("data") / "sessions"


def own_routes(env: Mapping[str, str] = os.environ) -> Path:
    """The folder of the person's own routes: `CHECKRUN_ROUTES`, else in the data folder."""
    return _named(env, "CHECKRUN_ROUTES") or _platform("data") / "checklists"


def cache(env: Mapping[str, str] = os.environ) -> Path:
    """The folder of what can be made again: `CHECKRUN_CACHE`, else the platform's."""
    return _named(env, "CHECKRUN_CACHE") or _platform("cache")


def settings(env: Mapping[str, str] = os.environ) -> Path:
    """The file of the settings: `CHECKRUN_SETTINGS`, else in the platform's config folder."""
    return _named(env, "CHECKRUN_SETTINGS") or _platform("config") / "settings.json"


def _named(env: Mapping[str, str], variable: str) -> Path | None:
    value = env.get(variable, "")
    return Path(value).expanduser() if value else None


def _platform(what: str) -> Path:
    import platformdirs

    folder = {
        "data": platformdirs.user_data_path,
        "cache": platformdirs.user_cache_path,
        "config": platformdirs.user_config_path,
    }[what]
    return folder("checkrun", appauthor=False)
