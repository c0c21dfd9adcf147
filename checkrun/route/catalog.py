"""Find routes by name, read them with the ones they are built on, and keep what was read.

A person's own folder is searched before the shipped one; a route of the same name there wins. YAML
is imported only when a route is not in the cache, and what reads the cache only when a route is
asked for: the home screen has a catalog too, and needs none of it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from checkrun.route.pieces import Pieces

if TYPE_CHECKING:
    from checkrun.route.kept import Kept
    from checkrun.route.model import Route
    from checkrun.route.nodes import Node
    from checkrun.route.problems import Problem
    from checkrun.route.reparse import Reparser


#: What a layer says of the route below, wherever it may stand in the file.
_BUILT_ON = re.compile(rb"^[\"']?built-on[\"']?\s*:\s*[\"']?([^\s\"'#]+)", re.M)


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder of routes and whose it is, `yours` or `shipped`."""

    path: Path
    owner: str


@dataclass(frozen=True, slots=True)
class Found:
    """A route file.

    Attributes:
        id: The file's name without its ending.
        owner: `yours`, `shipped`, or `file` for one named by its path.
        hides: The shipped file of the same id that this one wins over, if any.
    """

    id: str
    path: Path
    owner: str
    hides: Path | None = None


class RouteNotFound(Exception):
    """No route of that name; the text says what is there."""


class YearNotCovered(Exception):
    """The route says nothing of that model year; the text names the years it covers."""


class Catalog:
    """The routes of some folders, the first folder winning."""

    def __init__(self, folders: Sequence[Folder], cache: Path | None = None) -> None:
        self.folders = tuple(folders)
        self._cache = cache
        self._parsed: dict[Path, tuple[Node | None, list[Problem], bytes]] = {}
        self._held: dict[Path, bytes] = {}
        self._reparsers: dict[Path, Reparser] = {}
        #: What was made of nodes before, where much of it is read again.
        self.kept: Kept | None = None
        self.pieces = Pieces([folder.path for folder in folders], self.tree)

    def all(self) -> tuple[Found, ...]:
        """Every route by id; hidden ones are named by the one that hides them."""
        found: dict[str, Found] = {}
        for folder in self.folders:
            for path in sorted(folder.path.glob("*.yaml")):
                first = found.get(path.stem)
                if first is None:
                    found[path.stem] = Found(path.stem, path, folder.owner)
                elif first.hides is None:
                    found[path.stem] = Found(first.id, first.path, first.owner, path)
        return tuple(found[name] for name in sorted(found))

    def find(self, name: str) -> Found:
        """The route of that id, or the file of that path.

        Raises:
            RouteNotFound: With the nearest name there is.
        """
        from checkrun.route.problems import nearest_or_all

        if name.endswith((".yaml", ".yml")) or "/" in name:
            path = Path(name)
            if _is_file(path):
                return Found(path.stem, path, "file")
            raise RouteNotFound(f"there is no file {name}")
        paths = self.candidates(name)
        if paths:
            owner = next(f.owner for f in self.folders if f.path == paths[0].parent)
            return Found(name, paths[0], owner, paths[1] if len(paths) > 1 else None)
        known = [found.id for found in self.all()]
        hint = nearest_or_all(name, known)
        raise RouteNotFound(f"there is no route `{name}`. {hint}")

    def load(self, name: str) -> Route:
        """The route of that id or path, ready to walk.

        Raises:
            RouteNotFound: If there is none.
            RouteError: If it can't be walked; holds every problem that is not a mere warning.
        """
        from checkrun.route import cache
        from checkrun.route.problems import RouteError

        path = self.find(name).path
        route = None
        if self._cache is not None:
            route = cache.kept(self._cache, path, self.below, self.pieces.piece)
        if route is None:
            route, problems, files = self.read(path)
            errors = sorted({problem for problem in problems if not problem.warning})
            if errors or route is None:
                raise RouteError(errors or sorted(problems))
            if self._cache is not None:
                held = [(file, self._parsed[file][2]) for file in files]
                pieces = [(one, self._parsed[one.path][2]) for one in self.pieces.taken[path]]
                cache.keep(self._cache, held, route, pieces)
        return route

    def for_year(self, name: str, year: int) -> Route:
        """The route of that id, or the layer on it, that fits a model year most closely.

        Raises:
            RouteNotFound, RouteError: As `load`.
            YearNotCovered: If neither it nor a layer on it covers the year.
        """
        from checkrun.route.problems import RouteError

        route = self.load(name)
        best = route if year in route.years else None
        for found in self.all():
            if not self._may_lie_on(found.path, route.id):
                continue
            try:
                other = self.load(found.id)
            except RouteError:
                continue
            if (
                route.id in other.built_on
                and year in other.years
                and (best is None or other.years.span < best.years.span)
            ):
                best = other
        if best is None:
            raise YearNotCovered(f"`{route.id}` covers {route.years}, not {year}")
        return best

    def _may_lie_on(self, path: Path, route_id: str) -> bool:
        """Whether a file may be a layer on a route, seen without reading it through.

        Most routes lie on no other, and to read one through only to find that out takes long. One
        that is named as a layer on it is meant to be one, whatever it says.
        """
        if path.stem.startswith(f"{route_id}-"):
            return True
        above = [path]
        while path.stem != route_id or len(above) == 1:
            raw = self._held.get(path)
            if raw is None:
                try:
                    raw = path.read_bytes()
                except OSError:
                    return False
            named = _BUILT_ON.findall(raw)
            if len(named) != 1:
                return bool(named)
            below = self.below(named[0].decode("utf-8", "replace"), above[0].parent, above)
            if below is None:
                return False
            path = below
            above.append(path)
        return True

    def broken(self, on: str = "") -> tuple[str, ...]:
        """The ids of the routes that can't be walked, and so are never taken for a year.

        Args:
            on: Only those that seem to lie on this route; all if it is empty.
        """
        from checkrun.route.problems import RouteError

        found = []
        for route in self.all():
            if on and not self._may_lie_on(route.path, on):
                continue
            try:
                self.load(route.id)
            except RouteError:
                found.append(route.id)
        return tuple(found)

    def lint(self, name: str, *, content: bool = False) -> list[Problem]:
        """Every problem of a route, of the ones it is built on, and of how they fit.

        Args:
            name: Its id or path.
            content: Whether to warn, too, of what a mechanic could make nothing of.
        """
        _, problems, _ = self.read(self.find(name).path, content=content)
        return sorted(set(problems))

    def untaken(self) -> list[Problem]:
        """A warning for each piece that no route takes in, of those read so far or hidden."""
        if self.pieces.untaken():
            for found in self.all():
                if found.hides is not None:
                    self.read(found.hides)
        return self.pieces.untaken()

    def hold(self, path: Path, raw: bytes | None) -> None:
        """Read and lint these bytes in place of a file's; None for those on disk again."""
        if raw is None:
            self._held.pop(path, None)
            self._reparsers.pop(path, None)
            # What was saved meanwhile may win over what was taken in before: all is made anew.
            self.kept = None
            if self._held:
                self.read_again()
        else:
            self._held[path] = raw
            self.read_again()

    def read_again(self) -> None:
        """Routes that have much in common are read one after the other from now on."""
        from checkrun.route.kept import Kept

        if self.kept is None:
            self.kept = Kept()
        else:
            self.kept.begin()

    def root(self, path: Path) -> Node | None:
        """The tree of one file as it stands there, or None if nothing can be made of it."""
        return self.tree(path)[0]

    def read(
        self, path: Path, *, content: bool = False
    ) -> tuple[Route | None, list[Problem], list[Path]]:
        """The route of a file, its problems, and the files it was made of, its own first.

        Args:
            path: The file.
            content: Whether what helps nobody is told too, beside what is wrong.
        """
        from checkrun.route.together import read

        return read(self, path, content=content)

    def below(self, name: str, beside: Path, above: Sequence[Path]) -> Path | None:
        """The file a `built-on` leads to; a person's route can lie on the shipped one it hides."""
        used = {path.resolve() for path in above}
        return next((c for c in self.candidates(name, beside) if c.resolve() not in used), None)

    def candidates(self, name: str, beside: Path | None = None) -> list[Path]:
        """The files that can be meant by an id, the winning one first."""
        folders = [folder.path for folder in self.folders]
        if beside is not None and beside not in folders:
            folders.insert(0, beside)
        if "/" in name or "\\" in name:
            return []
        return [path for folder in folders if _is_file(path := folder / f"{name}.yaml")]

    def tree(self, path: Path) -> tuple[Node | None, list[Problem], bytes]:
        """The tree of one file, the problems of reading it, and what it held."""
        from checkrun.route.nodes import LARGEST, decode, parse

        held = self._held.get(path)
        raw, problem = (held, None) if held is not None else _bytes_of(path, LARGEST + 1)
        if problem is not None:
            return None, [problem], raw
        known = self._parsed.get(path)
        if known is not None and known[2] == raw:
            return known
        text, problems = decode(raw, str(path))
        root: Node | None = None
        if not problems and held is not None:
            from checkrun.route.reparse import Reparser

            reparser = self._reparsers.setdefault(path, Reparser(str(path)))
            root, problems = reparser.parse(text)
        elif not problems:
            root, problems = parse(text, str(path))
        self._parsed[path] = (root, problems, raw)
        return self._parsed[path]


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:  # such as a name that is longer than any file's
        return False


def _bytes_of(path: Path, most: int) -> tuple[bytes, Problem | None]:
    from checkrun.route.problems import Problem

    try:
        with path.open("rb") as file:
            return file.read(most), None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        problem = Problem(str(path), 1, 1, "R001", f"the file can't be read: {reason}")
        return b"", problem
