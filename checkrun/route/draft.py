"""A route file while it is being edited: what is wrong with a text, and what stands in a line."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from checkrun.route.catalog import Catalog, RouteNotFound
from checkrun.route.model import Check, Route, Station
from checkrun.route.nodes import Map, Node, Scalar, Seq
from checkrun.route.pieces import PIECES
from checkrun.route.problems import Problem, RouteError


@dataclass(frozen=True, slots=True)
class Checked:
    """What a text comes to.

    Attributes:
        route: The route it makes, or None.
        here: Its problems by line, warnings too.
        elsewhere: Those of the files it is laid over or takes in.
    """

    route: Route | None
    here: tuple[Problem, ...]
    elsewhere: tuple[Problem, ...]

    @property
    def walkable(self) -> bool:
        """Whether it can be walked as it stands."""
        problems = (*self.here, *self.elsewhere)
        return self.route is not None and all(problem.warning for problem in problems)


@dataclass(frozen=True, slots=True)
class Spot:
    """What stands in a line of the file: ids as they are written there, empty where there is none.

    Attributes:
        station: The station.
        check: The check.
        leads_to: The route or piece that the line names.
    """

    station: str = ""
    check: str = ""
    leads_to: str = ""


class Draft:
    """Texts of one file, read in the place of what is on disk until it is `let_go`.

    Args:
        catalog: Where the other files are found.
        path: The file.
        through: For a piece, a route that takes it in: a piece is read with one.
    """

    def __init__(self, catalog: Catalog, path: Path, through: Path | None = None) -> None:
        self._catalog = catalog
        self._path = path
        self._through = through
        #: What the file said of the route below when it could be read last.
        self._below: str | None = None

    def check(self, text: str) -> Checked:
        """Read a text as the file's."""
        self._catalog.hold(self._path, text.encode("utf-8", "surrogatepass"))
        route, problems, _ = self._catalog.read(self._through or self._path, content=True)
        root = self._catalog.root(self._path)
        if isinstance(root, Map):
            below = root.get("built-on")
            self._below = below.text if isinstance(below, Scalar) else None
        here = sorted({problem for problem in problems if problem.file == str(self._path)})
        others = sorted({problem for problem in problems if problem.file != str(self._path)})
        return Checked(route, tuple(here), tuple(others))

    def move(self, path: Path) -> None:
        """The text is that of another file from now on."""
        self.let_go()
        self._path = path

    def let_go(self) -> None:
        """Read the file from disk again from now on."""
        self._catalog.hold(self._path, None)

    def spot(self, line: int) -> Spot:
        """What stands in a line, counted from 1, of the text checked last."""
        root = self._catalog.root(self._path)
        if not isinstance(root, Map):
            return Spot()
        entry = root.entries.get("built-on")
        if entry is not None and entry[0].line == line and isinstance(entry[1], Scalar):
            return Spot(leads_to=entry[1].text)
        station = _at(root.get("stations"), line)
        check = _at((station or root).get("checks"), line)
        return Spot(_text(station, "id"), _text(check, "id"), _leads_to(check or station, line))

    def file_of(self, name: str) -> Path | None:
        """The file of what a line leads to."""
        if "/" in name:
            return self._catalog.pieces.piece(name.split("/", 1)[1], self._path.parent, [])
        return self._catalog.below(name, self._path.parent, [self._path])

    def parent(self) -> tuple[str, Route] | None:
        """The route that this file is laid over, or else the one it hides; with what to call it.

        None if there is none, or if it can't be walked.
        """
        try:
            if self._below is not None:
                path = self._catalog.below(self._below, self._path.parent, [self._path])
                return None if path is None else (self._below, self._catalog.load(str(path)))
            hidden = self._catalog.find(self._path.stem).hides
            if hidden is not None:
                return f"the shipped {self._path.stem}", self._catalog.load(str(hidden))
        except (RouteNotFound, RouteError):
            return None
        return None


def taker_of(catalog: Catalog, piece: Path) -> Path | None:
    """A route that takes a piece in, the first by name; None for what is no piece, or untaken."""
    if piece.parent.name != PIECES:
        return None
    for found in catalog.all():
        catalog.read(found.path)
        taken = catalog.pieces.taken.get(found.path, ())
        if any(one.path.resolve() == piece.resolve() for one in taken):
            return found.path
    return None


def shown_at(route: Route, spot: Spot) -> tuple[Station, Check | None] | None:
    """The station and check of a route that a line of one of its files is about.

    What is written once for several corners has their names behind its id; the first is shown.
    """
    check = next((c for c in route.checks if spot.check and _made_of(c, spot.check)), None)
    if check is not None:
        return route.station_of[check], route.checks[check]
    wanted = spot.station
    station = next((s for s in route.stations if wanted and _made_of(s.id, wanted)), None)
    return None if station is None else (station, None)


def _made_of(name: str, written: str) -> bool:
    return name == written or name.startswith(f"{written}-")


def _at(node: Node | None, line: int) -> Map | None:
    """The item of a list that a line is in: the last that begins at or above it."""
    found = None
    if isinstance(node, Seq) and node.line <= line:
        for item in node.items:
            if item.line > line:
                break
            found = item
    return found if isinstance(found, Map) else None


def _text(node: Map | None, key: str) -> str:
    value = None if node is None else node.get(key)
    return value.text if isinstance(value, Scalar) else ""


def _leads_to(node: Map | None, line: int) -> str:
    entry = None if node is None else node.entries.get("include")
    if entry is None or entry[0].line != line or not isinstance(entry[1], Scalar):
        return ""
    return entry[1].text
