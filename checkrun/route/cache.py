"""What was read of a route, kept until a file it was made of changes or another takes its place."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from checkrun import __version__
from checkrun.route.data import from_data, to_data
from checkrun.route.model import Route

if TYPE_CHECKING:
    from checkrun.route.includes import Taken

#: Goes up when more is read of a file than before, or another thing refused: what was kept until
#: then is not what reading would give, and is passed over.
_FORM = 3

#: How many routes are kept; the ones written longest ago go first.
_KEEPS = 64

#: The file a `built-on` leads to, given the name, the folder beside, and the files above.
Below = Callable[[str, Path, Sequence[Path]], Path | None]
#: The file of a piece, given its name, the folder beside, and the pieces above.
Piece = Below


def kept(folder: Path, path: Path, below: Below, piece: Piece) -> Route | None:
    """What was read earlier of a route file, if it is still what reading would give."""
    try:
        data = json.loads(_file(folder, path, _digest(path)).read_bytes())
        above = [path]
        for name, digest in data["files"][1:]:
            file = Path(name)
            if below(file.stem, path.parent, above) != file or _digest(file) != digest:
                return None
            above.append(file)
        for name, beside, over, file, digest in data["pieces"]:
            found = piece(name, Path(beside), [Path(outer) for outer in over])
            if found != Path(file) or _digest(found) != digest:
                return None
        return from_data(data["route"])
    except (ArithmeticError, AttributeError, LookupError, OSError, TypeError, ValueError):
        return None


def keep(
    folder: Path,
    files: Sequence[tuple[Path, bytes]],
    route: Route,
    pieces: Sequence[tuple[Taken, bytes]] = (),
) -> None:
    """Keep what was read; a cache that can't be written is no reason to stop.

    Args:
        folder: The cache's own; made if it is missing.
        files: The files the route was made of, its own first, and what they held.
        route: What was made of them.
        pieces: The pieces taken into them, how each was found, and what it held.
    """
    digests = [hashlib.sha256(held).hexdigest() for _, held in files]
    named = [[str(file), digest] for (file, _), digest in zip(files, digests, strict=True)]
    found = [
        [
            *(taken.name, str(taken.beside), [str(outer) for outer in taken.above]),
            *(str(taken.path), hashlib.sha256(held).hexdigest()),
        ]
        for taken, held in pieces
    ]
    data = {"files": named, "pieces": found, "route": to_data(route)}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        target = _file(folder, files[0][0], digests[0])
        scratch = target.with_suffix(".new")
        text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
        scratch.write_text(text, encoding="utf-8")
        scratch.replace(target)
        old = sorted(folder.glob("route-*.json"), key=lambda f: f.stat().st_mtime)
        for file in old[:-_KEEPS]:
            file.unlink()
    except OSError:
        return


def _file(folder: Path, path: Path, digest: str) -> Path:
    named = f"{__version__} {_FORM}\n{path}\n{digest}".encode(errors="surrogateescape")
    return folder / f"route-{hashlib.sha256(named).hexdigest()[:32]}.json"


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
