"""Find routes by name, read them with the ones they are built on, and keep what was read.

A person's own folder is searched before the shipped one; a route of the same name there wins. YAML
is imported only when a route is not in the cache, and what reads the cache only when a route is
asked for: the home screen has a catalog too, and needs none of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from checkrun.route.model import Route
    from checkrun.route.nodes import Node, Scalar
    from checkrun.route.problems import Problem

#: Problems that may be none once the route below is there: a missing key, place, reference or
#: reading, and what nothing refers to.
_NEEDS_WHOLE = frozenset({"R021", "R041", "R047", "R052", "R053", "R054", "R055"})


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
        paths = self._candidates(name)
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
        route = None if self._cache is None else cache.kept(self._cache, path, self._below)
        if route is None:
            route, problems, files = self.read(path)
            errors = sorted({problem for problem in problems if not problem.warning})
            if errors or route is None:
                raise RouteError(errors or sorted(problems))
            if self._cache is not None:
                cache.keep(self._cache, [(file, self._parsed[file][2]) for file in files], route)
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

    def broken(self) -> tuple[str, ...]:
        """The ids of the routes that can't be walked, and so are never taken for a year."""
        from checkrun.route.problems import RouteError

        found = []
        for route in self.all():
            try:
                self.load(route.id)
            except RouteError:
                found.append(route.id)
        return tuple(found)

    def lint(self, name: str) -> list[Problem]:
        """Every problem of a route, of the ones it is built on, and of how they fit."""
        _, problems, _ = self.read(self.find(name).path)
        return sorted(set(problems))

    def read(self, path: Path) -> tuple[Route | None, list[Problem], list[Path]]:
        """The route of a file, its problems, and the files it was made of, its own first."""
        from checkrun.route.build import build
        from checkrun.route.layers import lay_over
        from checkrun.route.nodes import Map
        from checkrun.route.rules import check_unique

        problems: list[Problem] = []
        chain, files, whole = self._chain(path, problems)
        if not chain:
            return None, problems, files
        tree = chain[-1]
        below: list[Map] = []
        for top in reversed(chain[:-1]):
            if isinstance(tree, Map) and isinstance(top, Map):
                check_unique(top, problems)
                below.insert(0, tree)
                tree = lay_over(tree, top, problems)
        if not whole:
            # Without what lies below it can't be told what is missing; all else can.
            alone: list[Problem] = []
            build(tree, (), alone)
            told = {(problem.file, problem.line, problem.column) for problem in problems}
            problems += [
                problem
                for problem in alone
                if problem.code not in _NEEDS_WHOLE
                and (problem.file, problem.line, problem.column) not in told
            ]
            return None, problems, files
        if len(chain) == 1 and isinstance(tree, Map) and tree.get("drop") is not None:
            problems.append(
                tree.entries["drop"][0].problem(
                    "R048", "`drop` needs a route below to drop from", "Add `built-on`."
                )
            )
        built_on = tuple(file.stem for file in files[1:])
        return build(tree, built_on, problems, below), problems, files

    def _chain(self, path: Path, problems: list[Problem]) -> tuple[list[Node], list[Path], bool]:
        """The trees from the file down to its foundation, and whether all could be read."""
        from checkrun.route.nodes import Map, Scalar
        from checkrun.route.rules import check_name

        chain: list[Node] = []
        files: list[Path] = []
        while True:
            files.append(path)
            root, found, _ = self._parse(path)
            problems.extend(found)
            if root is None:
                return chain, files, False
            chain.append(root)
            if not isinstance(root, Map):
                return chain, files, True
            check_name(root, path, problems)
            node = root.get("built-on")
            if not isinstance(node, Scalar):
                return chain, files, True
            below = self._below(node.text, files[0].parent, files)
            if below is None:
                problems.append(self._nothing_below(node, files))
                return chain, files, False
            path = below

    def _below(self, name: str, beside: Path, above: Sequence[Path]) -> Path | None:
        """The file a `built-on` leads to; a person's route can lie on the shipped one it hides."""
        used = {path.resolve() for path in above}
        return next((c for c in self._candidates(name, beside) if c.resolve() not in used), None)

    def _nothing_below(self, node: Scalar, files: list[Path]) -> Problem:
        from checkrun.route.problems import nearest_or_all

        if self._candidates(node.text, files[0].parent):
            ring = " -> ".join([*(file.stem for file in files), node.text])
            return node.problem(
                "R043", f"`built-on` runs in a ring: {ring}", "One of them must stand by itself."
            )
        known = [found.id for found in self.all()]
        hint = nearest_or_all(node.text, known)
        return node.problem("R042", f"there is no route `{node.text}` to build on", hint)

    def _candidates(self, name: str, beside: Path | None = None) -> list[Path]:
        """The files that can be meant by an id, the winning one first."""
        folders = [folder.path for folder in self.folders]
        if beside is not None and beside not in folders:
            folders.insert(0, beside)
        if "/" in name or "\\" in name:
            return []
        return [path for folder in folders if _is_file(path := folder / f"{name}.yaml")]

    def _parse(self, path: Path) -> tuple[Node | None, list[Problem], bytes]:
        from checkrun.route.nodes import LARGEST, decode, parse

        raw, problem = _bytes_of(path, LARGEST + 1)
        if problem is not None:
            return None, [problem], raw
        known = self._parsed.get(path)
        if known is not None and known[2] == raw:
            return known
        text, problems = decode(raw, str(path))
        root: Node | None = None
        if not problems:
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
