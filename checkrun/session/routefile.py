"""A route file of one's own on disk: where it lies, and how it is replaced without losing anything.

What was installed is never changed in place: its first change is saved as a copy in one's own
folder, where it wins over the installed file. A file that is replaced is kept beside it first.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from checkrun.session.durable import free_name, write_once

#: The schema lies beside the routes under this name, where the first line of each points to it.
SCHEMA = "route.schema.json"


@dataclass(frozen=True, slots=True)
class Saved:
    """What was written.

    Attributes:
        path: The file.
        backup: What it was before, if something was there to keep.
    """

    path: Path
    backup: Path | None


def is_installed(path: Path, shipped: Path) -> bool:
    """Whether a file came with the program."""
    return path.resolve().is_relative_to(shipped.resolve())


def own_path(path: Path, shipped: Path, own: Path) -> Path:
    """Where changes to a file are saved: for what was installed in one's own folder."""
    if not is_installed(path, shipped):
        return path
    return own / path.resolve().relative_to(shipped.resolve())


def content(path: Path) -> bytes | None:
    """What a file holds, or None if there is none.

    Raises:
        OSError: If it is there and can't be read.
    """
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None


def save(path: Path, raw: bytes, *, known: bytes | None) -> Saved:
    """Replace a file in one step; what it held is kept beside it unless it is known.

    Args:
        path: The file; it and its folder need not be there.
        raw: What it is to hold.
        known: What this program wrote there last, which need not be kept a second time.

    Raises:
        OSError: If it can't be written; then nothing has changed.
    """
    if path.exists():
        path = path.resolve()  # the file that a link leads to is written, not the link replaced
    path.parent.mkdir(parents=True, exist_ok=True)
    before = content(path)
    backup = None
    if before is not None and before not in (known, raw):
        backup = free_name(path, "backup")
        write_once(backup, before)
    if before != raw:
        write_once(path, raw)
    return Saved(path, backup)


def put_schema_beside(path: Path, own: Path, text: str) -> None:
    """Put the schema into one's own folder if a file there is saved and it lies there not yet."""
    schema = own / SCHEMA
    if path.resolve().is_relative_to(own.resolve()) and not schema.exists():
        write_once(schema, text.encode())
