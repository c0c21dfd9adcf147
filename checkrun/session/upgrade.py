"""Files of older formats, brought up to the present one step by step."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from checkrun.session.errors import NewerFormat

#: The format this program writes. Format 2 has events of money, claims and rank.
CURRENT = 2


def _to_2(data: dict[str, Any]) -> dict[str, Any]:
    """Nothing of format 1 means anything else in format 2, which has more kinds of events."""
    head = {**data["head"]["1"], "format": 2}
    return {**data, "head": {**data["head"], "1": head}}


#: For each older format, what turns a whole file of it into the next one. Format 1 is the first.
UPGRADES: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {1: _to_2}


def format_of(data: dict[str, Any]) -> int:
    """The format a file says it has.

    Raises:
        ValueError: If it says none.
    """
    try:
        version = data["head"]["1"]["format"]
    except (KeyError, TypeError):
        raise ValueError("it does not say its format") from None
    if type(version) is not int:
        raise ValueError(f"its format is {version!r}, not a whole number")
    return version


def upgrade(data: dict[str, Any], name: str = "This session") -> tuple[dict[str, Any], int]:
    """A file's tables in the present format, and the format they were in.

    Args:
        data: The tables as read; not changed in place unless a step does so.
        name: What to call the file in an error.

    Raises:
        NewerFormat: If a newer program wrote it.
        ValueError: If it says no format or one that never was.
    """
    found = format_of(data)
    if found > CURRENT:
        raise NewerFormat(name, found, CURRENT)
    version = found
    while version < CURRENT:
        step = UPGRADES.get(version)
        if step is None:
            raise ValueError(f"there is no format {version}")
        data = step(data)
        if format_of(data) != version + 1:
            raise ValueError(f"the step from format {version} led nowhere")
        version += 1
    return data, found
