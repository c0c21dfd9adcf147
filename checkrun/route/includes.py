"""`include`: the checks or stations of a piece, taken in where a route names it.

This is done to the tree of each file before anything is laid over anything, so that all that comes
after sees plain checks. Every node keeps the place where it was written.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from checkrun.route.foreach import Filler, Values, rounds
from checkrun.route.kept import Kept
from checkrun.route.layers import item_id, members, under
from checkrun.route.nodes import LARGEST, Map, Node, Scalar, Seq
from checkrun.route.pieces import PIECES, Pieces
from checkrun.route.problems import Problem, closest, nearest_or_all
from checkrun.route.read import Reader
from checkrun.route.schema_piece import INCLUDE_KEYS, LISTS, check_piece

#: How deep pieces may lie in pieces.
DEEPEST = 8
#: What a copy of a check takes at the least, in characters; files that would never end are soon at
#: the size no route may have.
_LEAST = 500

_SHARED = ("marks", "places", "claims")
#: Problems that may be none in a piece but come of the route it is taken into.
_OF_ROUTE = frozenset({"R040", "R041", "R045", "R052", "R053", "R054", "R055", "R068"})
#: Marks and places that nothing names.
_UNUSED = frozenset({"R077", "R078"})


@dataclass(frozen=True, slots=True)
class Taken:
    """A piece that was taken in, and how it was found.

    Attributes:
        name: Without its folder.
        beside: The folder in which the folder of pieces was looked for first.
        above: The pieces it was taken into, outermost first.
        path: What was found.
    """

    name: str
    beside: Path
    above: tuple[Path, ...]
    path: Path


@dataclass(frozen=True, slots=True)
class _Where:
    """Where in the files an expansion stands."""

    beside: Path
    above: tuple[Path, ...] = ()
    values: Values = ()


@dataclass(frozen=True, slots=True)
class Expanded:
    """A file with its pieces in their places, and what it was made of."""

    root: Map
    tree: Map
    route: str
    taken: dict[Taken, None]
    pieces: dict[Path, Map | None]
    size: int

    def holds(self, root: Map, source: Pieces) -> bool:
        """Whether it is still what the file and its pieces come to."""
        trees = self.pieces.items()
        return root is self.root and all(source.tree(path)[0] is tree for path, tree in trees)


class Expander:
    """Takes pieces in for one route and the ones it lies on.

    Attributes:
        taken: Every piece that was found.
        owners: The route each piece was first taken into, by the piece's file.
        whole: Whether all of it could be read.
    """

    def __init__(self, source: Pieces, reader: Reader, kept: Kept | None = None) -> None:
        self.taken: dict[Taken, None] = {}
        self.owners: dict[str, str] = {}
        self.whole = True
        self._source = source
        self._reader = reader
        self._kept = kept
        self._roots: dict[Path, Map | None] = {}
        self._found: dict[tuple[str, Path, tuple[Path, ...]], Path | None] = {}
        self._left = LARGEST
        self._sizes: dict[int, int] = {}
        self._route = ""

    def expand(self, root: Map, path: Path) -> Map:
        """The tree of a route's file with its pieces in their places; itself if it has none."""
        known = None if self._kept is None else self._kept.expanded.get(path)
        if known is not None and known.holds(root, self._source):
            self.taken |= known.taken
            for piece in known.pieces:
                self.owners.setdefault(str(piece), known.route)
            self._roots |= known.pieces
            self._left -= known.size
            return known.tree
        problems, left = len(self._reader.problems), self._left
        tree = self._expand(root, path)
        if self._kept is not None and self.whole and len(self._reader.problems) == problems:
            parts = dict(self.taken), dict(self._roots)
            self._kept.expanded[path] = Expanded(root, tree, path.stem, *parts, left - self._left)
        return tree

    def _expand(self, root: Map, path: Path) -> Map:
        stations = root.get("stations")
        if not isinstance(stations, Seq) or _is_plain(root):
            return root
        self._route = path.stem
        items = self._items(stations, "stations", _Where(path.parent))
        entries = dict(root.entries)
        entries["stations"] = (entries["stations"][0], items)
        return Map(root.file, root.line, root.column, entries)

    def expand_all(self, chain: Sequence[Node], files: Sequence[Path]) -> list[Node]:
        """The trees of a route and of what it lies on, each with its pieces in their places.

        The marks, places and claims of the pieces come beneath the lowest of them.
        """
        found = [
            self.expand(root, path) if isinstance(root, Map) else root
            for root, path in reversed(tuple(zip(chain, files, strict=False)))
        ]
        lowest = found[0] if found else None
        for piece in self._roots.values():
            if piece is not None and isinstance(lowest, Map):
                lowest = found[0] = self._under(lowest, piece)
        return found[::-1]

    def _under(self, lowest: Map, piece: Map) -> Map:
        """A tree with what a piece has beneath it, or what that came to before."""
        if self._kept is None:
            return under(lowest, piece, _SHARED)

        def lay() -> tuple[Map, Map]:
            return piece, under(lowest, piece, _SHARED)

        # The piece is kept with it, so that its place in memory is nobody else's.
        return self._kept.make(self._reader, lowest, ("under", id(piece)), lay)[1]

    def named(self, problems: Iterable[Problem]) -> list[Problem]:
        """The problems, with the route that a piece was taken into where that matters.

        That a route uses not all marks and places of a piece is none.
        """
        found = []
        for problem in problems:
            route = self.owners.get(problem.file)
            if route is not None and problem.code in _OF_ROUTE:
                problem = replace(problem, message=f"{problem.message} (taken into `{route}`)")
            if route is None or problem.code not in _UNUSED:
                found.append(problem)
        return found

    def _items(self, listed: Seq, what: str, where: _Where) -> Seq:
        items: list[Node] = []
        alike = {item_id(item) for item in listed.items if not _loops(item)}
        for item in listed.items:
            if not isinstance(item, Map):
                if not where.above or self._spend(item, _LEAST):
                    items.append(item)
            elif "include" in item.entries:
                items += self._include(item, what, where)
            elif not self._meant_include(item, what):
                for inner in self._rounds(item, where):
                    items.append(self._copied(item, what, inner, where.values, alike))
        return Seq(listed.file, listed.line, listed.column, items)

    def _rounds(self, item: Map, where: _Where) -> Iterable[_Where]:
        loop = item.get("for-each")
        turns: Iterable[Values] = (where.values,)
        if loop is not None:
            turns, whole = rounds(self._reader, loop, where.values)
            self.whole = self.whole and whole
        copied = bool(loop or where.values or where.above)
        for values in turns:
            if copied and not self._spend(item, self._size(item)):
                return
            yield replace(where, values=values)

    def _spend(self, node: Node, size: int) -> bool:
        """Whether the route may grow by so many characters; told where it first may not."""
        if self._left > 0:
            self._left -= size
            if self._left > 0:
                return True
            self.whole = False
            message = f"this makes the route larger than {LARGEST >> 20} MiB, the most it may hold"
            self._reader.tell(node, "R066", message, "Take in less, or for fewer values.")
        return False

    def _size(self, item: Map) -> int:
        """How much a copy of an item adds, in characters, without its own checks."""
        size = self._sizes.get(id(item))
        if size is None:
            size = sum(_length(node) for key, (_, node) in item.entries.items() if key != "checks")
            self._sizes[id(item)] = size = max(size, _LEAST)
        return size

    def _copied(
        self, item: Map, what: str, where: _Where, outer: Values, alike: set[str | None]
    ) -> Map:
        """As `_copy`, or the copy of a check that was made when the route was read before."""

        def copy() -> Map:
            return self._copy(item, what, where, outer, alike)

        if self._kept is None or what != "checks":
            return copy()
        after = item.get("after")
        follows = isinstance(after, Scalar) and after.text in alike
        # A copy has the lines of what it was made of, which may have moved.
        how = (item.line, where.values, outer, bool(where.above), follows)
        return self._kept.make(self._reader, item, how, copy)

    def _copy(
        self, item: Map, what: str, where: _Where, outer: Values, alike: set[str | None]
    ) -> Map:
        """A check or station with the values of this round in it, but for its loop.

        An `after` that names a neighbour follows it when that is given the values of the round.
        """
        filled = bool(where.values or where.above)
        if not filled and what == "checks" and "for-each" not in item.entries:
            return item
        filler = Filler(self._reader, where.values)
        entries: dict[str, tuple[Scalar, Node]] = {}
        for key, (key_node, node) in item.entries.items():
            value = node
            if key == "id" and isinstance(node, Scalar):
                value = filler.ident(node)
            elif key == "after" and isinstance(node, Scalar) and node.text in alike:
                value = Filler(self._reader, outer).ident(node)
            elif key == "checks" and what == "stations" and isinstance(node, Seq):
                value = self._items(node, "checks", where)
            elif filled:
                value = filler.fill(node, key)
            if key != "for-each":
                entries[key] = (key_node, value)
        return Map(item.file, item.line, item.column, entries)

    def _meant_include(self, item: Map, what: str) -> bool:
        """Whether `include` is misspelt, which is told."""
        if "id" in item.entries or len(item.entries) > len(INCLUDE_KEYS):
            return False
        for name, (key, _) in item.entries.items():
            if closest(name, ("include",)):
                self.whole = False
                message = f"`{name}` is not a key of a {what[:-1]}"
                self._reader.tell(key, "R020", message, "Did you mean `include`?")
                return True
        return False

    def _include(self, item: Map, what: str, where: _Where) -> list[Node]:
        name = self._reader.keys(item, INCLUDE_KEYS, "an `include`").get("include")
        items: list[Node] = []
        for inner in self._rounds(item, where):
            if name is not None:
                items += self._piece(item.entries["include"][1], name, what, inner)
        self.whole = self.whole and name is not None
        return items

    def _piece(self, node: Node, name: str, what: str, where: _Where) -> list[Node]:
        """The members of a piece's list, each with its own pieces taken in."""
        at = (name, where.beside, where.above)
        if at not in self._found:
            self._found[at] = self._source.piece(*at)
        path = self._found[at]
        if path is None or len(where.above) == DEEPEST:
            self.whole = False
            self._tell_none(node, name, where, path)
            return []
        self.taken[Taken(*at, path)] = None
        root = self._root(path)
        if root is None:
            self.whole = False
            return []
        listed = root.get(what)
        if isinstance(listed, Seq):
            inner = _Where(path.parent.parent, (*where.above, path), where.values)
            return self._items(listed, what, inner).items
        self.whole = False
        other = LISTS[1 - LISTS.index(what)]
        if listed is None and root.get(other) is not None:
            message = f"`{PIECES}/{name}` holds {other}, and {what} are wanted here"
            among = "stations" if other == "stations" else "checks of a station"
            self._reader.tell(node, "R062", message, f"Take it in among the {among}.")
        return []

    def _tell_none(self, node: Node, name: str, where: _Where, path: Path | None) -> None:
        if path is not None:
            message = f"pieces lie more than {DEEPEST} deep in each other here"
            self._reader.tell(node, "R066", message, "Take the inner ones in directly.")
        elif self._source.piece(name, where.beside, ()) is not None:
            stems = [file.stem for file in where.above]
            ring = " -> ".join([*stems[stems.index(name) if name in stems else 0 :], name])
            message = f"`include` runs in a ring: {ring}"
            self._reader.tell(node, "R061", message, "One of them must do without.")
        else:
            names = [f"{PIECES}/{known}" for known in self._source.pieces(where.beside)]
            hint = nearest_or_all(f"{PIECES}/{name}", names)
            self._reader.tell(node, "R060", f"there is no piece `{PIECES}/{name}`", hint)

    def _root(self, path: Path) -> Map | None:
        """The tree of a piece, checked when it is first asked for."""
        if path in self._roots:
            return self._roots[path]
        tree, problems, _ = self._source.tree(path)
        self.owners.setdefault(str(path), self._route)
        self._reader.problems.extend(problems)
        root = tree if isinstance(tree, Map) else None
        self._roots[path] = root
        if tree is not None:
            check_piece(self._reader, tree, path)
        return root


def _is_plain(root: Map) -> bool:
    """Whether nothing is taken in or repeated; an item without an id may be meant to be."""
    for station in members(root, "stations"):
        entries = station.entries
        if "id" not in entries or "for-each" in entries or "include" in entries:
            return False
        for check in members(station, "checks"):
            entries = check.entries
            if "id" not in entries or "for-each" in entries or "include" in entries:
                return False
    return True


def _loops(item: Node) -> bool:
    return isinstance(item, Map) and "for-each" in item.entries


def _length(node: Node) -> int:
    """The characters of all texts of a tree, and one for each value."""
    if isinstance(node, Scalar):
        return 1 + len(node.text)
    if isinstance(node, Seq):
        return 1 + sum(_length(item) for item in node.items)
    if not isinstance(node, Map):
        return 1
    return 1 + sum(len(key) + _length(value) for key, (_, value) in node.entries.items())
