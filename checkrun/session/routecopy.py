"""The copy of the route that a session keeps: as it was walked, never changed afterwards."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from checkrun.route.data import from_data, to_data
from checkrun.route.model import Route
from checkrun.session.durable import free_name, write_once
from checkrun.session.errors import CannotWrite, DamagedFile

#: How much of the SHA-256 stands in the file's name; all of it stands in the session.
_SHOWN = 12
#: What making a route of something else than a route's data may raise.
_UNREADABLE = (ArithmeticError, AttributeError, LookupError, RecursionError, TypeError, ValueError)


def encode(route: Route) -> bytes:
    """The route as canonical JSON. The order of keys is the author's, for it is seen on screen."""
    text = json.dumps(to_data(route), ensure_ascii=False, separators=(",", ":"))
    return text.encode("utf-8", "surrogatepass")


def fingerprint(route: Route) -> str:
    """The SHA-256 of the route's copy, lower-case hex."""
    return hashlib.sha256(encode(route)).hexdigest()


def copy_path(folder: Path, session_id: str, sha: str) -> Path:
    """Where the copy with that SHA-256 lies."""
    return folder / f"{session_id}.route-{sha[:_SHOWN]}.json"


def keep(folder: Path, session_id: str, route: Route) -> str:
    """Write the copy unless it is there already.

    A file of its name with other bytes in it is damaged; it is kept under another name.

    Returns:
        The route's SHA-256.

    Raises:
        CannotWrite: If the system refuses.
    """
    payload = encode(route)
    sha = hashlib.sha256(payload).hexdigest()
    path = copy_path(folder, session_id, sha)
    try:
        if path.exists():
            if path.read_bytes() == payload:
                return sha
            path.rename(free_name(path, "damaged"))
        write_once(path, payload)
    except OSError as error:
        raise CannotWrite.because(path, error) from error
    return sha


def load(folder: Path, session_id: str, sha: str) -> Route:
    """The route out of its copy; whether the copy is still the one written, `problem` tells.

    Raises:
        DamagedFile: If the copy is missing or can't be read.
    """
    path = copy_path(folder, session_id, sha)
    hint = "Recover the session with the route's file; the entries themselves are not touched."
    try:
        return from_data(json.loads(path.read_bytes().decode("utf-8", "surrogatepass")))
    except FileNotFoundError:
        message = f"The copy of the route, {path.name}, is missing."
        raise DamagedFile(path, "it is missing", hint, message=message) from None
    except OSError as error:
        raise DamagedFile(path, f"this copy of the route can't be read ({error})", hint) from error
    except _UNREADABLE as error:
        raise DamagedFile(path, "this copy of the route is not readable", hint) from error


def problem(folder: Path, session_id: str, sha: str) -> str:
    """What is wrong with a copy, in words; empty if it is as it was written."""
    path = copy_path(folder, session_id, sha)
    try:
        found = hashlib.sha256(path.read_bytes()).hexdigest()
    except FileNotFoundError:
        return f"the copy of the route, {path.name}, is missing"
    except OSError as error:
        return f"the copy of the route, {path.name}, can't be read ({error.strerror})"
    return "" if found == sha else f"the copy of the route, {path.name}, was changed"
