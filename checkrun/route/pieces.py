"""Where the pieces lie that routes take in, and which of them no route does."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from checkrun.route.includes import Taken
    from checkrun.route.nodes import Node
    from checkrun.route.problems import Problem

#: The folder of pieces, beside the routes.
PIECES = "pieces"

_Tree = Callable[[Path], "tuple[Node | None, list[Problem], bytes]"]


class Pieces:
    """The pieces of some folders, the first folder winning as among routes.

    Attributes:
        tree: The tree of a file, its problems and what it held.
        taken: The pieces of every route read so far, by the route's file.
    """

    def __init__(self, folders: Sequence[Path], tree: _Tree) -> None:
        self.tree = tree
        self.taken: dict[Path, tuple[Taken, ...]] = {}
        self._folders = tuple(folders)
        self._unread: set[Path] = set()

    def piece(self, name: str, beside: Path, above: Sequence[Path]) -> Path | None:
        """The file of a piece that is none of those above.

        A person's own piece can take in the shipped one it hides.
        """
        used = {path.resolve() for path in above}
        for folder in self._searched(beside):
            path = folder / PIECES / f"{name}.yaml"
            if _is_file(path) and path.resolve() not in used:
                return path
        return None

    def pieces(self, beside: Path) -> list[str]:
        """The names of the pieces there are."""
        there = {path.stem for folder in self._searched(beside) for path in _in(folder)}
        return sorted(there)

    def note(self, route: Path, taken: Iterable[Taken], *, whole: bool) -> None:
        """Keep what a route takes in, and whether all of it could be read."""
        self.taken[route] = tuple(taken)
        (self._unread.discard if whole else self._unread.add)(route)

    def untaken(self) -> list[Problem]:
        """A warning for each piece that none of the routes read so far takes in.

        One that another hides is left out. Of a route that could not be read through it is not
        known what it takes in: then there are none.
        """
        if self._unread:
            return []
        paths = {one.path for taken in self.taken.values() for one in taken}
        known = {path.resolve() for path in paths}
        seen: set[str] = set()
        found = []
        for folder in self._folders:
            for path in _in(folder):
                if path.stem not in seen and path.resolve() not in known:
                    found.append(self._untaken(path))
                seen.add(path.stem)
        return found

    def _untaken(self, path: Path) -> Problem:
        from checkrun.route.nodes import Map
        from checkrun.route.problems import Problem

        message = f"no route takes in the piece `{path.stem}`"
        hint = f"Take it in by `include: {PIECES}/{path.stem}`, or take the file away."
        root = self.tree(path)[0]
        if isinstance(root, Map) and "piece" in root.entries:
            return root.entries["piece"][0].problem("R065", message, hint, warning=True)
        return Problem(str(path), 1, 1, "R065", message, hint, warning=True)

    def _searched(self, beside: Path) -> Sequence[Path]:
        return self._folders if beside in self._folders else (beside, *self._folders)


def _in(folder: Path) -> list[Path]:
    return sorted((folder / PIECES).glob("*.yaml"))


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:  # such as a name that is longer than any file's
        return False
