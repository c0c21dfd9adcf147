"""What a list of sessions shows, read from the first few kilobytes of each file.

Every write puts the head table first in the file and keeps in it what the list needs. So 500
sessions of 90 KB each are listed without parsing 45 MB: the start of a file is decoded up to the
end of its head, and its last bytes are looked at to tell whether the file is whole.
"""

from __future__ import annotations

import codecs
import json
import os
import re
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, BinaryIO

from checkrun.session.moments import moment
from checkrun.session.upgrade import CURRENT, format_of, upgrade

_FIRST = 4096
_STARTS_WITH_HEAD = re.compile(r'\s*\{\s*"head"\s*:\s*')
_DECODER = json.JSONDecoder()
#: A whole file ends by closing the last table and the file.
_ENDS_WHOLE = re.compile(rb"\}\s*\}\s*\Z")
#: No session written by this program has a dot in its id; lock files and copies have.
_SESSION_FILE = re.compile(r"([^.][^.]*)\.json\Z")


@dataclass(frozen=True, slots=True)
class Head:
    """One line of a list of sessions.

    Attributes:
        id: The session.
        route_id: The route walked; empty if it can't be told.
        title: The route's title.
        year: The car's model year; 0 if it can't be told.
        facts: What was said of the car at the intake.
        began_at: When the walk began; of a damaged file, when the file was last written.
        changed_at: When something was last entered.
        answered: How many checks have a result.
        total: How many checks the route has.
        signed_by: Who signed it off, or None.
        problem: Empty, "damaged" or "newer".
        path: The session file.
    """

    id: str
    route_id: str
    title: str
    year: int
    facts: dict[str, str] = field(hash=False)
    began_at: datetime
    changed_at: datetime
    answered: int
    total: int
    signed_by: str | None
    problem: str
    path: Path


def session_ids(folder: Path) -> list[str]:
    """The ids of the sessions in a folder, in order of their names; none if it is missing."""
    try:
        names = os.listdir(folder)
    except (FileNotFoundError, NotADirectoryError):
        return []
    return sorted(found[1] for found in map(_SESSION_FILE.match, names) if found)


def read_head(path: Path) -> Head:
    """The head of one session. A file that can't be read gets a `problem`; nothing is raised."""
    try:
        with open(path, "rb") as file:
            doc = _head_doc(file)
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return _troubled(path, "damaged")
    try:
        if format_of({"head": {"1": doc}}) > CURRENT:
            return _troubled(path, "newer")
        if format_of({"head": {"1": doc}}) < CURRENT:
            doc = upgrade(json.loads(path.read_bytes()), path.stem)[0]["head"]["1"]
        return _from_doc(path, doc)
    except Exception:
        # An upgrade step may trip over anything in a damaged file; the list must still come up.
        return _troubled(path, "damaged")


def _head_doc(file: BinaryIO) -> dict[str, Any]:
    """The head document, from as little of the file as holds it."""
    size = os.fstat(file.fileno()).st_size
    wanted = _FIRST
    while wanted < size and _ends_whole(file):
        file.seek(0)
        text = codecs.getincrementaldecoder("utf-8")().decode(file.read(wanted))
        start = _STARTS_WITH_HEAD.match(text)
        if start is None:
            break
        try:
            return dict(_DECODER.raw_decode(text, start.end())[0]["1"])
        except json.JSONDecodeError:
            wanted *= 8
    file.seek(0)
    return dict(json.loads(file.read().decode("utf-8"))["head"]["1"])


def _ends_whole(file: BinaryIO) -> bool:
    """Whether the last bytes are the end of a file; if not, only reading all of it can tell."""
    file.seek(-16, os.SEEK_END)
    return _ENDS_WHOLE.search(file.read()) is not None


def _from_doc(path: Path, doc: dict[str, Any]) -> Head:
    """The head a document stands for; raises if it is not one."""
    signed_by = doc["signed_by"]
    if not isinstance(doc["facts"], dict) or not isinstance(signed_by, str | None):
        raise TypeError("not a head")
    return Head(
        id=path.stem,
        route_id=str(doc["route"]),
        title=str(doc["title"]),
        year=int(doc["year"]),
        facts={str(key): str(value) for key, value in doc["facts"].items()},
        began_at=moment(doc["began"]),
        changed_at=moment(doc["changed"]),
        answered=int(doc["answered"]),
        total=int(doc["total"]),
        signed_by=signed_by,
        problem="",
        path=path,
    )


def _troubled(path: Path, problem: str) -> Head:
    """The line for a file that can't be read: its name and when it was last written."""
    try:
        written = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    except (OSError, ValueError, OverflowError):
        written = datetime.fromtimestamp(0, UTC)
    return Head(path.stem, "", "", 0, {}, written, written, 0, 0, None, problem, path)
